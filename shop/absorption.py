"""Overhead by the hour against what was really spent, spoiled work that is normal or not, and units part done.

No database. Money is pence, exact until it is shown. A rate set beforehand is the overhead budgeted for a year by the
hours budgeted for it; hours worked at that rate absorb overhead. What they absorb beyond what is spent is
over-absorbed, what they leave is under-absorbed: textbook cost accounting, as in R. H. Garrison, E. W. Noreen and P. C.
Brewer, Managerial Accounting, "predetermined overhead rate".
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

NOTHING = Fraction(0)


def rate_an_hour(pence: Fraction | int, hours: Fraction | int) -> Fraction | None:
    """Pence that each hour bears; None where there are no hours."""
    return Fraction(pence) / hours if hours > 0 else None


@dataclass(frozen=True, slots=True)
class Absorbed:
    """Overhead that hours bore, and that was spent over the same days."""

    absorbed: Fraction
    spent: int

    @property
    def over(self) -> Fraction:
        """Over-absorbed; less than nothing where it is under-absorbed."""
        return self.absorbed - self.spent

    @property
    def name(self) -> str:
        if not self.over:
            return "neither over- nor under-absorbed"
        return "over-absorbed" if self.over > 0 else "under-absorbed"


@dataclass(frozen=True, slots=True)
class Spoilage:
    """Work that went into spoiled pieces: what of it is normal, and stays in the cost of the good ones, and the rest.

    Abnormal amounts of wasted material, labour or other production costs are no part of the cost of what is made: they
    are an expense of the period (IAS 2, Inventories, paragraph 16 (a)). How much is normal, each shop says itself.
    """

    normal: Fraction
    abnormal: Fraction


def part_spoiled(spoiled: Fraction, work: Fraction, percent: int) -> Spoilage:
    """Spoiled work is normal up to so many hundredths of all the work that it is a part of."""
    normal = min(spoiled, max(NOTHING, work * percent / 100))
    return Spoilage(normal, spoiled - normal)


def equivalent_units(finished: int, begun: Iterable[tuple[int, Fraction]]) -> Fraction:
    """Whole units that the work done is worth: those finished, and of those begun so many by the share that is done.

    Equivalent units by the weighted-average method (Garrison, Noreen and Brewer, as above, on process costing).
    ValueError for a share that is not from 0 to 1.
    """
    whole = Fraction(finished)
    for units, share in begun:
        if not 0 <= share <= 1:
            raise ValueError(f"A share of work done is from 0 to 1, not {share}.")
        whole += units * share
    return whole
