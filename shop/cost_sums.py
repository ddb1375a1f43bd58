"""The sums of cost, exact to the last step: numbers in, numbers out.

Amounts are `Fraction`s of pence (the minor unit of the shop's currency) and are rounded once, where they are shown.
The rules stand in `shop.costing`.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import NamedTuple, Protocol

SECONDS_IN_AN_HOUR = 3600
MILLIPENCE_IN_A_PENNY = 1000
NOTHING = Fraction(0)


class Rates(Protocol):
    """What `shop.rates.RateBook` answers: millipence an hour on a day, or None where there is no rate."""

    def cost(self, hand_id: int, on: date) -> int | None: ...

    def overhead(self, on: date) -> int | None: ...


class Worked(NamedTuple):
    """Seconds that one person gave to a task on one day, as hand or helper; contra tallies are in the sum.

    `earned` is pence of labour where the person's pieces were paid and not the hours; `is_bare`: no more than was paid
    for them, since it is not known what an hour of the person costs beside its wage.
    """

    task_id: int
    person_id: int
    day: date
    seconds: int
    earned: Fraction | None = None
    is_bare: bool = False


class Carry(NamedTuple):
    """One move of pieces, in the units that it took from one task and gave to the other: an operation may have more in
    a piece of another make-up. A contra names the move that it takes back."""

    move_id: int
    from_task_id: int
    to_task_id: int
    units_from: int
    units_to: int
    takes_back: int | None = None


class Money(NamedTuple):
    """Pence of labour and of overhead."""

    labour: Fraction = NOTHING
    overhead: Fraction = NOTHING

    @property
    def total(self) -> Fraction:
        return self.labour + self.overhead

    def plus(self, other: "Money") -> "Money":
        return Money(self.labour + other.labour, self.overhead + other.overhead)

    def times(self, share: Fraction | int) -> "Money":
        return Money(self.labour * share, self.overhead * share)


NO_MONEY = Money()


@dataclass(frozen=True, slots=True)
class Gap:
    """Days on which time was worked and no rate stood: the sum leaves that time out. No person: the overhead.

    `is_pieces`: pieces were paid, and cost what they earned alone.
    """

    person_id: int | None
    first_on: date
    last_on: date
    seconds: int
    is_pieces: bool = False

    def joined(self, other: "Gap") -> "Gap":
        return Gap(
            self.person_id,
            min(self.first_on, other.first_on),
            max(self.last_on, other.last_on),
            self.seconds + other.seconds,
            self.is_pieces,
        )


# Whose rate there was none of, and whether it was for pieces.
Lack = tuple[int | None, bool]


@dataclass(frozen=True, slots=True)
class TaskCost:
    """What one task has cost: by its own facts, with what moves of pieces carried to it or from it."""

    own: Money = NO_MONEY
    carried: Money = NO_MONEY
    seconds: int = 0
    gaps: tuple[Gap, ...] = ()

    @property
    def cost(self) -> Money:
        return self.own.plus(self.carried)


def pence_of(seconds: int, rate_millipence: int) -> Fraction:
    """What some seconds cost at a rate in millipence an hour."""
    return Fraction(seconds * rate_millipence, SECONDS_IN_AN_HOUR * MILLIPENCE_IN_A_PENNY)


def own_costs(worked: Iterable[Worked], rates: Rates) -> dict[int, TaskCost]:
    """The cost of each task by its own facts: every person's seconds at that person's rate, or what its pieces earned,
    and the seconds at the overhead's."""
    # Whole numbers of millipence x seconds until the end: a Fraction for every row would take most of the time.
    labour: dict[int, int] = defaultdict(int)
    overhead: dict[int, int] = defaultdict(int)
    pieces: dict[int, Fraction] = defaultdict(Fraction)
    seconds: dict[int, int] = defaultdict(int)
    gaps: dict[int, dict[Lack, Gap]] = defaultdict(dict)
    for row in worked:
        seconds[row.task_id] += row.seconds
        by_hour: list[tuple[int | None, int | None, dict[int, int]]] = [(None, rates.overhead(row.day), overhead)]
        if row.earned is None:
            by_hour.append((row.person_id, rates.cost(row.person_id, row.day), labour))
        else:
            pieces[row.task_id] += row.earned
            if row.is_bare and row.earned:
                _add_gap(gaps[row.task_id], Gap(row.person_id, row.day, row.day, row.seconds, is_pieces=True))
        for person_id, rate, sums in by_hour:
            if rate is not None:
                sums[row.task_id] += row.seconds * rate
            elif row.seconds:
                _add_gap(gaps[row.task_id], Gap(person_id, row.day, row.day, row.seconds))
    return {
        task_id: TaskCost(
            own=Money(pence_of(1, labour[task_id]) + pieces.get(task_id, NOTHING), pence_of(1, overhead[task_id])),
            seconds=seconds[task_id],
            gaps=tuple(gaps[task_id].values()) if task_id in gaps else (),
        )
        for task_id in seconds
    }


