"""What each wheel of an order, and the set, has cost to date.

The rules, which a plain script over the exported files can follow to the penny:

1. The cost rate of a hand on a day is the row of the latest `from_on` not after the day; of rows of one `from_on`, the
   one written last (the highest id). The overhead's likewise. A missing rate counts as nothing, and is named.
2. A tally of s seconds on day d (its stretch's `done_on`) costs, over the hand and every helper of its stretch,
   s x (sum of their cost rates) / 3600 of labour and s x (number of them) x (overhead rate) / 3600 of overhead.
   No seconds: nothing, and its units are named as untimed. Contra tallies are negative: everything is a plain sum.
3. Moves, in the order of their ids, carry cost between tasks: of what the task has cost so far, the share
   units moved / (units made by facts, plus moved in, less moved out so far), at most all and nothing where there are
   no units. A piece is as many units as the operation has in one, at either end. A contra takes back exactly what its
   original carried.
4. The cost of a wheel's task goes to the wheel; that of a lot's loose pieces equally to the lot's wheels that are not
   dropped, or to all where every one is. A dropped wheel keeps what was its own.
5. Outwork and materials: on a wheel, to it; on a lot, shared as loose pieces are; on the order, equally to all its
   wheels that are not dropped, or to all. Material from the rack costs what was bought of it first, in exact pence:
   the rules are those of `shop.stores.fifo`. It follows from the facts alone, so that a bill which comes late corrects
   what was reckoned without it, as a late rate does; nothing is frozen at entry.
6. Fractions of a penny stay exact. A wheel is rounded once, half up; the set is the sum of the unrounded wheels,
   dropped ones too, rounded once. The parts of a sum are each rounded on their own.
7. Spoiled, "of which": of each task's cost after moves, the share
   (units x (spoiled here + spoiled at later operations of that part) + set back) /
   (made + units x spoiled here - (lost - set back)), from nothing to all. Set back are the units lost in tallies that
   spoiled nothing: those pieces are cut again. The other lost units had been made before their pieces were spoiled.
   For loose pieces "that part" is the kind of part in the lot; in a wheel, the very part.
   The counters are the task's own: moves are in `made`.
8. Of a hand who is paid by the piece on the day, work whose operation (the stretch's) has a piece rate for wheels of
   that height costs in labour units x piece rate x (its cost rate / its wage) in place of its hours; without both of
   these rates, units x piece rate. Units are those made, passed or not, and of spoiled pieces those that are paid
   (`shop.pay.terms`): by the settings of the closed run that the day is in, else those that the timber spoiled. What
   somebody outside did, and charges for under the stretch's token, earns nothing here. Untimed units bear no overhead,
   and are named. Helpers, and overhead, go by the hour as in rule 2. What makes pieces good to a guarantee or a law,
   overtime and bonuses are in no wheel's cost.
9. Breaks, waiting, shop work and training are in no wheel's cost.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from functools import cached_property

from jobs.models import Order, Task, Wheel
from jobs.work import Work
from shop.cost_facts import Charged, CostFacts, names_of, read_cost_facts, sources_of
from shop.cost_notes import left_out, unpriced_material
from shop.cost_sums import NO_MONEY, NOTHING, TaskCost, carried_into, carry, join_gaps, own_costs, spoiled_share
from shop.models import Shop
from shop.money import round_half_up
from shop.rates import RateBook
from shop.stores.book import RackIssue

# Where the cost of a piece of work or of a charge goes: the ids of wheels, in equal shares; none for an order
# that has no wheels.
Over = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Cost:
    """Pence, exact. `spoiled` is of the labour and overhead, not beside them; `spoiled_seconds` are worked seconds."""

    labour: Fraction = NOTHING
    overhead: Fraction = NOTHING
    outwork: Fraction = NOTHING
    materials: Fraction = NOTHING
    spoiled: Fraction = NOTHING
    spoiled_seconds: Fraction = NOTHING
    seconds: Fraction = NOTHING

    @property
    def total(self) -> Fraction:
        return self.labour + self.overhead + self.outwork + self.materials

    @property
    def labour_pence(self) -> int:
        return round_half_up(self.labour)

    @property
    def overhead_pence(self) -> int:
        return round_half_up(self.overhead)

    @property
    def outwork_pence(self) -> int:
        return round_half_up(self.outwork)

    @property
    def materials_pence(self) -> int:
        return round_half_up(self.materials)

    @property
    def spoiled_pence(self) -> int:
        return round_half_up(self.spoiled)

    @property
    def spoiled_minutes(self) -> int:
        return round_half_up(self.spoiled_seconds / 60)

    @property
    def pence(self) -> int:
        """The whole, rounded half up once."""
        return round_half_up(self.total)

    @property
    def parts_over_pence(self) -> int:
        """How much more the four rounded parts add up to than the rounded whole."""
        parts = self.labour_pence + self.overhead_pence + self.outwork_pence + self.materials_pence
        return parts - self.pence

    def plus(self, other: "Cost") -> "Cost":
        return Cost(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(Cost)))

    def times(self, share: Fraction) -> "Cost":
        return Cost(*(getattr(self, one.name) * share for one in fields(Cost)))


@dataclass(frozen=True, slots=True)
class TaskLine:
    """One task's cost, the wheels that bear it in equal shares, and the units of it that are still to be made."""

    task: Task
    cost: TaskCost
    spoiled_share: Fraction
    over: Over
    left: int = 0

    @property
    def as_cost(self) -> Cost:
        """The whole task as a cost, before it is shared."""
        money = self.cost.cost
        return Cost(
            labour=money.labour,
            overhead=money.overhead,
            spoiled=money.total * self.spoiled_share,
            spoiled_seconds=self.cost.seconds * self.spoiled_share,
            seconds=Fraction(self.cost.seconds),
        )


