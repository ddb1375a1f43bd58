"""What many orders have cost, as `shop.costing` reckons each, now or by a day, in a constant number of queries.

By a day: facts, moves and charges of that day and of those before it, whenever they were written down. A contra bears
the day of what it undoes, so that the same facts always give the same sums. What the rack gave is priced by what was
bought, counted and issued on days up to that one, too.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import Sum

from jobs.counts import Counts
from shop.cost_facts import read_carries, read_worked, sources_of
from shop.cost_sums import NO_MONEY, Gap, TaskCost, carried_into, carry, join_gaps, own_costs, spoiled_share
from shop.counts_by_day import CountsBy, counts_by, lines_of, told_by
from shop.models import Issue, Outwork
from shop.rates import RateBook
from shop.stores.book import issued_to, unpriced
from timing.models import Tally

NOTHING = Fraction(0)


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
    """By the id of an order; `gaps` are days on which time was worked and no rate stood, `unpriced` the names of
    materials that the rack gave and that have no price. `counts` are as of the day."""

    orders: Mapping[int, Spent]
    counts: Counts
    gaps: tuple[Gap, ...]
    unpriced: tuple[str, ...]


def spent_on(order_ids: Collection[int]) -> Mapping[int, Spent]:
    """What each of these orders has cost to date, and how long was worked on it."""
    return costs_by(order_ids, RateBook.load()).orders


def costs_by(order_ids: Collection[int], rates: RateBook, *, day: date | None = None) -> SpentOn:
    """What each of these orders had cost by the end of a day (all there is, if None), spoiled work in it told apart."""
    tasks = lines_of(order_ids)
    moves = read_carries(day)
    sources = sources_of(tasks, moves)
    carries = [move for move in moves if move.from_task_id in sources or move.to_task_id in sources]
    work = read_worked(sources, day, book=rates)
    own = own_costs(work.worked, rates)
    carried = carried_into(carries, carry(own, work.made, carries))
    counted = counts_by(order_ids, tasks, carries, day)
    shares = _spoiled_shares(counted)
    found: dict[int, Spent] = defaultdict(Spent)
    for task_id, line in tasks.items():
        money = own.get(task_id, TaskCost()).own.plus(carried.get(task_id, NO_MONEY))
        spent = found[line.order_id]
        spent.labour += money.labour
        spent.overhead += money.overhead
        spent.spoiled += money.total * shares.get(task_id, 0)
    _add_charges(found, order_ids, day)
    issued = issued_to(order_ids, rates, until=day)
    for row in issued:
        found[row.order_id].materials += row.pence
    tallies = told_by(Tally.objects.filter(task__lot__order__in=order_ids).order_by(), day)
    for order_id, seconds in tallies.values_list("task__lot__order_id").annotate(Sum("seconds")):
        found[order_id].minutes += (seconds or 0) / 60
    gaps = join_gaps(gap for task_id in tasks if task_id in own for gap in own[task_id].gaps)
    return SpentOn(found, counted.counts, gaps, unpriced(issued))


def _add_charges(found: dict[int, Spent], order_ids: Collection[int], day: date | None) -> None:
    for charges, part in ((Outwork, "outwork"), (Issue, "materials")):
        rows = charges._default_manager.filter(order__in=order_ids).order_by()
        if day:
            rows = rows.filter(on__lte=day)
        for order_id, pence in rows.values_list("order_id").annotate(Sum("amount_pence")):
            setattr(found[order_id], part, Fraction(pence))


def _spoiled_shares(told: CountsBy) -> dict[int, Fraction]:
    """The share of each task's work that went into spoiled pieces."""
    counts = told.counts
    return {
        task_id: share
        for task_id, line in counts.lines.items()
        if (
            share := spoiled_share(
                made=line.made,
                spoiled=line.spoiled,
                lost=line.lost,
                units=line.units,
                spoiled_later=counts.spoiled_later(line),
                set_back=told.set_back.get(task_id, 0),
            )
        )
    }
