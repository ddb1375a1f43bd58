"""Rated output work in Britain, by dated rows: which mean stands on a day, and whether a hand's notice tells it.

No database. Pieces and hours are exact fractions, rates millipence. Source: National Minimum Wage Regulations 2015
(SI 2015/621), regulations 41 to 43, and HMRC's National Minimum Wage Manual on them (NMWM07070, NMWM03170).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from shop.pay.great_britain import OutputTried, Rated, mean_hourly_output

# What a unit earns: from a wheel of so many nanometres on (None: every wheel), in millipence; in a fixed order.
PieceRates = tuple[tuple[int | None, int], ...]


@dataclass(frozen=True, slots=True)
class Mean:
    """A test or an estimate that stands from a day on; one that tried nothing ends the rated work from that day."""

    from_on: date
    tried: tuple[OutputTried, ...] = ()

    @property
    def hourly(self) -> Fraction | None:
        """The mean of what each hand made in an hour, with all of its fraction; None where there is none."""
        return mean_hourly_output(self.tried) if self.tried else None


@dataclass(frozen=True, slots=True)
class Notice:
    """What a hand was told in writing on a day: the mean, and what a piece earns."""

    given_on: date
    hourly: Fraction
    rates: PieceRates


def mean_on(means: Iterable[Mean], day: date) -> Mean | None:
    """What stands on a day, of rows in the order in which they were written down; None before the first."""
    standing: Mean | None = None
    for one in means:
        if one.from_on <= day and (standing is None or one.from_on >= standing.from_on):
            standing = one
    return standing


def rated_on(first: date, *, means: Sequence[Mean], notices: Sequence[Notice], rates: PieceRates) -> Rated | None:
    """How one operation's pieces count for a hand in the period that begins on `first`; None where no mean stands.

    The newest notice of a day before it has to tell what stands on that day: mean and piece rates. A new one is wanted
    only where they change (NMWM07070).
    """
    mean = mean_on(means, first)
    hourly = mean.hourly if mean else None
    if hourly is None:
        return None
    given = [one for one in notices if one.given_on < first]
    if not given:
        return Rated(hourly, None, "no written notice of it was given before the period")
    last = max(enumerate(given), key=lambda one: (one[1].given_on, one[0]))[1]
    told = f"the notice of {_day(last.given_on)} tells"
    if last.hourly != hourly:
        return Rated(hourly, None, f"{told} another mean output")
    if last.rates != rates:
        return Rated(hourly, None, f"{told} another piece rate")
    return Rated(hourly, last.given_on)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
