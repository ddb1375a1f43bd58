"""The counters of tasks as the facts of days up to one tell them, whenever those were written down.

What is wanted, and what was dropped, is of today: no fact tells how that was on an earlier day.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q, QuerySet, Sum

from jobs.counts import Counts, Line
from jobs.models import Task
from shop.cost_sums import Carry
from timing.models import Tally

# Units made, pieces spoiled, units lost, and those of them that went with no spoiled piece.
NONE = (0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class CountsBy:
    """`set_back` are units lost with no spoiled piece, by task: those pieces are cut again."""

    counts: Counts
    set_back: Mapping[int, int]


def lines_of(order_ids: Collection[int]) -> dict[int, Line]:
    """The tasks of these orders by their ids, their counters at nothing."""
    columns = ("pk", "lot__order_id", "lot_id", "wheel_id", "part_id", "operation__part", "operation_id")
    more = ("operation__position", "units", "wanted", "dropped_at")
    rows = Task.objects.filter(lot__order__in=order_ids).order_by().values_list(*columns, *more)
    return {
        pk: Line(pk, order, lot, wheel, part, kind, operation, position, units, wanted, 0, 0, 0, gone is None, anew)
        for pk, order, lot, wheel, part, kind, operation, position, units, wanted, gone, anew in rows.annotate(
            anew=Q(part__dropped_at__isnull=False)
        )
    }


def told_by(tallies: QuerySet[Tally], day: date | None) -> QuerySet[Tally]:
    """Those of days up to one; all of them, if None."""
    return tallies if day is None else tallies.filter(stretch__done_on__lte=day)


def counts_by(
    order_ids: Collection[int], tasks: Mapping[int, Line], carries: Sequence[Carry], day: date | None
) -> CountsBy:
    """The counters of these tasks by the end of a day. `carries` are the moves by then that touch them."""
    tallies = told_by(Tally.objects.filter(task__lot__order__in=order_ids).order_by(), day)
    sums = tallies.values_list("task_id").annotate(
        Sum("made"), Sum("spoiled"), Sum("lost"), set_back=Sum("lost", filter=Q(spoiled=0), default=0)
    )
    told = {task_id: tuple(counts) for task_id, *counts in sums}
    moved: dict[int, int] = defaultdict(int)
    for row in carries:
        moved[row.to_task_id] += row.units_to
        moved[row.from_task_id] -= row.units_from
    lines = {}
    for task_id, line in tasks.items():
        made, spoiled, lost, _ = told.get(task_id, NONE)
        lines[task_id] = replace(line, made=made + moved.get(task_id, 0), spoiled=spoiled, lost=lost)
    return CountsBy(Counts(lines.values()), {task_id: counts[3] for task_id, counts in told.items()})
