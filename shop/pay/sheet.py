"""What a hand has earned in some days: pieces at their rates, other hours at the wage, and what makes it good.

No database. Rates are millipence (thousandths of the minor unit), time is whole seconds, amounts are exact fractions of
the minor unit. A sheet is rounded once, half up, at what is paid; each line is told rounded by itself.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from shop.money import MILLI, round_half_up

SECONDS_IN_AN_HOUR = 3600


@dataclass(frozen=True, slots=True)
class PieceWork:
    """Units of one operation that a hand is paid for by the piece on a day, and the seconds at them.

    `waiting` were made and are not passed yet: they are paid later, and were worked at all the same. `operation_id`
    says which work it is, for names may be alike; `is_as_told`: the rate is that of the notice that stands of it.
    `untimed` of all of these, waiting or not, are without their time.
    """

    name: str
    rate: int
    units: int
    seconds: int = 0
    waiting: int = 0
    operation_id: int = 0
    is_as_told: bool = True
    untimed: int = 0


@dataclass(frozen=True, slots=True)
class Day:
    """One day of one hand. `seconds` are all that are paid, breaks left out; `guarantee` is for hours at pieces.

    Hours at pieces are paid by the pieces, and by nothing else but their guarantee. `bonus` is minor units paid for the
    day beside: it has lines of its own, and a law may want to know its day.
    """

    on: date
    seconds: int
    wage: int
    pieces: tuple[PieceWork, ...] = ()
    guarantee: int = 0
    bonus: int = 0

    @property
    def piece_seconds(self) -> int:
        return sum(one.seconds for one in self.pieces)

    @property
    def other_seconds(self) -> int:
        """What is left for the wage. The job clock may tell more at pieces than the hand was there: then nothing."""
        return max(self.seconds - self.piece_seconds, 0)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet: so many units, or hours, at so much each (minor units), and what that comes to."""

    kind: str
    name: str
    quantity: Fraction
    rate: Fraction
    amount: Fraction

    @property
    def pence(self) -> int:
        return round_half_up(self.amount)


PIECES, HOURS, GUARANTEE, BONUS, LAW, ADJUSTMENT = "pieces", "hours", "guarantee", "bonus", "law", "adjustment"
# What the law adds to hours of work, so much for each.
OVERTIME = "overtime"
# What it adds to pieces of overtime hours, so much for each, where that was agreed.
OVERTIME_PIECES = "overtime_pieces"


def earned(days: Iterable[Day]) -> list[Line]:
    """The lines of some days: pieces by operation and rate, then hours by wage. Over any split the sum is the same."""
    units: dict[tuple[str, int], int] = defaultdict(int)
    seconds: dict[int, int] = defaultdict(int)
    for day in days:
        for one in day.pieces:
            units[one.name, one.rate] += one.units
        seconds[day.wage] += day.other_seconds
    pieces = [
        _line(PIECES, name, Fraction(count), Fraction(rate, MILLI)) for (name, rate), count in units.items() if count
    ]
    hours = [
        _line(HOURS, "Hours", Fraction(count, SECONDS_IN_AN_HOUR), Fraction(wage, MILLI))
        for wage, count in sorted(seconds.items())
        if count
    ]
    return [*pieces, *hours]


def made_good(days: Sequence[Day]) -> list[Line]:
    """What brings hours at pieces up to their guarantee over all of these days together; none where they reach it.

    Good days help bad ones within a pay period, and no further.
    """
    guaranteed = sum(
        (Fraction(day.guarantee * day.piece_seconds, MILLI * SECONDS_IN_AN_HOUR) for day in days), Fraction(0)
    )
    made = sum(
        (Fraction(one.rate * one.units, MILLI) for day in days if day.guarantee for one in day.pieces), Fraction(0)
    )
    short = guaranteed - made
    return [Line(GUARANTEE, "Made good to the guarantee", Fraction(1), short, short)] if short > 0 else []


def made_good_by_week(days: Sequence[Day]) -> list[Line]:
    """The same for each workweek by itself: a good week helps no other."""
    return [
        replace(line, name=f"{line.name}, week of {monday.day} {monday:%B %Y}")
        for monday, week in by_week(days)
        for line in made_good(week)
    ]


def by_week(days: Iterable[Day]) -> list[tuple[date, list[Day]]]:
    """Days by their workweek, which begins on Monday: that Monday and its days, in order of the weeks."""
    weeks: dict[date, list[Day]] = defaultdict(list)
    for day in days:
        weeks[day.on - timedelta(days=day.on.weekday())].append(day)
    return sorted(weeks.items())


def amount_of(lines: Iterable[Line]) -> Fraction:
    return sum((line.amount for line in lines), Fraction(0))


def gross_pence(lines: Iterable[Line]) -> int:
    """What is paid before tax and stoppages: the exact sum, rounded once, half up."""
    return round_half_up(amount_of(lines))


def rounded_over(lines: Sequence[Line]) -> int:
    """Pence by which the lines, each rounded by itself, come to more than what is paid."""
    return sum(line.pence for line in lines) - gross_pence(lines)


def _line(kind: str, name: str, quantity: Fraction, rate: Fraction) -> Line:
    return Line(kind, name, quantity, rate, quantity * rate)
