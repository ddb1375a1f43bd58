"""What an order will have cost when it is done: what it has cost so far, and what the rest of it will take.

The rules, told on the page:

1. Of each live task the units left (`jobs.counts`) take what they usually take here, after those that are made already:
   a batch is set up once. An hour costs what it does today (`shop.quoting.hours`), also of who
   will be paid by the piece. Time spent on a piece that is not
   told as made yet is in the cost so far, and the piece is still whole to come.
2. Work that the quotation has done outside takes none of it, nor do pieces that are away now: somebody asks a price.
   Of the outwork that was quoted, what is not entered yet is to come; what was not quoted is not known, and is told.
3. Timber and iron by the lists of the wheels as they are now, at today's prices. Of each material so much less as the
   rack gave these wheels, whatever that cost; the rest, and goods as quoted, less what was bought for these wheels or
   given of what is on no list, whatever it was. What has no price is told, and counts as nothing.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property

from jobs.measures import Unit
from jobs.models import Lot, Operation, Order, Trip
from jobs.models.operations import Trade
from jobs.words import in_words
from shop.cost_facts import CostFacts
from shop.costing import OrderCost, TaskLine
from shop.models import Revision, Shop
from shop.quote_outcome import accepted_of
from shop.quoting.completion import Listed, ToCome, shared_by, yet_to_buy, yet_to_give
from shop.quoting.frozen import thaw
from shop.quoting.hours import HourCost, Hours
from shop.quoting.iron import Irons, refused_by_iron
from shop.quoting.pricing import Spread
from shop.quoting.reckoning import Reckoned, money_of, unknown_yet
from shop.quoting.timber import timber_rows
from shop.rates import RateBook
from shop.stores.given import WheelOf, is_live, lying, sum_given
from shop.timber_stock import Timbers
from timing.forecast import Line, Lines, forecast_lines
from timing.usual import Usual, the_usual

# Whose work is begun or about to be, and not yet fetched.
STATES = (*Order.WORK_STATES, Order.State.READY)


@dataclass(frozen=True, slots=True)
class Quoted:
    """What was accepted for an order: the price before tax, and what it rests on."""

    revisions: tuple[Revision, ...]
    told: tuple[Reckoned, ...]

    @property
    def price(self) -> int:
        return sum(one.price_pence or 0 for one in self.revisions)

    @property
    def outside(self) -> frozenset[str]:
        """The trades whose work somebody outside does."""
        return frozenset(trade for one in self.revisions for trade in one.outside)


@dataclass(frozen=True, slots=True)
class Batch:
    """The units left of one operation in one lot, with those made before them; `tasks` have some left."""

    operation: Operation
    lot: Lot
    made: int
    tasks: tuple[TaskLine, ...]
    left: int


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is to come, each wheel's likely part of the work by its id, and what the sums leave out."""

    to_come: ToCome
    by_wheel: Mapping[int, int]
    missing: tuple[str, ...]
    quoted: Quoted | None
    units_left: int


def quoted_for(order: Order) -> Quoted | None:
    """None where an order came from no quotation."""
    revisions = accepted_of([order.pk])
    if not any(one.quote.order_id for one in revisions):
        return None
    return Quoted(tuple(revisions), tuple(thaw(one.frozen or {}) for one in revisions))


def cost_ahead(
    facts: CostFacts, cost: OrderCost, rates: RateBook, shop: Shop, *, on: date, words: Mapping[str, str], unit: Unit
) -> Ahead | None:
    """What an order will still cost, at the rates and prices of a day; None where it is not at work or ready.

    Reads the saved usual times, hands, materials and quotations: a constant number of queries.
    """
    if facts.order.state not in STATES:
        return None
    return _Reckoning(facts, cost, rates, shop, on, words, unit).ahead()


