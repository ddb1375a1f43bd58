"""What the shop's work has cost over a period, as a whole.

The rules, told on the page:

1. Work on wheels is every tally of a task with its day in the period: labour at each hand's cost of an hour on the day,
   helpers too, or what pieces cost that were paid by the piece, and as many hours of overhead at the rate of the day,
   as `shop.costing` has it. Contra tallies bear the day of what they undo, so that everything is a plain sum. Moves
   carry cost from wheel to wheel and change nothing here.
2. What those hours bear of overhead is absorbed; what the owner wrote down for days of the period was spent.
3. Outwork and materials by their day. What the rack gave is what it had given by the end of the period, less what that
   was before it, at what it cost by the facts of days up to then: so periods add up, and a bill or a count that settles
   what earlier issues cost falls to its own period. Shop work, waiting and training are in no wheel's cost and are told
   apart, at the hands' cost of an hour.
4. Spoiled work is what `shop.costing` tells as such by the end of the period, less what it was before: a piece that is
   spoiled takes work of earlier days with it, and counts when it is spoiled.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from django.db.models import Q, QuerySet, Sum

from jobs.models import Order, Task
from jobs.models.operations import Trade
from shop.absorption import Absorbed, Spoilage, part_spoiled, rate_an_hour
from shop.cost_facts import read_hands, read_helpers
from shop.cost_sums import Gap, TaskCost, Worked, join_gaps, own_costs
from shop.costs_at_once import costs_by
from shop.models import Issue, Outwork, OverheadSpent
from shop.money import round_half_up
from shop.piece_labour import PieceLabour
from shop.rates import RateBook
from shop.stores.book import issued_between
from timing.models import Helper, Move, Stretch, Tally
from timing.models.facts import Kind

TRADES = list(Trade)
# What is in no wheel's cost and is time of hands all the same; a break is nobody's work.
APART = (Kind.SHOP, Kind.WAITING, Kind.TRAINING)


@dataclass(frozen=True, slots=True)
class Period:
    """Days from the first to the last, both in it."""

    first: date
    last: date

    @property
    def before(self) -> date:
        return self.first - timedelta(days=1)


@dataclass(frozen=True, slots=True)
class WorkRow:
    """Seconds of hands, and exact pence, of one trade's work on wheels or of one kind of other time."""

    key: str
    name: str
    seconds: int
    labour: Fraction
    overhead: Fraction = Fraction(0)

    @property
    def labour_pence(self) -> int:
        return round_half_up(self.labour)

    @property
    def overhead_pence(self) -> int:
        return round_half_up(self.overhead)

    @property
    def pence(self) -> int:
        return round_half_up(self.labour + self.overhead)


@dataclass(frozen=True, slots=True)
class OrderSum:
    """Pence that fall to one order."""

    order: Order
    pence: int


@dataclass(frozen=True, slots=True)
class PeriodCosts:
    """All that the page shows; see the rules above. `missing` is what counts found missing in the rack, and `found`
    what they found beyond what was written down."""

    period: Period
    trades: tuple[WorkRow, ...]
    apart: tuple[WorkRow, ...]
    materials: tuple[OrderSum, ...]
    materials_exact: Fraction
    outwork: tuple[OrderSum, ...]
    written: tuple[OverheadSpent, ...]
    spoiled_by: tuple[OrderSum, ...]
    spoiled: Fraction
    gaps: tuple[Gap, ...]
    missing: Fraction
    found: Fraction
    unpriced: tuple[str, ...]

    @property
    def work(self) -> WorkRow:
        """All the work on wheels together."""
        return _together("On wheels", self.trades)

    @property
    def other(self) -> WorkRow:
        """All the time that is in no wheel."""
        return _together("In no wheel", self.apart)

    @property
    def absorbed(self) -> Absorbed:
        return Absorbed(self.work.overhead, sum(row.amount_pence for row in self.written))

    @property
    def hours(self) -> Fraction:
        return Fraction(self.work.seconds, 3600)

    @property
    def bore(self) -> Fraction | None:
        """Pence of overhead that an hour on wheels bore; None where there was none."""
        return rate_an_hour(self.absorbed.absorbed, self.hours)

    @property
    def would_bear(self) -> Fraction | None:
        """Pence that it would have borne, had all that was spent been absorbed and no more."""
        return rate_an_hour(self.absorbed.spent, self.hours)

    @property
    def materials_pence(self) -> int:
        return round_half_up(self.materials_exact)

    @property
    def outwork_pence(self) -> int:
        return sum(row.pence for row in self.outwork)

    @property
    def whole(self) -> Fraction:
        """Exact pence that went into wheels: work, overhead absorbed, materials and outwork."""
        return self.work.labour + self.work.overhead + self.materials_exact + self.outwork_pence

    def spoilage(self, percent: int) -> Spoilage:
        return part_spoiled(self.spoiled, self.work.labour + self.work.overhead, percent)


