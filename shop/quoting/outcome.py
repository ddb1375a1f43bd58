"""What became of what was quoted: where an outcome fell in its range, and how many ranges held. No database.

Where an outcome fell is the chance that the quotation gave to no more than it: over many orders such chances are spread
evenly between 0 and 1 if the ranges are right (A. P. Dawid, J. R. Statist. Soc. A 147, 1984, "probability integral
transform"). How many of n ranges of 80 % should hold is binomial.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import log

import scipy

from shop.quoting.pricing import HIGH, LIKELY, LOW, Spread
from timing.forecast import Forecast

# The range that is shown: from one in ten to nine in ten.
SHARE = HIGH - LOW
# Beyond what nineteen in twenty chances allow, a count is told to be unlike what is expected.
OUTSIDE = 0.025
HALVINGS = 50
ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Quoted:
    """Sums quoted for one order: by its quotation, and by each alteration that was accepted. `sure` has no range.

    They are taken to go up and down together, as parts of one order mostly do: their ranges add up. Of what has no part
    nobody can say whether its range held: it has none.
    """

    parts: tuple[Forecast, ...]
    sure: Fraction = ZERO

    def without(self, likely: float) -> "Quoted":
        """The same once so much of it is not done after all: its parts shrink alike, as far as they go."""
        whole = sum(part.quantile(LIKELY) for part in self.parts)
        if likely <= 0 or not whole:
            return replace(self, sure=self.sure - Fraction(likely))
        left = max(0.0, 1 - likely / whole)
        parts = tuple(replace(part, log_median=part.log_median + log(left)) for part in self.parts if left)
        return Quoted(parts, self.sure - Fraction(max(0.0, likely - whole)))

    def and_also(self, part: Forecast | None, sure: Fraction = ZERO) -> "Quoted":
        """With another sum beside it."""
        return Quoted((*self.parts, part) if part else self.parts, self.sure + sure)

    def at(self, chance: float) -> float:
        """The sum that the outcome stays within with that chance."""
        return sum(part.quantile(chance) for part in self.parts) + float(self.sure)

    @property
    def spread(self) -> Spread:
        low, likely, high = (round(self.at(chance)) for chance in (LOW, LIKELY, HIGH))
        return Spread(low, likely, high)

    def chance_within(self, outcome: float) -> float:
        """The chance that was given to no more than the outcome: 0 or 1 where nothing was unsure."""
        if not self.parts:
            return float(outcome >= self.sure)
        if len(self.parts) == 1:
            return self.parts[0].chance_within(outcome - float(self.sure))
        low, high = 1e-9, 1 - 1e-9
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.at(middle) < outcome else (low, middle)
        return high


def held(chance: float) -> bool:
    """Whether an outcome fell within the range that is shown."""
    return LOW <= chance <= HIGH


def expected_held(count: int, share: float = SHARE) -> tuple[int, int]:
    """Of so many ranges, from how many to how many hold in nineteen cases of twenty, if each holds with that chance."""
    within = [float(scipy.special.bdtr(k, count, share)) for k in range(count + 1)]
    low = next(k for k, chance in enumerate(within) if chance >= OUTSIDE)
    high = next(k for k, chance in enumerate(within) if chance >= 1 - OUTSIDE)
    return low, high


def held_in_words(chances: Sequence[float]) -> str:
    """As "7 of 9 held; with so few, 5 to 9 would be as expected."; where it is not so, what that means."""
    count, number = len(chances), sum(held(chance) for chance in chances)
    low, high = expected_held(count)
    expected = f"{low}" if low == high else f"{low} to {high}"
    said = f"{number} of {count} held; with {'so few' if count < 30 else 'so many'}, {expected} would be as expected."
    if number < low:
        return f"{said} That is fewer: the ranges are too narrow, or the likely figures lean to one side."
    if number > high:
        return f"{said} That is more: the ranges are wider than they need to be."
    return said


def lean_in_words(chances: Sequence[float]) -> str:
    """Whether outcomes mostly came in over or under what was likely; empty while they lean no more than chance does."""
    count, over = len(chances), sum(chance > LIKELY for chance in chances)
    low, high = expected_held(count, LIKELY)
    if low <= over <= high:
        return ""
    side = "low" if over > high else "high"
    return f"{over} of {count} came in over what was likely: quotations lean to the {side} side."


def fell_in_words(chance: float) -> str:
    """As "dearer than 7 of 10 such orders would be", "cheaper than 9 of 10 …"."""
    way, tenths = ("dearer", round(chance * 10)) if chance >= LIKELY else ("cheaper", round((1 - chance) * 10))
    return f"{way} than {'nearly all' if tenths >= 10 else f'{tenths} of 10'} such orders would be"