class _Reckoning:
    def __init__(
        self,
        facts: CostFacts,
        cost: OrderCost,
        rates: RateBook,
        shop: Shop,
        on: date,
        words: Mapping[str, str],
        unit: Unit,
    ) -> None:
        self.facts, self.cost, self.rates, self.shop = facts, cost, rates, shop
        self.on, self.words, self.unit = on, words, unit
        self.usual: Usual = the_usual()
        self.hours = Hours(rates, self.usual, on=on)
        self.quoted = quoted_for(facts.order)
        self._costs: dict[int, HourCost | None] = {}
        self._missing: list[str] = []

    def ahead(self) -> Ahead:
        batches = self._batches()
        known = [one for one in batches if self._is_known(one.operation)]
        lines, places = self._forecast(known)
        to_come, by_wheel = self._work(known, lines, places)
        return Ahead(to_come, by_wheel, tuple(dict.fromkeys(self._missing)), self.quoted, sum(b.left for b in batches))

    @cached_property
    def _outside(self) -> frozenset[str]:
        return self.quoted.outside if self.quoted else frozenset()

    def _batches(self) -> list[Batch]:
        """What the shop's own hands have left, operation by operation and lot by lot."""
        lots = {lot.pk: lot for lot in self.facts.lots}
        away = self._away()
        alike: dict[tuple[int, int], list[TaskLine]] = defaultdict(list)
        made: Counter[tuple[int, int]] = Counter()
        for line in self.cost.tasks:
            task = line.task
            made[task.operation_id, task.lot_id] += max(0, task.made)
            if line.left > away[task.pk] and task.operation.trade not in self._outside:
                alike[task.operation_id, task.lot_id].append(line)
        return [
            Batch(
                operation=rows[0].task.operation,
                lot=lots[key[1]],
                made=made[key],
                tasks=tuple(rows),
                left=sum(row.left - away[row.task.pk] for row in rows),
            )
            for key, rows in alike.items()
        ]

    def _away(self) -> Counter[int]:
        """Units that are with another now, by task; what that will cost is told as unknown."""
        units: Counter[int] = Counter()
        rows = Trip.objects.filter(task__lot__order=self.facts.order, back_at=None).order_by()
        for task_id, pieces, of, name in rows.values_list("task_id", "pieces", "task__units", "task__operation__name"):
            units[task_id] += pieces * of
            self._missing.append(f"What will be asked for what is away now: “{in_words(name, self.words)}”.")
        return units

    def _is_known(self, operation: Operation) -> bool:
        """Whether its time and its cost of an hour are known; says what is not."""
        if not self.usual.knows(operation.key):
            self._missing.append(unknown_yet(in_words(operation.name, self.words)))
            return False
        if operation.pk not in self._costs:
            cost = self._costs[operation.pk] = self.hours.of(operation)
            self._missing += self.hours.lacking_of(cost) if cost else [self.hours.missing_of(operation)]
        return self._costs[operation.pk] is not None

    def _forecast(self, batches: Sequence[Batch]) -> tuple[Lines | None, list[int]]:
        """The lines of what was made and of what is left, and at which places the latter stand."""
        if not batches:
            return None, []
        wheels = {lot.pk: 0 for lot in self.facts.lots}
        for one in self.cost.wheels:
            wheels[one.wheel.lot_id] += not one.is_dropped
        done = [_line(one, one.made, wheels[one.lot.pk]) for one in batches if one.made]
        left = [_line(one, one.left, len(_wheels_of(one)) or wheels[one.lot.pk]) for one in batches]
        return forecast_lines(self.usual.fit, [*done, *left]), list(range(len(done), len(done) + len(left)))

    def _work(
        self, batches: Sequence[Batch], lines: Lines | None, places: Sequence[int]
    ) -> tuple[ToCome, Mapping[int, int]]:
        material, outwork = self._material(), self._outwork()
        if lines is None:
            return ToCome(None, Spread.sure(0), Spread.sure(0), material, outwork), {}
        rates = [one.pence_a_minute for one in (self._costs[batch.operation.pk] for batch in batches) if one]
        labour, overhead = zip(*rates, strict=True)
        both = [sum(one) for one in rates]
        work = money_of(lines, places, both)
        parts = [
            (float(lines.means[place]) * pence, _borne_by(batch))
            for place, pence, batch in zip(places, both, batches, strict=True)
        ]
        to_come = ToCome(
            work=work,
            labour=Spread.of(money_of(lines, places, labour)),
            overhead=Spread.of(money_of(lines, places, overhead)),
            material=material,
            outwork=outwork,
        )
        if not self.hours.has_overhead:
            self._missing.append("No overhead of an hour is kept for today: it counts as nothing.")
        return to_come, shared_by(work, parts)

    def _outwork(self) -> int:
        """Pence of outwork that was quoted and is not entered yet."""
        quoted = sum(one.outwork_pence for one in self.quoted.told) if self.quoted else 0
        left = {line.task.operation.trade for line in self.cost.tasks if line.left}
        if not quoted:
            self._missing += [
                f"The {Trade(trade).label}’s work is done outside, and no price of it stands here yet."
                for trade in sorted(left & self._outside)
            ]
        return yet_to_buy(quoted, self.cost.set.outwork)

    def _material(self) -> int:
        """Pence of timber, iron and goods that these wheels were neither given nor had bought for them yet."""
        live = Counter(one.wheel.lot_id for one in self.cost.wheels if not one.is_dropped)
        lots = [(lot, live[lot.pk]) for lot in self.facts.lots if live[lot.pk]]
        wheels = [WheelOf(one.wheel.pk, one.wheel.lot_id, one.is_dropped) for one in self.cost.wheels]
        given = sum_given(self.facts.issued, wheels)
        goods = sum(one.goods_pence for one in self.quoted.told) if self.quoted else 0
        listed = self._listed(lots, given)
        on_list = {row.material for row in listed}
        spent = Fraction(sum(row.pence for row in self.facts.materials if is_live(row, wheels)))
        spent += sum(row.pence for row in self.facts.issued if row.material_id not in on_list and is_live(row, wheels))
        return yet_to_buy(yet_to_give(listed, given) + goods, spent)

    def _listed(self, lots: Sequence[tuple[Lot, int]], given: Mapping[int, int]) -> list[Listed]:
        timbers = Timbers(on=self.on, unit=self.unit, currency=self.shop.currency)
        rows, told = timber_rows(lots, timbers, self.shop.allowances, words=self.words, unit=self.unit, given=given)
        bars = [one for one in timbers.materials.values() if one.is_bar]
        refused = refused_by_iron(lots)
        if not refused:
            currency = self.shop.currency
            irons = Irons(self.rates, bars, on=self.on, unit=self.unit, currency=currency, lie=lying(bars))
            rows += irons.rows(lots, given)
        self._missing += [*(row.missing for row in rows if row.pence is None and row.missing), *refused, *told.left_out]
        return [Listed(row.material_id, row.bought_millionths, row.pence or 0) for row in rows]


def _line(batch: Batch, units: int, wheels: int) -> Line:
    return Line(batch.operation.key, units, max(1, wheels), batch.lot.height_nm)


def _wheels_of(batch: Batch) -> set[int]:
    """The wheels that have some left of their own; loose pieces are of none."""
    return {line.task.wheel_id for line in batch.tasks if line.task.wheel_id is not None}


def _borne_by(batch: Batch) -> dict[int, int]:
    """The wheels that bear what is left, by weights: their own units, or equal shares of loose pieces."""
    weights: Counter[int] = Counter()
    for line in batch.tasks:
        for wheel_id in line.over:
            weights[wheel_id] += line.left
    return dict(weights)