@dataclass(frozen=True, slots=True)
class WheelCost:
    """What one wheel has cost. `notes` say in words what the sum leaves out."""

    wheel: Wheel
    cost: Cost
    notes: tuple[str, ...] = ()

    @property
    def is_dropped(self) -> bool:
        return self.wheel.dropped_at is not None


@dataclass(frozen=True)
class OrderCost:
    """What an order has cost: its wheels, and the set, which is the sum of the unrounded wheels, dropped ones too.

    `unplaced` is what was charged to an order that has no wheels; it is in the set.
    """

    order: Order
    wheels: tuple[WheelCost, ...]
    tasks: tuple[TaskLine, ...]
    unplaced: Cost
    notes: tuple[str, ...]

    @cached_property
    def set(self) -> Cost:
        return _sum([*(one.cost for one in self.wheels), self.unplaced])

    @cached_property
    def dropped(self) -> Cost:
        """Of the set, what dropped wheels have cost."""
        return _sum(one.cost for one in self.wheels if one.is_dropped)

    @property
    def has_dropped(self) -> bool:
        return any(one.is_dropped for one in self.wheels)

    @property
    def wheels_over_pence(self) -> int:
        """How much more the rounded wheels add up to than the rounded set."""
        return sum(one.cost.pence for one in self.wheels) + self.unplaced.pence - self.set.pence

    def of_wheel(self, wheel_id: int) -> WheelCost:
        """The cost of one wheel. Raises KeyError for a wheel of another order."""
        for one in self.wheels:
            if one.wheel.pk == wheel_id:
                return one
        raise KeyError(wheel_id)


def order_cost(order: Order, *, words: Mapping[str, str] | None = None) -> OrderCost:
    """The cost of an order to date, in a constant number of queries.

    `words` are the shop's own, for the notes; they are looked up where they are not given.
    """
    rates = RateBook.load()
    facts = read_cost_facts(order, rates)
    if words is None:
        words = (Shop.objects.first() or Shop()).words
    return cost_of(facts, rates, words)


def cost_of(facts: CostFacts, rates: RateBook, words: Mapping[str, str]) -> OrderCost:
    """The sums, over facts that have been read."""
    places = _Places(facts)
    own = own_costs(facts.worked, rates)
    lines = _task_lines(facts, own, places)
    sums = _shared(
        facts.wheels,
        [
            *((line.over, line.as_cost) for line in lines),
            *((places.of_charge(row), Cost(outwork=Fraction(row.pence))) for row in facts.outwork),
            *((places.of_charge(row), Cost(materials=Fraction(row.pence))) for row in facts.materials),
            *((places.of_charge(row), Cost(materials=row.pence)) for row in facts.issued),
        ],
    )
    notes = _Notes(facts, own, words)
    borne: dict[int, list[TaskLine]] = defaultdict(list)
    for line in lines:
        for wheel_id in line.over:
            borne[wheel_id].append(line)
    return OrderCost(
        order=facts.order,
        wheels=tuple(WheelCost(wheel, sums[wheel.pk], notes.of(borne[wheel.pk])) for wheel in facts.wheels),
        tasks=tuple(lines),
        unplaced=sums.get(None, Cost()),
        notes=(*notes.of(lines), *unpriced_material(facts.unpriced)),
    )