def join_gaps(gaps: Iterable[Gap]) -> tuple[Gap, ...]:
    """One gap for each person, by the hour and by the piece, from the first day to the last."""
    joined: dict[Lack, Gap] = {}
    for gap in gaps:
        _add_gap(joined, gap)
    return tuple(joined.values())


def _add_gap(gaps: dict[Lack, Gap], gap: Gap) -> None:
    lack = gap.person_id, gap.is_pieces
    before = gaps.get(lack)
    gaps[lack] = before.joined(gap) if before else gap


def carry(own: Mapping[int, TaskCost], made: Mapping[int, int], carries: Sequence[Carry]) -> dict[int, Money]:
    """What each move carried, by its id, worked through in the order in which they were written.

    `made` are the units that a task's own facts say. Pieces take their share of what the task has cost so far;
    no more than all of it, and nothing from a task in which there are none. A contra takes back exactly what its
    original carried.
    """
    pool: dict[int, Money] = {task_id: cost.own for task_id, cost in own.items()}
    units: dict[int, int] = dict(made)
    carried: dict[int, Money] = {}
    for row in sorted(carries):
        if row.takes_back is not None:
            amount = carried.get(row.takes_back, NO_MONEY).times(-1)
        else:
            there = units.get(row.from_task_id, 0)
            share = min(Fraction(1), Fraction(row.units_from, there)) if there > 0 else NOTHING
            amount = pool.get(row.from_task_id, NO_MONEY).times(share)
        carried[row.move_id] = amount
        pool[row.from_task_id] = pool.get(row.from_task_id, NO_MONEY).plus(amount.times(-1))
        pool[row.to_task_id] = pool.get(row.to_task_id, NO_MONEY).plus(amount)
        units[row.from_task_id] = units.get(row.from_task_id, 0) - row.units_from
        units[row.to_task_id] = units.get(row.to_task_id, 0) + row.units_to
    return carried


def carried_into(carries: Iterable[Carry], amounts: Mapping[int, Money]) -> dict[int, Money]:
    """For each task, what was carried to it less what was carried from it. Over all tasks it sums to nothing."""
    sums: dict[int, Money] = defaultdict(Money)
    for row in carries:
        sums[row.to_task_id] = sums[row.to_task_id].plus(amounts[row.move_id])
        sums[row.from_task_id] = sums[row.from_task_id].plus(amounts[row.move_id].times(-1))
    return dict(sums)


def spoiled_share(*, made: int, spoiled: int, lost: int, units: int, spoiled_later: int, set_back: int = 0) -> Fraction:
    """The share of a task's work that went into spoiled pieces, from nothing to all of it.

    `made` and `lost` are units; `spoiled` and `spoiled_later` are pieces, of so many `units` each: those spoiled
    in this operation, and those that had it behind them when a later one spoiled them. Of the lost units `set_back`
    went with no spoiled piece: they are to be cut again. The others had been made before they were spoiled.
    """
    used = units * (spoiled + spoiled_later) + set_back
    of = made + units * spoiled - (lost - set_back)
    if used <= 0:
        return NOTHING
    return min(Fraction(1), Fraction(used, of)) if of > 0 else Fraction(1)
