"""What the law may ask of a hand in a period, from what is written down of it."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta, tzinfo

from shop.agreements import Agreements
from shop.pay.attendance import Attended, Clocked, Hours
from shop.pay.overtime_pieces import InOvertime, Told, Worked, in_overtime
from shop.pay.rules import Person
from shop.pay.terms import BANDS, DatedTerms, PaysSpoiled
from shop.pay_facts import Made, Scheme


def person_of(hand_id: int, first: date, last: date, scheme: Scheme, agreed: Agreements) -> Person:
    """The hand as the period finds it on its first day. What was made in overtime is not in it."""
    terms = scheme.terms.get(hand_id, DatedTerms()).of_period(first, last)
    return Person(
        age=BANDS[terms.band],
        at_apprentice_rate=terms.band == "apprentice",
        rated=agreed.rated(hand_id, first, scheme.book, scheme.names),
        hours_are_controlled=terms.hours_are_controlled,
        agreements=agreed.overtime.get(hand_id, ()),
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
    pieces: dict[int, list[tuple[str, int, int]]] = {}
    for one in made:
        # What waits to be passed is paid later; its time is at pieces all the same.
        units = one.units(pays) if one.is_passed else 0
        pieces.setdefault(one.stretch_id, []).append((one.name, one.rate, units))
    told = [
        Told(
            day_of[one.stretch_id],
            one.done_at,
            one.seconds,
            one.started_at,
            tuple(pieces.get(one.stretch_id, ())),
            one.at_bench,
        )
        for one in clocked
        if not one.is_gone and not one.is_break
    ]
    weeks: dict[date, list[Worked]] = {}
    for day in days:
        own = there.get(day.on)
        times = own.paid_times if own and own.is_whole and not day.by_clock else None
        weeks.setdefault(_monday(day.on), []).append(Worked(day.on, day.seconds, times))
    return {
        monday: in_overtime(week, [one for one in told if _monday(one.on) == monday], zone=zone)
        for monday, week in weeks.items()
    }


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
