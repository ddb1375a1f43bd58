"""What the hands of the example tell: stretches as drafts in local time, and the facts made of them."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo

from shop.example.taking import TOKENS, Job
from timing.facts import Cancel, Fact, Yield
from timing.models.facts import Kind, Source


@dataclass(slots=True)
class Did:
    """What a draft says of one job."""

    made: int = 0
    spoiled: int = 0
    lost: int = 0
    reason: str = ""


@dataclass(slots=True)
class Draft:
    """One stretch in the shop's own time. `undone_at` is when the hand took it back."""

    hand: str
    start: datetime
    end: datetime
    did: dict[int, Did] = field(default_factory=dict)
    job: Job | None = None
    helpers: tuple[str, ...] = ()
    kind: str = Kind.WORK
    note: str = ""
    is_timed: bool = True
    is_priced_outside: bool = False
    entered_by: str | None = None
    undone_at: datetime | None = None


def facts_of(
    drafts: Sequence[Draft], *, users: Mapping[str, int], zone: ZoneInfo, until: datetime
) -> list[Fact | Cancel]:
    """The facts of the drafts that ended before `until`, each followed by its undoing where there was one."""
    told: list[Fact | Cancel] = []
    for number, draft in enumerate(sorted(drafts, key=lambda draft: draft.end)):
        if draft.end >= until:
            break
        token = uuid.uuid5(TOKENS, f"stretch {number}")
        told.append(_fact(draft, token, users, zone))
        if draft.undone_at:
            told.append(
                Cancel(
                    token=uuid.uuid5(token, "undone"),
                    cancels_token=token,
                    hand_id=users[draft.hand],
                    done_at=draft.undone_at.replace(tzinfo=zone),
                )
            )
    return told


def _fact(draft: Draft, token: uuid.UUID, users: Mapping[str, int], zone: ZoneInfo) -> Fact:
    without_clock = not draft.is_timed or draft.is_priced_outside
    return Fact(
        token=token,
        hand_id=users[draft.hand],
        done_at=draft.end.replace(tzinfo=zone),
        started_at=None if without_clock else draft.start.replace(tzinfo=zone),
        kind=draft.kind,
        operation_id=draft.job.operation_id if draft.job else None,
        yields=tuple(
            Yield(task_id=task_id, made=did.made, spoiled=did.spoiled, lost=did.lost, reason=did.reason)
            for task_id, did in draft.did.items()
        ),
        helper_ids=tuple(users[name] for name in draft.helpers),
        note=draft.note,
        source=Source.LIST if draft.entered_by else Source.BENCH,
        entered_by_id=users[draft.entered_by] if draft.entered_by else None,
    )
