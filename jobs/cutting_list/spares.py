"""How many more blanks to cut, by what the shop itself has spoiled."""

import math
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Spoilt:
    """Of one kind of piece: how many were begun, as far as facts tell, and how many of them were spoiled."""

    begun: int = 0
    spoiled: int = 0

    @property
    def share(self) -> Fraction | None:
        """None while nothing was begun: nothing is known then."""
        return Fraction(min(self.spoiled, self.begun), self.begun) if self.begun > 0 else None


def spares(needed: int, spoilt: Spoilt) -> int:
    """The fewest more so that the good ones expected of all reach the need: (needed + n) (1 − share) ≥ needed.

    None where the share is not known, and never more than are needed: a shop that has spoiled more than half wants
    another cure.
    """
    share = spoilt.share
    if not share:
        return 0
    if share >= Fraction(1, 2):
        return needed
    return math.ceil(needed / (1 - share)) - needed
