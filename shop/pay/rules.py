"""The rules of pay that a shop may choose: each a module of dated data and pure sums, and one function here.

A rule looks at a hand's whole period and adds the lines that its law asks for; what it found it says in sentences. Each
names what it follows and as of when. None is legal advice, and none knows tax and stoppages.
"""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from shop.pay import great_britain, united_states
from shop.pay.hours import in_hours
from shop.pay.sheet import (
    HOURS,
    LAW,
    OVERTIME,
    PIECES,
    Day,
    Line,
    amount_of,
    by_week,
    earned,
    made_good,
    made_good_by_week,
)

CAUTION = "Reckoned by the rules named here as of {as_of}; no legal advice. Local rules go before it."


@dataclass(frozen=True, slots=True)
class Rated:
    """What is known of an operation's output work in Britain: its mean hourly output, and the day of the notice."""

    mean_hourly_output: Fraction
    notice_on: date


@dataclass(frozen=True, slots=True)
class Person:
    """What a law may ask of a hand: the age on the period's first day (None: a grown hand's), and what was agreed."""

    age: int | None = None
    at_apprentice_rate: bool = False
    rated: Mapping[str, Rated] = field(default_factory=dict)
    hours_are_controlled: bool = True
    agreement: united_states.Agreement | None = None


@dataclass(frozen=True, slots=True)
class Judged:
    """Lines that the law adds, and what was found: a sentence for each check, whether or not it added anything."""

    lines: tuple[Line, ...] = ()
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rules:
    """One country's rules. `judge` is given the days of the period, its lines so far, and the person.

    `make_good` brings hours at pieces up to their guarantee, over what days together the rules ask.
    """

    key: str
    name: str
    as_of: date
    judge: Callable[[Sequence[Day], Sequence[Line], Person], Judged]
    make_good: Callable[[Sequence[Day]], list[Line]] = made_good

    @property
    def caution(self) -> str:
        return CAUTION.format(as_of=f"{self.as_of.day} {self.as_of:%B %Y}")


def _plain(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    return Judged(said=("No legal check is made: none was chosen in the settings.",))


def _great_britain(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    """Made up to the National Minimum Wage, by the hours that count for it."""
    if not days:
        return Judged()
    begins = min(day.on for day in days)
    units: dict[str, int] = defaultdict(int)
    seconds: dict[str, int] = defaultdict(int)
    for day in days:
        for one in day.pieces:
            units[one.name] += one.units
            seconds[one.name] += one.seconds
    output = [
        great_britain.OutputWork(
            units[name],
            in_hours(seconds[name]),
            person.rated[name].mean_hourly_output if name in person.rated else None,
            notice_on=person.rated[name].notice_on if name in person.rated else None,
            hours_are_controlled=person.hours_are_controlled,
        )
        for name in units
    ]
    period = great_britain.Period(
        begins,
        amount_of(lines),
        age=99 if person.age is None else person.age,
        time_hours=in_hours(sum(day.other_seconds for day in days)),
        output=output,
        at_apprentice_rate=person.at_apprentice_rate,
    )
    found = great_britain.check(period)
    hours = f"{float(found.hours):.2f} hours that count"
    due = f"£{found.minimum / 100:.2f} an hour"
    if not great_britain.is_known_on(begins):
        return _by_the_last_known(found, hours, due)
    if found.holds:
        return Judged(said=(f"National Minimum Wage: {hours} at {due}; the pay reaches it.",))
    line = Line(LAW, "Made up to the National Minimum Wage", Fraction(1), found.short, found.short)
    return Judged((line,), (f"National Minimum Wage: {hours} at {due}; the pay was short of it, and is made up.",))


def _by_the_last_known(found: great_britain.Checked, hours: str, due: str) -> Judged:
    """Made up to the last rate that is known: it never fell yet. Whether that is enough, nobody here knows."""
    since = great_britain.KNOWN_UNTIL
    said = f"National Minimum Wage: the rate from {since.day} {since:%B %Y} on is not known here, check it. {hours}"
    if found.holds:
        return Judged(said=(f"{said}; the pay reaches {due}, the last that is known.",))
    line = Line(LAW, "Made up to the last known minimum wage", Fraction(1), found.short, found.short)
    return Judged((line,), (f"{said}; the pay is made up to {due}, the last that is known.",))


def _united_states(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    """The overtime premium of each workweek, and the federal minimum, week by week (a workweek begins on Monday)."""
    added: list[Line] = []
    said: list[str] = []
    for monday, days_of_week in by_week(days):
        week = _week(days_of_week)
        name = f"{monday.day} {monday:%B %Y}"
        short = united_states.shortfall(week)
        if short:
            added.append(Line(LAW, f"Made up to the minimum wage, week of {name}", Fraction(1), short, short))
            week = _made_up(week, short)
        pay = united_states.pay_by_regular_rate(week)
        if pay.premium:
            half = pay.regular_rate / 2
            added.append(Line(OVERTIME, f"Overtime, week of {name}", pay.overtime_hours, half, pay.premium))
        said.append(
            f"Week of {name}: {float(week.hours):.2f} hours, {float(pay.overtime_hours):.2f} over 40; regular rate "
            f"${float(pay.regular_rate) / 100:.4f} ({pay.method})."
        )
    return Judged(tuple(added), tuple(said))


def _week(days: Sequence[Day]) -> united_states.Week:
    lines = [*earned(days), *made_good(days)]
    piece = amount_of(line for line in lines if line.kind != HOURS)
    # More may be told at pieces than the hand was there: the law counts the more.
    return united_states.Week(
        hours=in_hours(sum(max(day.seconds, day.piece_seconds) for day in days)),
        piece=piece,
        piece_hours=in_hours(sum(day.piece_seconds for day in days)),
        hourly=amount_of(line for line in lines if line.kind == HOURS),
        # Each is taken as earned by the work: 29 CFR 778.211 lets only gifts at the employer's own pleasure stay out.
        bonus=Fraction(max(sum(day.bonus for day in days), 0)),
    )


def _made_up(week: united_states.Week, short: Fraction) -> united_states.Week:
    return united_states.Week(
        hours=week.hours,
        piece=week.piece,
        piece_hours=week.piece_hours,
        hourly=week.hourly,
        bonus=week.bonus + short,
    )


RULES: Mapping[str, Rules] = {
    rules.key: rules
    for rules in (
        Rules("plain", "No legal check", date(2026, 11, 1), _plain),
        Rules("gb", "Great Britain: National Minimum Wage", date(2026, 4, 1), _great_britain),
        Rules("us", "United States: Fair Labor Standards Act", date(2026, 11, 1), _united_states, made_good_by_week),
    )
}

__all__ = ["PIECES", "RULES", "Judged", "Person", "Rated", "Rules"]
