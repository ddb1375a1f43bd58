"""What many orders have cost, as `shop.costing` reckons each, in a constant number of queries."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Sum

from jobs.models import Task
from shop.cost_facts import read_carries, read_worked, sources_of
from shop.cost_sums import NO_MONEY, TaskCost, carried_into, carry, own_costs
from shop.models import Issue, Outwork
from shop.rates import RateBook
from timing.models import Tally


@dataclass(slots=True)
class Spent:
    """Exact pence, and minutes at work: a stretch's own, whoever helped in it."""

    pence: Fraction = Fraction(0)
    minutes: float = 0.0


def spent_on(order_ids: Collection[int]) -> dict[int, Spent]:
    """What each of these orders has cost to date, and how long was worked on it."""
    orders = dict(Task.objects.filter(lot__order__in=order_ids).order_by().values_list("pk", "lot__order_id"))
    moves = read_carries()
    sources = sources_of(orders, moves)
    carries = [move for move in moves if move.from_task_id in sources or move.to_task_id in sources]
    worked, made, _ = read_worked(sources)
    own = own_costs(worked, RateBook.load())
    carried = carried_into(carries, carry(own, made, carries))
    found: dict[int, Spent] = defaultdict(Spent)
    for task_id, order_id in orders.items():
        money = own.get(task_id, TaskCost()).own.plus(carried.get(task_id, NO_MONEY))
        found[order_id].pence += money.total
    for charges in (Outwork, Issue):
        rows = charges._default_manager.filter(order__in=order_ids).order_by()
        for order_id, pence in rows.values_list("order_id").annotate(Sum("amount_pence")):
            found[order_id].pence += pence
    tallies = Tally.objects.filter(task__lot__order__in=order_ids).order_by()
    for order_id, seconds in tallies.values_list("task__lot__order_id").annotate(Sum("seconds")):
        found[order_id].minutes += (seconds or 0) / 60
    return found