def _task_lines(facts: CostFacts, own: Mapping[int, TaskCost], places: "_Places") -> list[TaskLine]:
    """Each task's cost with what moves carried, and where it goes."""
    carried = carried_into(facts.carries, carry(own, facts.made, facts.carries))
    counts = Work([facts.order], facts.lots, facts.wheels, facts.tasks).counts
    lines = []
    for task in facts.tasks:
        cost = own.get(task.pk, TaskCost())
        share = spoiled_share(
            made=task.made,
            spoiled=task.spoiled,
            lost=task.lost,
            units=task.units,
            spoiled_later=counts.spoiled_later(counts.lines[task.pk]),
            set_back=facts.set_back.get(task.pk, 0),
        )
        cost = replace(cost, carried=carried.get(task.pk, NO_MONEY))
        left = counts.left(counts.lines[task.pk])
        lines.append(TaskLine(task, cost, share, places.of(task.lot_id, task.wheel_id), left))
    return lines


class _Places:
    """Which wheels bear what was spent on a wheel, a lot or an order."""

    def __init__(self, facts: CostFacts) -> None:
        self._order = _live_or_all(facts.wheels)
        self._lots = {
            lot.pk: _live_or_all([wheel for wheel in facts.wheels if wheel.lot_id == lot.pk]) for lot in facts.lots
        }

    def of(self, lot_id: int | None, wheel_id: int | None) -> Over:
        if wheel_id is not None:
            return (wheel_id,)
        return self._order if lot_id is None else self._lots[lot_id]

    def of_charge(self, row: Charged | RackIssue) -> Over:
        return self.of(row.lot_id, row.wheel_id)


def _live_or_all(wheels: Sequence[Wheel]) -> Over:
    live = tuple(wheel.pk for wheel in wheels if wheel.dropped_at is None)
    return live or tuple(wheel.pk for wheel in wheels)


def _shared(wheels: Sequence[Wheel], costs: Iterable[tuple[Over, Cost]]) -> dict[int | None, Cost]:
    """What each wheel bears, and under None what no wheel does.

    What goes to the same wheels is summed before it is shared: equally exact, and hundreds of wheels are gone through
    once a lot instead of once a task.
    """
    by_over: dict[Over, list[Cost]] = defaultdict(list)
    for over, cost in costs:
        by_over[over].append(cost)
    parts: dict[int | None, list[Cost]] = {wheel.pk: [] for wheel in wheels}
    for over, together in by_over.items():
        whole = _sum(together)
        if not over:
            parts[None] = [whole]
            continue
        part = whole if len(over) == 1 else whole.times(Fraction(1, len(over)))
        for wheel_id in over:
            parts[wheel_id].append(part)
    return {wheel_id: _sum(shares) for wheel_id, shares in parts.items()}


def _sum(costs: Iterable[Cost]) -> Cost:
    """A part at a time, without the noughts: most costs have no outwork, no materials and nothing spoiled."""
    costs = list(costs)
    parts = ((getattr(cost, one.name) for cost in costs) for one in fields(Cost))
    return Cost(*(sum(filter(None, amounts), NOTHING) for amounts in parts))


class _Notes:
    """What the sums of some tasks leave out, with what pieces moved to them had behind them."""

    def __init__(self, facts: CostFacts, own: Mapping[int, TaskCost], words: Mapping[str, str]) -> None:
        self._facts, self._own, self._words = facts, own, words
        missing = {gap.person_id for cost in own.values() for gap in cost.gaps if gap.person_id is not None}
        self._names = names_of(missing) if missing else {}

    def of(self, lines: Sequence[TaskLine]) -> tuple[str, ...]:
        # Pieces are moved within one operation, so a source goes by the name of the task that they came to.
        names = {
            source: line.task.operation.name
            for line in lines
            for source in sources_of({line.task.pk}, self._facts.carries)
        }
        gaps = join_gaps(gap for task_id in names if task_id in self._own for gap in self._own[task_id].gaps)
        untimed = [(name, self._facts.untimed.get(task_id, 0)) for task_id, name in names.items()]
        pieces = [(name, self._facts.untimed_pieces.get(task_id, 0)) for task_id, name in names.items()]
        return left_out(untimed, gaps, self._names, self._words, pieces=pieces)
