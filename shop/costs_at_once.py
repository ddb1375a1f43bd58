"""What many orders have cost, as `shop.costing` reckons each, now or by a day, in a constant number of queries.

By a day: facts, moves and charges of that day and of those before it, whenever they were written down. A contra bears
the day of what it undoes, so that the same facts always give the same sums.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from django.db.models import Q, QuerySet, Sum

from jobs.counts import Counts, Line
from jobs.models import Task
from shop.cost_facts import read_carries, read_worked, sources_of
from shop.cost_sums import NO_MONEY, Carry, Gap, TaskCost, carried_into, carry, join_gaps, own_costs, spoiled_share
from shop.models import Issue, Outwork
from shop.rates import RateBook
from timing.models import Tally

NOTHING = Fraction(0)
# Units made, pieces spoiled, units lost, and those of them that went with no spoiled piece.
NONE = (0, 0, 0, 0)
# Wanted, made, spoiled, lost, and whether it is live, of a line before its counters are told.
UNTOLD = (0, 0, 0, 0, True)


@dataclass(slots=True)
class Spent:
    """Exact pence, and minutes at work: a stretch's own, whoever helped in it. `spoiled` is of labour and overhead."""

    labour: Fraction = NOTHING
    overhead: Fraction = NOTHING
    outwork: Fraction = NOTHING
    materials: Fraction = NOTHING
    spoiled: Fraction = NOTHING
    minutes: float = 0.0

    @property
    def work(self) -> Fraction:
        return self.labour + self.overhead

    @property
    def pence(self) -> Fraction:
        return self.work + self.outwork + self.materials


@dataclass(frozen=True, slots=True)
class SpentOn:
    """By the id of an order; `gaps` are days on which time was worked and no rate stood."""

    orders: Mapping[int, Spent]
    gaps: tuple[Gap, ...]


def spent_on(order_ids: Collection[int]) -> Mapping[int, Spent]:
    """What each of these orders has cost to date, and how long was worked on it."""
    return costs_by(order_ids, RateBook.load()).orders


def costs_by(order_ids: Collection[int], rates: RateBook, *, day: date | None = None) -> SpentOn:
    """What each of these orders had cost by the end of a day (all there is, if None), spoiled work in it told apart."""
    tasks = _tasks(order_ids)
    moves = read_carries(day)
    sources = sources_of(tasks, moves)
    carries = [move for move in moves if move.from_task_id in sources or move.to_task_id in sources]
    worked, made, _ = read_worked(sources, day)
    own = own_costs(worked, rates)
    carried = carried_into(carries, carry(own, made, carries))
    shares = _spoiled_shares(order_ids, tasks, carries, day)
    found: dict[int, Spent] = defaultdict(Spent)
    for task_id, line in tasks.items():
        money = own.get(task_id, TaskCost()).own.plus(carried.get(task_id, NO_MONEY))
        spent = found[line.order_id]
        spent.labour += money.labour
        spent.overhead += money.overhead
        spent.spoiled += money.total * shares.get(task_id, 0)
    _add_charges(found, order_ids, day)
    tallies = _told_by(Tally.objects.filter(task__lot__order__in=order_ids).order_by(), day)
    for order_id, seconds in tallies.values_list("task__lot__order_id").annotate(Sum("seconds")):
        found[order_id].minutes += (seconds or 0) / 60
    return SpentOn(found, join_gaps(gap for task_id in tasks if task_id in own for gap in own[task_id].gaps))


def _add_charges(found: dict[int, Spent], order_ids: Collection[int], day: date | None) -> None:
    for charges, part in ((Outwork, "outwork"), (Issue, "materials")):
        rows = charges._default_manager.filter(order__in=order_ids).order_by()
        if day:
            rows = rows.filter(on__lte=day)
        for order_id, pence in rows.values_list("order_id").annotate(Sum("amount_pence")):
            setattr(found[order_id], part, Fraction(pence))


def _told_by(tallies: QuerySet[Tally], day: date | None) -> QuerySet[Tally]:
    return tallies if day is None else tallies.filter(stretch__done_on__lte=day)


def _tasks(order_ids: Collection[int]) -> dict[int, Line]:
    """The tasks of these orders without their counters, which are those of today."""
    columns = ("pk", "lot__order_id", "lot_id", "wheel_id", "part_id", "operation__part", "operation_id")
    rows = Task.objects.filter(lot__order__in=order_ids).order_by()
    return {
        pk: Line(pk, order, lot, wheel, part, kind, operation, position, units, *UNTOLD)
        for pk, order, lot, wheel, part, kind, operation, position, units in rows.values_list(
            *columns, "operation__position", "units"
        )
    }


def _spoiled_shares(
    order_ids: Collection[int], tasks: Mapping[int, Line], carries: Sequence[Carry], day: date | None
) -> dict[int, Fraction]:
    """The share of each task's work that went into spoiled pieces, by counters as the facts up to a day tell them."""
    tallies = _told_by(Tally.objects.filter(task__lot__order__in=order_ids).order_by(), day)
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
    counts = Counts(lines.values())
    return {
        task_id: share
        for task_id, line in lines.items()
        if (
            share := spoiled_share(
                made=line.made,
                spoiled=line.spoiled,
                lost=line.lost,
                units=line.units,
                spoiled_later=counts.spoiled_later(line),
                set_back=told.get(task_id, NONE)[3],
            )
        )
    }
