"""How many more blanks to cut, by what the shop itself has spoiled."""

import math
from dataclasses import dataclass
from fractions import Fraction

# So often the spares of a line are to be enough: nine times in ten.
ENOUGH = 0.9


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
    """The fewest with which `needed` good pieces are had nine times in ten, each being spoiled by the shop's own share.

    The pieces spoiled before the last good one follow the negative binomial distribution (Johnson, Kemp and Kotz,
    Univariate Discrete Distributions, chapter 5). None where the share is not known, and never more than are needed:
    a shop that spoils that many wants another cure.
    """
    share = float(spoilt.share or 0)
    if not share or not needed:
        return 0
    if share == 1:
        return needed
    # In logarithms: of thousands of pieces hardly ever none is spoiled, and that chance is too small for a float.
    term = needed * math.log1p(-share)
    chance = math.exp(term)
    more = 0
    while chance < ENOUGH and more < needed:
        term += math.log(share * (needed + more) / (more + 1))
        more += 1
        chance += math.exp(term)
    return more
