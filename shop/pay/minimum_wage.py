"""The National Minimum Wage of a hand's whole period: the hours that count, and what brings the pay up to it."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from math import ceil

from shop.money import round_half_up
from shop.pay import great_britain
from shop.pay.great_britain import OutputWork, Rated
from shop.pay.hours import in_hours
from shop.pay.output_work import told_otherwise
from shop.pay.person import Judged, Person
from shop.pay.sheet import LAW, Day, Line, PieceWork, amount_of

CONTROLLED = "the shop sets or checks the hours"


@dataclass(frozen=True, slots=True)
class _Output:
    """One operation's pieces of the period: all that were made, how many of them wait to be passed, and were not timed.

    `taken_hours`: of the hours that are told apart from pieces, those which the untimed are taken to have taken.
    """

    name: str
    work: OutputWork
    rated: Rated | None
    waiting: int = 0
    untimed: int = 0
    taken_hours: Fraction = Fraction(0)


def judge(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    """Made up to the minimum wage of the period's first day, by the hours that count for it."""
    if not days:
        return Judged()
    begins = min(day.on for day in days)
    output = list(_output(days, person, begins))
    pay, taken = amount_of(lines), sum((one.taken_hours for one in output), Fraction(0))
    period = great_britain.Period(
        begins,
        pay,
        age=99 if person.age is None else person.age,
        time_hours=in_hours(sum(day.other_seconds for day in days)) - taken,
        output=[one.work for one in output],
        at_apprentice_rate=person.at_apprentice_rate,
    )
    found = great_britain.check(period)
    short = _short(found, pay)
    told = _found(found, short, f"{_hours(found.hours)} that count{_split(found, output, begins)}", begins)
    return Judged(told.lines, (*_each(output, begins, person), *told.said))


def _short(found: great_britain.Checked, pay: Fraction) -> Fraction:
    """What is wanting to the minimum, so that what is paid, in whole pence, is never below it."""
    return Fraction(0) if round_half_up(pay) >= found.due else ceil(found.due) - pay


def _output(days: Sequence[Day], person: Person, begins: date) -> Iterator[_Output]:
    by_work: dict[tuple[int, str, bool], list[tuple[int, PieceWork]]] = defaultdict(list)
    for place, day in enumerate(days):
        for one in day.pieces:
            rated = person.rated.get(one.operation_id)
            is_told_otherwise = bool(rated and rated.notice_on and not one.is_as_told)
            by_work[one.operation_id, one.name, is_told_otherwise].append((place, one))
    left = [in_hours(day.other_seconds) for day in days]
    for (operation_id, name, is_told_otherwise), pieces in by_work.items():
        rated = person.rated.get(operation_id)
        if rated and is_told_otherwise:
            rated = told_otherwise(rated)
        waiting = sum(one.waiting for _, one in pieces)
        work = OutputWork(
            # Who worked has hours, whether or not somebody has looked at what was made.
            sum(one.units for _, one in pieces) + waiting,
            in_hours(sum(one.seconds for _, one in pieces)),
            rated.mean_hourly_output if rated else None,
            notice_on=rated.notice_on if rated else None,
            hours_are_controlled=person.hours_are_controlled,
        )
        untimed = [(place, one.untimed) for place, one in pieces] if work.is_rated(begins) else []
        taken = sum((_take(left, place, count, work) for place, count in untimed), Fraction(0))
        yield _Output(name, work, rated, waiting, sum(count for _, count in untimed), taken)


def _take(left: list[Fraction], place: int, untimed: int, work: OutputWork) -> Fraction:
    """Hours of a day that untimed pieces are taken to have taken, by their mean: they count by it, and so only once."""
    assert work.mean_hourly_output is not None  # noqa: S101 - it would not be rated
    taken = min(left[place], max(0, untimed) / work.mean_hourly_output)
    left[place] -= taken
    return taken


def _each(output: Iterable[_Output], begins: date, person: Person) -> Iterator[str]:
    """How the pieces of each operation that has a mean output count, and why."""
    for one in output:
        if one.rated is None or not (one.work.pieces or one.work.actual_hours):
            continue
        if one.work.is_rated(begins):
            assert one.rated.notice_on is not None  # noqa: S101 - it would not be rated
            mean = _number(one.rated.mean_hourly_output)
            hours, by = one.work.hours(begins), one.rated.notice_on
            waits = f" {one.waiting} of them wait to be passed." if one.waiting else ""
            took = f"whatever they took ({_hours(one.work.actual_hours)})"
            if one.untimed:
                took = (
                    f"whatever they took. {one.untimed} of them were not timed: {_hours(one.taken_hours)}, by the "
                    "mean, are taken to be theirs, and do not count as worked beside; time them to be sure"
                )
            yield (
                f"{one.name}, rated output work: {one.work.pieces} ÷ {mean} an hour × 1.2 = {_hours(hours)} that "
                f"count, {took}.{waits} Notice of {by.day} {by:%B %Y}."
            )
        else:
            why = CONTROLLED if person.hours_are_controlled else one.rated.why_not
            yield f"{one.name}: the {_hours(one.work.actual_hours)} really worked count, since {why}."


def _split(found: great_britain.Checked, output: Iterable[_Output], begins: date) -> str:
    """Rated and other hours apart, where there are both: regulation 37."""
    rated = [one.work for one in output if one.work.is_rated(begins)]
    if not rated:
        return ""
    hours = sum((work.hours(begins) for work in rated), Fraction(0))
    return f" ({float(hours):.2f} of rated output work and {float(found.hours - hours):.2f} as worked)"


def _found(found: great_britain.Checked, short: Fraction, hours: str, begins: date) -> Judged:
    due = f"£{found.minimum / 100:.2f} an hour"
    if not great_britain.is_known_on(begins):
        return _by_the_last_known(short, hours, due)
    if not short:
        return Judged(said=(f"National Minimum Wage: {hours} at {due}; the pay reaches it.",))
    line = Line(LAW, "Made up to the National Minimum Wage", Fraction(1), short, short)
    return Judged((line,), (f"National Minimum Wage: {hours} at {due}; the pay was short of it, and is made up.",))


def _by_the_last_known(short: Fraction, hours: str, due: str) -> Judged:
    """Made up to the last rate that is known: it never fell yet. Whether that is enough, nobody here knows."""
    since = great_britain.KNOWN_UNTIL
    said = f"National Minimum Wage: the rate from {since.day} {since:%B %Y} on is not known here, check it. {hours}"
    if not short:
        return Judged(said=(f"{said}; the pay reaches {due}, the last that is known.",))
    line = Line(LAW, "Made up to the last known minimum wage", Fraction(1), short, short)
    return Judged((line,), (f"{said}; the pay is made up to {due}, the last that is known.",))


def _hours(hours: Fraction) -> str:
    return f"{float(hours):.2f} hours"


def _number(number: Fraction) -> str:
    """At most four places, as many as it needs."""
    return f"{float(number):.4f}".rstrip("0").rstrip(".")
