"""What the law may ask of a hand in a period, from what is written down of it."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta, tzinfo

from shop.pay.attendance import Attended, Clocked, Hours
from shop.pay.output_work import Standing
from shop.pay.overtime_pieces import InOvertime, Told, Worked, in_overtime
from shop.pay.rules import Person
from shop.pay.terms import BANDS, DatedTerms, PaysSpoiled
from shop.pay.united_states import Agreement
from shop.pay_facts import Made, Scheme

WEEK = timedelta(days=7)


def person_of(
    hand_id: int,
    days: Iterable[date],
    first: date,
    last: date,
    scheme: Scheme,
    output: Standing,
    overtime: tuple[Agreement, ...],
) -> Person:
    """The hand as the period finds it on its first day, of which it was there on `days`.

    What was made in overtime is not in it.
    """
    there_from = min([*days, *scheme.book.wage_days(hand_id)], default=None)
    terms = scheme.terms.get(hand_id, DatedTerms()).of_period(first, last, there_from=there_from)
    return Person(
        age=BANDS[terms.band],
        at_apprentice_rate=terms.band == "apprentice",
        rated=output.rated(hand_id),
        hours_are_controlled=terms.hours_are_controlled,
        agreements=overtime,
    )


def overtime_of(
    days: Iterable[Hours],
    there: Mapping[date, Attended],
    clocked: Iterable[Clocked],
    day_of: Mapping[int, date],
    made: Iterable[Made],
    *,
    pays: PaysSpoiled,
    zone: tzinfo,
) -> dict[date, InOvertime]:
    """What a hand made in the overtime hours of each workweek, by its Monday."""
    by_stretch: dict[int, list[Made]] = {}
    for tally in made:
        by_stretch.setdefault(tally.stretch_id, []).append(tally)
    told = [
        _told(one, day_of[one.stretch_id], by_stretch.get(one.stretch_id, []), pays)
        for one in clocked
        if not one.is_gone and not one.is_break
    ]
    # Words about other work, of no time and no piece, say nothing of when anything was made.
    told = [one for one in told if one.seconds or one.units or not one.is_timed]
    weeks: dict[date, list[Worked]] = {}
    for day in days:
        own = there.get(day.on)
        times = own.paid_times if own and own.is_whole and not day.by_clock else None
        weeks.setdefault(_monday(day.on), []).append(Worked(day.on, day.seconds, times))
    return {
        monday: in_overtime(week, [one for one in told if one.on < monday + WEEK], zone=zone)
        for monday, week in weeks.items()
    }


def _told(one: Clocked, on: date, made: Iterable[Made], pays: PaysSpoiled) -> Told:
    """A stretch with what it yielded. What waits to be passed is paid later; its time is at pieces all the same."""
    rows = list(made)
    yielded = frozenset(row.task_id for row in rows if row.made or row.spoiled)
    return Told(
        on,
        one.done_at,
        one.seconds,
        one.started_at,
        tuple((row.name, row.rate, row.units(pays) if row.is_passed else 0) for row in rows),
        one.at_bench,
        is_timed=one.is_timed,
        made=sum(abs(row.units(pays)) for row in rows),
        yielded=yielded,
        unfinished=frozenset(row.task_id for row in rows) - yielded,
    )


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
