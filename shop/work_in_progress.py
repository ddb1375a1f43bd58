"""The value of the work in the shop at the end of a day: what unfinished orders had cost by then.

The rules, which a plain script over the exported files can follow to the penny:

1. An order is in the shop on a day if it was written down by then (`created_at`, on the shop's calendar) and had not
   ended by then (`ended_on` empty or later): the day on which it is fetched it is in the shop no more.
2. Its value is what it cost by `shop.costing`, rules 1 to 3 and 5, of facts, moves and charges of days up to that one,
   whenever they were entered: the same facts give the same value, also years later. Of the rack too: what was bought or
   counted later is of no account, though it may settle what an earlier issue cost.
3. Fractions of a penny stay exact. An order is rounded once, half up; the whole is the sum of the unrounded orders,
   rounded once. Orders on which nothing was spent are left out.
4. Spares that are left of an order when it is fetched stay in its cost; where they are moved to another order they
   take theirs along.

Beside it stands how far its wheels are, by the minutes that their work usually takes here (`shop.how_far`): by what is
wanted, and by the usual times that are kept, today.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo
from fractions import Fraction

from django.db.models import Q

from jobs.models import Order
from shop.cost_sums import Gap
from shop.costs_at_once import Spent, costs_by
from shop.csv_safe import Cell
from shop.how_far import HowFar, how_far
from shop.money import round_half_up
from shop.rates import RateBook
from timing.usual import the_usual

HEADER = (
    *("on", "order", "carriage", "customer", "taken_on", "labour_pence", "overhead_pence", "outwork_pence"),
    *("materials_pence", "value_pence", "of_which_spoiled_pence", "wheels", "whole_wheels", "wheels_untold"),
)
MONEY = ("labour", "overhead", "outwork", "materials", "spoiled", "pence")


@dataclass(frozen=True, slots=True)
class Figures:
    """Whole pence, each rounded on its own from the exact sum; `pence` is the whole."""

    labour: int
    overhead: int
    outwork: int
    materials: int
    spoiled: int
    pence: int

    @classmethod
    def of(cls, spent: Sequence[Spent]) -> "Figures":
        sums = (sum((getattr(one, name) for one in spent), Fraction(0)) for name in MONEY)
        return cls(*map(round_half_up, sums))


@dataclass(frozen=True, slots=True)
class OrderRow:
    """One order that was in the shop, and what it had cost by then."""

    order: Order
    figures: Figures
    far: HowFar


@dataclass(frozen=True, slots=True)
class WorkInProgress:
    """All of them, the oldest first; `gaps` are days on which time was worked and no rate stood, `unpriced` the names
    of materials that the rack gave and that have no price."""

    on: date
    rows: tuple[OrderRow, ...]
    whole: Figures
    gaps: tuple[Gap, ...]
    unpriced: tuple[str, ...]

    @property
    def far(self) -> HowFar:
        return HowFar.of(row.far for row in self.rows)


def work_in_progress(on: date, zone: tzinfo) -> WorkInProgress:
    """As at the end of a day: a constant number of queries, over the orders that were in the shop then."""
    after = datetime.combine(on + timedelta(days=1), time(), zone)
    there = Order.objects.filter(Q(ended_on=None) | Q(ended_on__gt=on), created_at__lt=after)
    orders = list(there.select_related("customer").order_by("number"))
    told = costs_by([order.pk for order in orders], RateBook.load(), day=on)
    far = how_far([order.pk for order in orders], told.counts, the_usual())
    spent = [(order, told.orders[order.pk]) for order in orders if told.orders[order.pk].pence]
    return WorkInProgress(
        on=on,
        rows=tuple(OrderRow(order, Figures.of([one]), far[order.pk]) for order, one in spent),
        whole=Figures.of([one for _, one in spent]),
        gaps=told.gaps,
        unpriced=told.unpriced,
    )


def file_rows(found: WorkInProgress) -> Iterator[list[Cell]]:
    """A row for each order, as `HEADER` names them."""
    for row in found.rows:
        order, figures = row.order, row.figures
        money = (figures.labour, figures.overhead, figures.outwork, figures.materials, figures.pence, figures.spoiled)
        whole = "" if row.far.whole is None else f"{float(row.far.whole):.3f}"
        beside = (row.far.wheels, whole, row.far.untold)
        yield [found.on, order.number, order.carriage, str(order.customer), order.taken_on, *money, *beside]
