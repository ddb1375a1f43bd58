"""Rated output work in Britain, by dated rows: which mean stands on a day, and whether a hand's notice tells it.

No database. Pieces and hours are exact fractions, rates millipence. Source: National Minimum Wage Regulations 2015
(SI 2015/621), regulations 41 to 43, and HMRC's National Minimum Wage Manual on them (NMWM07070, NMWM03170).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from typing import Any, Self

from shop.pay.great_britain import OutputTried, Rated, mean_hourly_output

# What a unit earns: from a wheel of so many nanometres on (None: every wheel), in millipence; the higher, the later.
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


@dataclass(frozen=True, slots=True)
class Standing:
    """What stood of rated output work in one pay period, by the ids of operations: a closed one keeps it.

    `means` on its first day; `notices`, by hand, the newest from before that day; `rates` from the first day on, and
    from each day of the period on which they changed.
    """

    means: Mapping[int, Fraction] = field(default_factory=dict)
    notices: Mapping[int, Mapping[int, Notice]] = field(default_factory=dict)
    rates: Mapping[int, tuple[tuple[date, PieceRates], ...]] = field(default_factory=dict)

    def rated(self, hand_id: int) -> dict[int, Rated]:
        """How each operation's pieces count for a hand, as far as they earn what its notice tells."""
        told = self.notices.get(hand_id, {})
        return {pk: _rated(hourly, told.get(pk), self.rates[pk][0][1]) for pk, hourly in self.means.items()}

    def is_as_told(self, hand_id: int, operation_id: int, on: date, height_nm: int | None) -> bool:
        """Whether a piece of a day earned what the hand's notice tells of a wheel so high; so where it has none."""
        notice = self.notices.get(hand_id, {}).get(operation_id)
        if notice is None or operation_id not in self.rates:
            return True
        then = [rates for day, rates in self.rates[operation_id] if day <= on]
        return not then or rate_of(then[-1], height_nm) == rate_of(notice.rates, height_nm)

    def written(self) -> dict[str, Any]:
        """As plain values; fractions are texts, so that nothing is lost."""
        return {
            "means": {str(pk): str(hourly) for pk, hourly in self.means.items()},
            "notices": {
                str(hand_id): {
                    str(pk): [one.given_on.isoformat(), str(one.hourly), one.rates] for pk, one in told.items()
                }
                for hand_id, told in self.notices.items()
            },
            "rates": {str(pk): [[day.isoformat(), rates] for day, rates in told] for pk, told in self.rates.items()},
        }

    @classmethod
    def read(cls, told: Mapping[str, Any]) -> Self:
        return cls(
            {int(pk): Fraction(hourly) for pk, hourly in told["means"].items()},
            {
                int(hand_id): {
                    int(pk): Notice(date.fromisoformat(given_on), Fraction(hourly), read_rates(rates))
                    for pk, (given_on, hourly, rates) in notices.items()
                }
                for hand_id, notices in told["notices"].items()
            },
            {
                int(pk): tuple((date.fromisoformat(day), read_rates(rates)) for day, rates in dated)
                for pk, dated in told["rates"].items()
            },
        )


def read_rates(told: Iterable[Sequence[int | None]]) -> PieceRates:
    """Piece rates from lists of a height and an amount."""
    return tuple((height, amount or 0) for height, amount in told)


def rate_of(rates: PieceRates, height_nm: int | None) -> int | None:
    """What a unit on a wheel so high earns: the rate from the greatest height which it reaches; None: there is none."""
    reached = [amount for height, amount in rates if height is None or (height_nm is not None and height <= height_nm)]
    return reached[-1] if reached else None


def mean_on(means: Iterable[Mean], day: date) -> Mean | None:
    """What stands on a day, of rows in the order in which they were written down; None before the first."""
    standing: Mean | None = None
    for one in means:
        if one.from_on <= day and (standing is None or one.from_on >= standing.from_on):
            standing = one
    return standing


def notice_before(notices: Iterable[Notice], first: date) -> Notice | None:
    """The newest from before a day, of rows in the order in which they were written down."""
    given = [(one.given_on, place, one) for place, one in enumerate(notices) if one.given_on < first]
    return max(given, key=lambda one: one[:2])[2] if given else None


def rated_on(first: date, *, means: Sequence[Mean], notices: Sequence[Notice], rates: PieceRates) -> Rated | None:
    """How one operation's pieces count for a hand in the period that begins on `first`; None where no mean stands.

    The newest notice of a day before it has to tell what stands on that day: mean and piece rates. A new one is wanted
    only where they change (NMWM07070).
    """
    mean = mean_on(means, first)
    hourly = mean.hourly if mean else None
    return None if hourly is None else _rated(hourly, notice_before(notices, first), rates)


def _rated(hourly: Fraction, notice: Notice | None, rates: PieceRates) -> Rated:
    if notice is None:
        return Rated(hourly, None, "no written notice of it was given before the period")
    if notice.hourly != hourly:
        return Rated(hourly, None, f"the notice of {_day(notice.given_on)} tells another mean output")
    known = Rated(hourly, notice.given_on)
    return known if notice.rates == rates else told_otherwise(known)


def told_otherwise(rated: Rated) -> Rated:
    """The same of pieces that earn another rate than their notice tells: the hours at them count as worked."""
    assert rated.notice_on is not None  # noqa: S101 - else there is nothing that was told
    return replace(rated, notice_on=None, why_not=f"the notice of {_day(rated.notice_on)} tells another piece rate")


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
