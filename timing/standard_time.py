"""Basic and standard times of work study: what a piece takes at the pace that is rated 100, and with its allowance.

G. Kanawaty, Introduction to Work Study, ILO, 4th ed. 1992; W. J. Stevenson, Operations Management, 14th ed., chapter 7,
where the basic time is called normal. Times are in any one unit; ratings and allowances are shares of 1.
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

# An allowance is a part of the work itself, or of the whole day, which is more.
Base = Literal["job", "day"]


@dataclass(frozen=True, slots=True)
class Element:
    """Part of a piece of work with its readings; `every` 2 is one that is done at every other piece alone."""

    name: str
    rating: float
    readings: Sequence[float]
    every: int = 1

    @property
    def mean(self) -> float:
        """Of the times it was done. Needs a reading."""
        return statistics.fmean(self.readings)

    @property
    def a_piece(self) -> float:
        """Its share of each piece, as it was seen."""
        return self.mean / self.every

    @property
    def basic(self) -> float:
        """Its basic time in each piece."""
        return basic_time(self.a_piece, self.rating)


def basic_time(seen: float, rating: float) -> float:
    """What it takes at the pace that is rated 1, of the time seen: seen × rating."""
    return seen * rating


def basic_of(elements: Sequence[Element]) -> float:
    """Basic time of a piece, of all its elements: Σ mean × rating / every how many pieces."""
    return math.fsum(one.basic for one in elements)


def standard_time(basic: float, allowance: float, *, of: Base) -> float:
    """Basic time with its allowance: × (1 + A) where that is a part of the job, ÷ (1 − A) where it is one of the day.

    Raises ValueError for an allowance under 0, or of the whole day or more.
    """
    return basic * (1 + allowance) if of == "job" else basic / (1 - share_of_day(allowance, of="day"))


def share_of_day(allowance: float, *, of: Base) -> float:
    """The part of the day that an allowance takes: A ÷ (1 + A) for one on the job. Raises ValueError as above."""
    if allowance < 0:
        raise ValueError("An allowance is 0 or more.")
    if of == "job":
        return allowance / (1 + allowance)
    if allowance >= 1:
        raise ValueError("An allowance of the whole day leaves no time to work in.")
    return allowance
