"""The National Minimum Wage of Great Britain on time work and on output work.

Money is pence as exact fractions. A fair piece rate is rounded up, never down. Sources: National Minimum Wage
Regulations 2015 (SI 2015/621), HMRC's National Minimum Wage Manual (NMWM), GOV.UK.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

FAIR = Fraction(6, 5)


@dataclass(frozen=True, slots=True)
class Rates:
    """Pence an hour from a day on: by the least age of each band, and the apprentice rate."""

    from_on: date
    by_age: tuple[tuple[int, int], ...]
    apprentice: int


# GOV.UK, "National Minimum Wage and National Living Wage rates"; the years to 2020 by pages that reprint them. The age
# of the first band moved from 21 to 25, 23 and 21 again.
RATES = (
    Rates(date(2013, 10, 1), ((21, 631), (18, 503), (0, 372)), 268),
    Rates(date(2014, 10, 1), ((21, 650), (18, 513), (0, 379)), 273),
    Rates(date(2015, 10, 1), ((21, 670), (18, 530), (0, 387)), 330),
    Rates(date(2016, 4, 1), ((25, 720), (21, 670), (18, 530), (0, 387)), 330),
    Rates(date(2016, 10, 1), ((25, 720), (21, 695), (18, 555), (0, 400)), 340),
    Rates(date(2017, 4, 1), ((25, 750), (21, 705), (18, 560), (0, 405)), 350),
    Rates(date(2018, 4, 1), ((25, 783), (21, 738), (18, 590), (0, 420)), 370),
    Rates(date(2019, 4, 1), ((25, 821), (21, 770), (18, 615), (0, 435)), 390),
    Rates(date(2020, 4, 1), ((25, 872), (21, 820), (18, 645), (0, 455)), 415),
    Rates(date(2021, 4, 1), ((23, 891), (21, 836), (18, 656), (0, 462)), 430),
    Rates(date(2022, 4, 1), ((23, 950), (21, 918), (18, 683), (0, 481)), 481),
    Rates(date(2023, 4, 1), ((23, 1042), (21, 1018), (18, 749), (0, 528)), 528),
    Rates(date(2024, 4, 1), ((21, 1144), (18, 860), (0, 640)), 640),
    Rates(date(2025, 4, 1), ((21, 1221), (18, 1000), (0, 755)), 755),
    Rates(date(2026, 4, 1), ((21, 1271), (18, 1085), (0, 800)), 800),
)


class NoRate(ValueError):
    """No minimum wage is known for that day; the message is one sentence."""


# They change each year on this day: from the next one on, the last is a rate of the past.
KNOWN_UNTIL = date(RATES[-1].from_on.year + 1, 4, 1)


def is_known_on(day: date) -> bool:
    """Whether the rates of a day are among these, and are not those of the year before."""
    return RATES[0].from_on <= day < KNOWN_UNTIL


def rates_on(day: date) -> Rates:
    """NoRate before the first that is known; from `KNOWN_UNTIL` on, the last that is."""
    known = [rates for rates in RATES if rates.from_on <= day]
    if not known:
        raise NoRate(f"No minimum wage is known for a day before {RATES[0].from_on.isoformat()}.")
    return known[-1]


def minimum_on(day: date, *, age: int, at_apprentice_rate: bool = False) -> int:
    """Pence an hour on a day. The apprentice rate is for apprentices under 19, or in their first year."""
    rates = rates_on(day)
    if at_apprentice_rate:
        return rates.apprentice
    return next(pence for least, pence in rates.by_age if age >= least)


def fair_rate(minimum: Fraction | int, mean_hourly_output: Fraction) -> Fraction:
    """Pence a piece by which the mean hand earns the minimum: minimum × 1.2 ÷ mean hourly output (regulation 43)."""
    if mean_hourly_output <= 0:
        raise ValueError("A mean hourly output is more than nothing.")
    return Fraction(minimum) * FAIR / mean_hourly_output


def fair_rate_pence(minimum: Fraction | int, mean_hourly_output: Fraction) -> int:
    """The same in whole pence, rounded up: a rate rounded down would underpay (Acas; GOV.UK)."""
    return math.ceil(fair_rate(minimum, mean_hourly_output))


@dataclass(frozen=True, slots=True)
class OutputTried:
    """What one worker made in a test, and in how many hours."""

    pieces: Fraction
    hours: Fraction


def mean_hourly_output(tests: Sequence[OutputTried]) -> Fraction:
    """The mean of the workers' hourly outputs, "including any fraction" (regulation 42(3)(c))."""
    if not tests or any(one.hours <= 0 for one in tests):
        raise ValueError("A mean hourly output needs workers who were tested, each for some time.")
    return sum((one.pieces / one.hours for one in tests), Fraction(0)) / len(tests)


