"""What work that is begun will have cost when it is done: numbers in, numbers out, no database.

At completion = what it has cost so far + what is still to come, summed line by line ("estimate at completion" = actual
cost + bottom-up estimate to complete: Project Management Institute, A Guide to the Project Management Body of
Knowledge). What was spent is known; only the work to come has a range.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from shop.money import round_half_up
from shop.quoting.pricing import LIKELY, Cost, Spread
from timing.forecast import Forecast

W = TypeVar("W", bound=Hashable)


@dataclass(frozen=True, slots=True)
class ToCome:
    """What is still to come, in pence: the work by forecast, and what is bought at prices that are known.

    `labour` and `overhead` are the work's two parts, each with a range of its own; they go up and down together.
    """

    work: Forecast | None
    labour: Spread
    overhead: Spread
    material: int = 0
    outwork: int = 0

    @property
    def sure(self) -> int:
        return self.material + self.outwork

    @property
    def spread(self) -> Spread:
        return Spread.of(self.work, sure=self.sure)

    def at_completion(self, spent: Fraction) -> Cost:
        """With the exact pence that were spent so far."""
        return Cost(self.work, spent + self.sure)


@dataclass(frozen=True, slots=True)
class Listed:
    """So much of a material by the list, in millionths of its unit, and its pence; of `material` None only these."""

    material: int | None
    amount: int
    pence: int


def yet_to_give(listed: Iterable[Listed], given: Mapping[int, int]) -> Fraction:
    """Exact pence of what is listed and was not given from the rack yet: of each material so much less as was given,
    whatever that cost. What was given beyond the list takes nothing off."""
    sums: dict[int | None, tuple[int, int]] = {}
    for row in listed:
        amount, pence = sums.get(row.material, (0, 0))
        sums[row.material] = amount + row.amount, pence + row.pence
    left = Fraction(0)
    for material, (amount, pence) in sums.items():
        out = 0 if material is None else min(amount, max(0, given.get(material, 0)))
        left += Fraction(pence * (amount - out), amount) if out else pence
    return left


def yet_to_buy(listed: Fraction | int, bought: Fraction | int) -> int:
    """Pence of what is listed and not yet written down as bought; what was bought beyond the list takes nothing off."""
    return max(0, round_half_up(listed) - round_half_up(bought))


def shared_by(work: Forecast | None, parts: Sequence[tuple[float, Mapping[W, int]]]) -> dict[W, int]:
    """Each one's part of the likely pence of the work: as its mean pence are of all.

    `parts` are the mean pence of each line, and who bears it by weights above 0. Means add up where likely figures
    don't; each is rounded on its own.
    """
    means: dict[W, float] = {}
    for mean, weights in parts:
        whole = sum(weights.values())
        for one, weight in weights.items():
            means[one] = means.get(one, 0.0) + mean * weight / whole
    total = sum(means.values())
    if work is None or not total:
        return {}
    likely = work.quantile(LIKELY)
    return {one: round_half_up(Fraction(likely * mean / total)) for one, mean in means.items()}
