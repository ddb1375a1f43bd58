"""Putting an earlier stretch right: the old one is undone and a new one added, together or not at all."""

from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from uuid import UUID, uuid5

from jobs.models.operations import PartKind
from jobs.writing import writing
from timing.facts import Cancel, Fact, FactRefused, Yield, device_error
from timing.models import Stretch, Tally
from timing.models.facts import Source
from timing.record import Recorded, cancel, record

DISPUTED = "Disputed: "


def can_be_corrected(stretch: Stretch, tallies: list[Tally]) -> bool:
    """Whether a stretch can be put right by another. One that renewed a hub, or that put pieces back to be cut again,
    can only be undone and told anew.

    `tallies` come with their task's operation.
    """
    if stretch.cancels_token is not None or stretch.source == Source.OLD_BOOK:
        return False
    return not any(
        (tally.spoiled and tally.task and tally.task.operation.part == PartKind.HUB)
        or (tally.lost and not tally.spoiled)
        for tally in tallies
    )


def as_told(stretch: Stretch, tallies: list[Tally], *, token: UUID) -> Fact:
    """The same stretch as a new fact, to be changed with `dataclasses.replace`.

    Its moments are put on the server's clock: the error of a device was allowed for once and is not known again.
    """
    error = device_error(stretch.sent_at, stretch.received_at)
    return Fact(
        token=token,
        hand_id=stretch.hand_id,
        kind=stretch.kind,
        operation_id=stretch.operation_id,
        started_at=stretch.started_at and stretch.started_at + error,
        done_at=stretch.done_at + error,
        done_on=stretch.done_on,
        seconds=stretch.seconds,
        yields=tuple(
            Yield(
                made=tally.made,
                spoiled=tally.spoiled,
                lost=tally.lost,
                reason=tally.reason,
                task_id=tally.task_id,
                seconds=tally.seconds if len(tallies) > 1 else None,
            )
            for tally in tallies
        ),
        helper_ids=tuple(sorted(stretch.helpers.values_list("hand_id", flat=True))),
        source=stretch.source,
        note=stretch.note,
        # It was told and taken once: it isn't asked about again.
        confirmed=True,
    )


def with_changes(fact: Fact, *, made: int | None, seconds: int | None, note: str, confirmed: bool = False) -> Fact:
    """A fact with another count and another time: `made` None keeps the counts, `seconds` None is not timed.

    A stretch on several tasks keeps what it made on each; its new time is shared out anew.
    """
    yields = fact.yields
    if len(yields) == 1 and made is not None:
        yields = (replace(yields[0], made=made),)
    elif len(yields) > 1 and seconds != fact.seconds:
        yields = tuple(replace(one, seconds=None) for one in yields)
    started_at = fact.started_at if seconds is not None else None
    return replace(fact, yields=yields, seconds=seconds, started_at=started_at, note=note, confirmed=confirmed)


def correct(
    original: Stretch, fact: Fact, *, by_id: int, zone: tzinfo = UTC, now: datetime, source: str = Source.BENCH
) -> Recorded:
    """Undo `original` and save `fact` in its place; both stay readable. `by_id` is the user who asks for it.

    What was tapped at the bench stays so while its moment does: who put it right is told beside it. What was written
    down elsewhere is never a tap, wherever it is put right (`source`).
    The same again adds nothing. Raises FactRefused where the original was undone already by something else.
    """
    told_from = _source(original, fact, source)
    fact = replace(fact, entered_by_id=by_id if by_id != fact.hand_id else None, source=told_from)
    with writing():
        if Stretch.objects.filter(token=fact.token).exists():
            return record(fact, zone=zone, now=now)
        wish = Cancel(
            token=uuid5(fact.token, "instead of the stretch before"),
            cancels_token=original.token,
            hand_id=by_id,
            done_at=now,
            source=source,
        )
        if not cancel(wish, now=now).fresh:
            raise FactRefused("That stretch was undone or put right already: look at it again.")
        return record(fact, zone=zone, now=now)


def _source(original: Stretch, fact: Fact, source: str) -> str:
    if original.source == Source.BENCH:
        error = device_error(original.sent_at, original.received_at)
        return Source.BENCH if fact.done_at == original.done_at + error else source
    return original.source if source == Source.BENCH else source


def dispute(
    original: Stretch, tallies: list[Tally], words: str, *, token: UUID, zone: tzinfo, now: datetime
) -> Recorded:
    """Say what is wrong with a stretch in words that stand in the day book; its counts and time stay as they are.

    A stretch that can't be put right, since more hangs on it, keeps its place: the words stand beside it, in one of no
    time that made nothing.
    """
    words = words.strip()
    if not words:
        raise FactRefused("Say in a few words what is wrong with it.")
    told = replace(as_told(original, tallies, token=token), note=f"{DISPUTED}{words}"[:200])
    if can_be_corrected(original, tallies):
        return correct(original, told, by_id=original.hand_id, zone=zone, now=now)
    nothing = tuple(replace(one, made=0, spoiled=0, lost=0, reason="", seconds=None) for one in told.yields)
    beside = replace(told, yields=nothing, seconds=0, started_at=None, done_at=now, helper_ids=(), source=Source.BENCH)
    return record(replace(beside, done_on=None), zone=zone, now=now)
