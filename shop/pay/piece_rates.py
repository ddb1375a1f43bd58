"""What rate a piece should have, and what hands would have earned by it: sums alone, no database.

Money is minor units as exact fractions, time is minutes or whole seconds. A rate is rounded up to a whole minor unit,
never down: one rounded down would earn less than was meant. Minutes become money as in pay by standard minutes
(F. Jórasz and B. Baltzer, 2019): pieces × minutes a piece × money factor, which is what a minute earns.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from shop.pay import great_britain, united_states
from shop.pay.great_britain import OutputTried
from shop.pay.hours import in_hours
from shop.pay.terms import BANDS

MINUTES_IN_AN_HOUR = 60


def money_factor(hourly: Fraction) -> Fraction:
    """Minor units that a minute earns where an hour earns `hourly`."""
    return hourly / MINUTES_IN_AN_HOUR


def rate_of(minutes: Fraction, hourly: Fraction) -> Fraction:
    """Minor units a piece by which pieces of so many minutes earn `hourly` in an hour. ValueError for no minutes."""
    if minutes <= 0:
        raise ValueError("A piece takes more than no time.")
    return minutes * money_factor(hourly)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a law asks at the least: minor units of its `currency`, of an hour's work and of a piece.

    `output` is the mean hourly output that a fair rate goes by; None where the law goes by hours alone.
    """

    currency: str
    hour: Fraction
    piece: Fraction
    output: Fraction | None = None


def asked_by_law(rules: str, on: date, *, minutes: Fraction, tried: Sequence[OutputTried]) -> Asked | None:
    """What the chosen rules (a key of `shop.pay.rules`) ask of a piece of so many minutes; None where nothing.

    In Britain the fair rate (SI 2015/621, regulation 43) from the mean of the hourly outputs in `tried`, or by the
    minutes where there are none, and a grown hand's minimum wage. In the United States what the minutes come to at the
    federal minimum (29 U.S.C. 206). Raises great_britain.NoRate.
    """
    if rules == "gb":
        output = great_britain.mean_hourly_output(tried) if tried else MINUTES_IN_AN_HOUR / minutes
        hour = great_britain.minimum_on(on, age=BANDS["adult"])
        return Asked("GBP", Fraction(hour), great_britain.fair_rate(hour, output), output)
    if rules == "us":
        hour_us = united_states.FEDERAL_MINIMUM_CENTS
        return Asked("USD", hour_us, rate_of(minutes, hour_us))
    return None


def lowest_wage(rules: str, on: date, *, band: str) -> int | None:
    """Minor units an hour that the chosen rules ask for a hand of a band of `shop.pay.terms`. Raises NoRate."""
    if rules == "gb":
        return great_britain.minimum_on(on, age=BANDS[band], at_apprentice_rate=band == "apprentice")
    return int(united_states.FEDERAL_MINIMUM_CENTS) if rules == "us" else None


@dataclass(frozen=True, slots=True)
class Advised:
    """A rate by what an hour is to earn, and by what the law asks of a piece (None: nothing), before rounding."""

    by_hour: Fraction
    by_law: Fraction | None = None

    @property
    def pence(self) -> int:
        """The least whole rate that reaches both."""
        return max(math.ceil(self.by_hour), self.law_pence or 0)

    @property
    def law_pence(self) -> int | None:
        return None if self.by_law is None else math.ceil(self.by_law)

    @property
    def is_by_law(self) -> bool:
        """Whether it is the law that asks for more."""
        return self.pence > math.ceil(self.by_hour)


@dataclass(frozen=True, slots=True)
class Share:
    """Units that one hand made at one go: the seconds (None: not timed), what they earned, and would have."""

    units: int
    seconds: int | None
    earned: Fraction
    would_earn: Fraction


@dataclass(frozen=True, slots=True)
class Sum:
    """Shares together. What an hour earned goes by those that were timed."""

    shares: tuple[Share, ...]

    @property
    def units(self) -> int:
        return sum(one.units for one in self.shares)

    @property
    def untimed(self) -> int:
        return sum(one.units for one in self.shares if one.seconds is None)

    @property
    def seconds(self) -> int:
        return sum(one.seconds or 0 for one in self.shares)

    @property
    def earned(self) -> Fraction:
        return sum((one.earned for one in self.shares), Fraction(0))

    @property
    def would_earn(self) -> Fraction:
        return sum((one.would_earn for one in self.shares), Fraction(0))

    @property
    def earned_an_hour(self) -> Fraction | None:
        """None where no time is known."""
        return self._an_hour([one.earned for one in self.shares if one.seconds is not None])

    @property
    def would_earn_an_hour(self) -> Fraction | None:
        return self._an_hour([one.would_earn for one in self.shares if one.seconds is not None])

    def _an_hour(self, amounts: Sequence[Fraction]) -> Fraction | None:
        return sum(amounts, Fraction(0)) / in_hours(self.seconds) if self.seconds > 0 else None
