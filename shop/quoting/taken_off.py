"""What an alteration takes off: of the wheels that get another make-up, the work and material not yet spent on them.

The rules, told on the page: of the lot's work still to do today, at likely hours and at what those cost today, comes
off what is saved when these wheels leave it: the whole, less what is left to do on the wheels that stay, since
setting-up comes once and runs go quicker. Loose pieces count by the wheels' share of the lot. Timber and iron come off
likewise, only where nothing was done on those wheels yet, less what was written down as issued to them: once they are
begun, nobody can say from here what has been cut already.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from jobs.models import Lot, Operation, Wheel
from jobs.work import Work, load_lot
from shop.costing import order_cost
from shop.money import round_half_up
from timing.usual import WorkLine


@dataclass(frozen=True, slots=True)
class Instead:
    """Wheels of an order's lot that an alteration puts others in place of."""

    lot: Lot
    wheels: tuple[Wheel, ...]


@dataclass(frozen=True, slots=True)
class Left:
    """Lines of the work left on a lot, and on the wheels of it that stay; how many wheels those are.

    `is_begun` tells whether anything was done on the wheels that leave; `issued` is pence of material for them.
    """

    all_work: tuple[WorkLine, ...]
    all_wheels: int
    staying_work: tuple[WorkLine, ...]
    staying_wheels: int
    is_begun: bool
    issued: Fraction


@dataclass(frozen=True, slots=True)
class TakenOff:
    """Pence that are not spent on the old make-up, by what they would have gone to; and likely minutes, by operation.

    `minutes` are those of all the work together, `of` those of each operation by its key.
    """

    name: str
    work: int
    material: int
    is_begun: bool
    minutes: float = 0.0
    of: Mapping[str, float] = field(default_factory=dict)

    @property
    def pence(self) -> int:
        return self.work + self.material


def share_of(units: int, wheels: int, *, of: int) -> int:
    """Units that fall to so many wheels of a lot, to the nearest, a half up: all for all its wheels."""
    return round_half_up(Fraction(units * wheels, of)) if of else 0


def material_left(reckoned: int, issued: Fraction, *, is_begun: bool) -> int:
    """Pence of material that is not yet spent: none once the wheels are begun, and never below nothing."""
    return 0 if is_begun else max(0, reckoned - round_half_up(issued))


def work_left(one: Instead, operations: Iterable[Operation], *, words: Mapping[str, str]) -> Left:
    """What is still to be done on the lot as it is, and without the wheels that leave it."""
    lot, work = load_lot(one.lot.pk)
    known = {operation.pk: operation for operation in operations}
    live = {wheel.pk for wheel in work.wheels(lot)}
    leaving = {wheel.pk for wheel in one.wheels}

    def lines(ids: set[int]) -> tuple[WorkLine, ...]:
        units = _units_left(lot, work, ids)
        return tuple(
            WorkLine(known[operation_id], 0, left, len(ids), lot.height_nm)
            for operation_id, left in units.items()
            if operation_id in known and left > 0
        )

    cost = order_cost(lot.order, words=words)
    issued = sum((cost.of_wheel(pk).cost.materials for pk in leaving), Fraction(0))
    theirs = [task for task in work.tasks(lot=lot) if task.wheel_id is None or task.wheel_id in leaving]
    is_begun = any(task.made or task.spoiled or task.seconds for task in theirs)
    staying = live - leaving
    return Left(lines(live), len(live), lines(staying), len(staying), is_begun, issued)


def _units_left(lot: Lot, work: Work, ids: set[int]) -> Counter[int]:
    """Units still to be made for these wheels, by operation: their own, and their share of the lot's loose pieces."""
    live = len(work.wheels(lot))
    units: Counter[int] = Counter()
    for task in work.tasks(lot=lot):
        if task.wheel_id is None:
            units[task.operation_id] += share_of(work.left(task), len(ids), of=live)
        elif task.wheel_id in ids:
            units[task.operation_id] += work.left(task)
    return units


def taken_off_in_words(one: TakenOff, money: Mapping[str, str]) -> str:
    """What comes off and why, for the page that prices it. `money` has its sums written out."""
    if one.is_begun:
        why = "its timber and iron stay charged, since it is begun"
    else:
        why = f"its timber and iron, {money['material']}"
    return (
        f"Taken off for the {one.name} as agreed: {money['pence']}. That is its work not yet done, at the likely hours "
        f"and today’s rates, {money['work']}; {why}."
    )