def read_period(period: Period) -> PeriodCosts:
    """A constant number of queries, over what was told and written down for the period."""
    rates = RateBook.load()
    on_wheels, apart = _on_wheels(period, rates), _in_no_wheel(period)
    work, other = own_costs(on_wheels, rates), own_costs(apart, _LabourOnly(rates))
    spoiled = _spoiled(period, rates)
    rack = issued_between(period.before, period.last, rates)
    materials = _plus(rack.by_order, _charged(Issue, period))
    return PeriodCosts(
        period=period,
        trades=tuple(_row(str(TRADES[place]), str(TRADES[place].label), cost) for place, cost in sorted(work.items())),
        apart=tuple(_row(str(APART[place]), str(APART[place].label), cost) for place, cost in sorted(other.items())),
        materials=_by_order({pk: round_half_up(pence) for pk, pence in materials.items()}),
        materials_exact=sum(materials.values(), Fraction(0)),
        outwork=_by_order(_charged(Outwork, period)),
        written=tuple(_days(OverheadSpent.objects.select_related("recorded_by", "cancelled_by"), period)),
        spoiled_by=_by_order({pk: round_half_up(pence) for pk, pence in spoiled.items()}),
        spoiled=sum(spoiled.values(), Fraction(0)),
        gaps=join_gaps(gap for cost in (*work.values(), *other.values()) for gap in cost.gaps),
        missing=rack.missing,
        found=rack.found,
        unpriced=rack.unpriced,
    )


class _LabourOnly:
    """The same rates, where no overhead is laid on: 0 is a rate, and lacks nothing."""

    def __init__(self, book: RateBook) -> None:
        self.cost = book.cost

    def overhead(self, on: date) -> int:
        return 0


def _days(rows: QuerySet[OverheadSpent], period: Period) -> QuerySet[OverheadSpent]:
    return rows.filter(on__range=(period.first, period.last))


def _on_wheels(period: Period, rates: RateBook) -> list[Worked]:
    """What each hand and helper did, by the trade of the operation in place of the task."""
    told = Tally.objects.filter(task__isnull=False, stretch__done_on__range=(period.first, period.last))
    trades = dict(Task.objects.filter(tallies__in=told).order_by().values_list("pk", "operation__trade"))
    places = {task_id: TRADES.index(Trade(trade)) for task_id, trade in trades.items()}
    hands = [
        Worked(places[task_id], row.person_id, row.day, row.seconds, row.earned, row.is_bare)
        for task_id, row in read_hands(told, PieceLabour.load(rates))
    ]
    return hands + [
        Worked(places[task_id], person_id, day, seconds) for task_id, person_id, day, seconds in read_helpers(told)
    ]


def _in_no_wheel(period: Period) -> list[Worked]:
    """The same of shop work, waiting and training."""
    told = Stretch.objects.of_the_shop().filter(kind__in=APART, done_on__range=(period.first, period.last)).order_by()
    helped = Helper.objects.filter(stretch__in=told).order_by()
    found = [*told.values_list("kind", "hand_id", "done_on").annotate(Sum("seconds"))]
    found += helped.values_list("stretch__kind", "hand_id", "stretch__done_on").annotate(Sum("stretch__seconds"))
    return [Worked(APART.index(Kind(kind)), hand, day, seconds or 0) for kind, hand, day, seconds in found]


def _row(key: str, name: str, cost: TaskCost) -> WorkRow:
    return WorkRow(key, name.capitalize(), cost.seconds, cost.own.labour, cost.own.overhead)


def _together(name: str, rows: Sequence[WorkRow]) -> WorkRow:
    return WorkRow(
        key="",
        name=name,
        seconds=sum(row.seconds for row in rows),
        labour=sum((row.labour for row in rows), Fraction(0)),
        overhead=sum((row.overhead for row in rows), Fraction(0)),
    )


def _charged(kind: type[Issue] | type[Outwork], period: Period) -> dict[int, int]:
    rows = kind._default_manager.filter(on__range=(period.first, period.last)).order_by()
    return dict(rows.values_list("order_id").annotate(Sum("amount_pence")))


def _plus(exact: Mapping[int, Fraction], pence: Mapping[int, int]) -> dict[int, Fraction]:
    return {pk: exact.get(pk, Fraction(0)) + pence.get(pk, 0) for pk in exact.keys() | pence.keys()}


def _by_order(pence: Mapping[int, int]) -> tuple[OrderSum, ...]:
    """Those to which anything falls, the most first."""
    orders = Order.objects.in_bulk([pk for pk, amount in pence.items() if amount])
    found = [OrderSum(order, pence[pk]) for pk, order in orders.items()]
    return tuple(sorted(found, key=lambda row: (-row.pence, row.order.number)))


def _spoiled(period: Period, rates: RateBook) -> dict[int, Fraction]:
    """Exact pence of spoiled work that came to be known as such in the period, by order."""
    ids = _touched(period)
    until = costs_by(ids, rates, day=period.last).orders
    before = costs_by(ids, rates, day=period.before).orders
    return {pk: until[pk].spoiled - before[pk].spoiled for pk in ids if pk in until}


def _touched(period: Period) -> set[int]:
    """The orders that were worked on, or between which pieces were moved, and in which anything was ever spoiled."""
    days = (period.first, period.last)
    told = Tally.objects.filter(task__isnull=False, stretch__done_on__range=days).order_by()
    moves = Move.objects.filter(done_on__range=days).order_by()
    worked = set(told.values_list("task__lot__order_id", flat=True).distinct())
    for end in ("from_task", "to_task"):
        worked |= set(moves.values_list(f"{end}__lot__order_id", flat=True))
    spoiled = Tally.objects.filter(~Q(spoiled=0) | ~Q(lost=0), task__lot__order__in=worked).order_by()
    return set(spoiled.values_list("task__lot__order_id", flat=True).distinct())


def months_about(period: Period) -> tuple[Period, Period]:
    """The whole months before and after the month in which a period begins."""
    first = period.first.replace(day=1)
    last_month = month_of(first - timedelta(days=1))
    return last_month, month_of(first + timedelta(days=31))


def month_of(day: date) -> Period:
    first = day.replace(day=1)
    after = (first + timedelta(days=31)).replace(day=1)
    return Period(first, after - timedelta(days=1))
