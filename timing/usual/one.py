"""The timings of one operation as a page shows them: the newest of them, and what a person said of each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, Q, QuerySet

from jobs.models import Operation
from jobs.turns import take_turns
from jobs.writing import writing
from timing.models import Stretch, Tally, Verdict
from timing.models.facts import Kind
from timing.usual.read import TallyRow, Timing, timings_among, work_told

# More dots than this are no picture any more, and slow to send.
MOST = 1500


@dataclass(frozen=True, slots=True)
class Newest:
    """Timings in the order of time, and the stretch before which there are more (None where there are not)."""

    timings: Sequence[Timing]
    before: int | None


def newest_timings(
    operation: Operation, *, before: int | None = None, hand_id: int | None = None, most: int = MOST
) -> Newest:
    """Of an operation, the timings of its newest `most` stretches, or of those before the stretch of an id.

    `hand_id` asks for one hand's alone. Time told before of the same pieces is read too, of as many tallies again. A
    constant number of queries.
    """
    stretches = _stretches(operation, hand_id)
    if before is not None:
        named = Stretch.objects.filter(pk=before).values_list("done_at", "pk").first()
        stretches = stretches.filter(_before(*named, "")) if named else stretches.none()
    ends = list(stretches.order_by("-done_at", "-pk").values_list("done_at", "pk")[: most + 1])
    shown = ends[:most]
    if not shown:
        return Newest((), None)
    rows = _rows(operation, hand_id, first=shown[-1], last=shown[0])
    told = {row.tally_id for row in rows}
    timings = [one for one in timings_among(_told_before(rows, shown[-1]) + rows) if one.row.tally_id in told]
    return Newest(timings, shown[-1][1] if len(ends) > most else None)


def say_of(tally: Tally, *, counts: bool, at: datetime, by: User) -> None:
    """Say of a timing that it counts, or that it is left out, until the other is said. The same again changes nothing.

    The usual times heed it when they are next worked out; no count, cost or pay does.
    """
    with writing():
        take_turns("verdicts")
        if Verdict.objects.filter(tally=tally, counts=counts).exists():
            return
        Verdict.objects.update_or_create(tally=tally, defaults={"counts": counts, "said_at": at, "said_by": by})


def _stretches(operation: Operation, hand_id: int | None) -> QuerySet[Stretch]:
    undone = Stretch.objects.filter(cancels_token=OuterRef("token"))
    rows = Stretch.objects.filter(operation=operation, kind=Kind.WORK, cancels_token=None).filter(~Exists(undone))
    return rows if hand_id is None else rows.filter(hand=hand_id)


def _rows(
    operation: Operation, hand_id: int | None, *, first: tuple[datetime, int], last: tuple[datetime, int]
) -> list[TallyRow]:
    asked: dict[str, Any] = {"stretch__operation": operation} | ({} if hand_id is None else {"stretch__hand": hand_id})
    # The moments alone are what an index can be walked by; the ids only part what is of one moment.
    asked |= {"stretch__done_at__gte": first[0], "stretch__done_at__lte": last[0]}
    rows = (
        work_told()
        .filter(**asked)
        .exclude(_before(*first, "stretch__"))
        .exclude(stretch__done_at=last[0], stretch__gt=last[1])
        .order_by("stretch__done_at", "stretch_id", "pk")
    )
    return [TallyRow(*row) for row in rows]


def _told_before(rows: Sequence[TallyRow], first: tuple[datetime, int]) -> list[TallyRow]:
    """What was told last of the same tasks before: unfinished time may be among it."""
    tasks = {row.task_id for row in rows if row.task_id is not None}
    if not tasks:
        return []
    earlier = work_told().filter(task__in=tasks).filter(_before(*first, "stretch__"))
    newest = earlier.order_by("-stretch__done_at", "-stretch_id", "-pk")[:MOST]
    return [TallyRow(*row) for row in newest][::-1]


def _before(at: datetime, pk: int, where: str) -> Q:
    return Q(**{f"{where}done_at__lt": at}) | Q(**{f"{where}done_at": at, f"{where}id__lt": pk})