@dataclass(frozen=True, slots=True)
class Rated:
    """What is known of an operation's output work for a hand: its mean hourly output, and the notice that tells it.

    Without such a notice `why_not` says what is amiss, as the rest of a sentence.
    """

    mean_hourly_output: Fraction
    notice_on: date | None
    why_not: str = ""


@dataclass(frozen=True, slots=True)
class OutputWork:
    """Pieces of one kind in a pay reference period, the actual hours at them, and how their mean output is known.

    Rated output work asks that the contract sets no hours and the employer does not control them, that the mean was
    found by a fair test or estimate, and that a written notice was given before the period began (regulations 41, 42).
    """

    pieces: int
    actual_hours: Fraction
    mean_hourly_output: Fraction | None = None
    notice_on: date | None = None
    hours_are_controlled: bool = False

    def is_rated(self, period_begins_on: date) -> bool:
        return (
            self.mean_hourly_output is not None
            and self.mean_hourly_output > 0
            and not self.hours_are_controlled
            and self.notice_on is not None
            and self.notice_on < period_begins_on
        )

    def hours(self, period_begins_on: date) -> Fraction:
        """Hours that count: pieces ÷ mean × 1.2, or the actual hours where it is not rated (NMWM08360 and 08370)."""
        if self.mean_hourly_output is None or not self.is_rated(period_begins_on):
            return self.actual_hours
        return self.pieces / self.mean_hourly_output * FAIR


@dataclass(frozen=True, slots=True)
class Period:
    """A pay reference period of one worker: at most a month. `pay` is pence that count towards the minimum wage.

    `time_hours` are of time work, waiting, travel, training and tests (regulation 37; NMWM08350).
    """

    begins_on: date
    pay: Fraction
    age: int
    time_hours: Fraction = Fraction(0)
    output: Sequence[OutputWork] = field(default=())
    at_apprentice_rate: bool = False


@dataclass(frozen=True, slots=True)
class Checked:
    """Hours that count, pence an hour that are due and those that were paid, and by how much the pay is short."""

    hours: Fraction
    minimum: int
    due: Fraction
    short: Fraction

    @property
    def holds(self) -> bool:
        return self.short == 0

    def paid_an_hour(self, pay: Fraction) -> Fraction | None:
        return pay / self.hours if self.hours else None


def check(period: Period) -> Checked:
    """Whether the pay of a period reaches the minimum wage of its first day, by the hours that count. NoRate.

    A rate, or an age, that changes within the period counts from the next one (from memory: SI 2015/621, part 2).
    """
    minimum = minimum_on(period.begins_on, age=period.age, at_apprentice_rate=period.at_apprentice_rate)
    hours = period.time_hours + sum((one.hours(period.begins_on) for one in period.output), Fraction(0))
    due = hours * minimum
    return Checked(hours, minimum, due, max(due - period.pay, Fraction(0)))


def is_outdated(rate_from_on: date, day: date) -> bool:
    """Whether a fair rate was set before the minimum wage of that day: it is to be worked out anew (NMWM03140)."""
    return rate_from_on < rates_on(day).from_on


NOTICE = (
    "For the purposes of the National Minimum Wage you will be treated as working for a certain time.",
    "To find that time {found} of the mean speed at which these pieces are made was carried out.",
    "The mean hourly output of this work, {piece}, is {mean} an hour.",
    "You will be paid {rate}.",
    "For advice on pay and work rights ring the Acas helpline, {helpline}.",
)
# From memory: the number of the Acas helpline.
HELPLINE = "0300 123 1100"


def notice(*, piece: str, mean: str, rate: str, found: str = "a test", helpline: str = HELPLINE) -> tuple[str, ...]:
    """The five things that a notice of rated output work tells, before the period begins (NMWM07070).

    `piece` is the work, `rate` what is paid for what: "£2.35 for each", `found` how the mean was: "a test", "an
    estimate".
    """
    return tuple(line.format(piece=piece, mean=mean, rate=rate, found=found, helpline=helpline) for line in NOTICE)
