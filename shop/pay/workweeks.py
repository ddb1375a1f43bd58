"""Overtime and the federal minimum of each workweek, which begins on a Monday: 29 CFR part 778."""

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction

from shop.money import MILLI
from shop.pay import united_states
from shop.pay.hours import in_hours
from shop.pay.person import Judged, Person
from shop.pay.sheet import (
    HOURS,
    LAW,
    OVERTIME,
    OVERTIME_PIECES,
    Day,
    Line,
    amount_of,
    by_week,
    earned,
    made_good,
)
from shop.pay.united_states import AgreedPieces, Agreement, Week

SUNDAY = timedelta(days=6)


def judge(days: Sequence[Day], lines: Sequence[Line], person: Person) -> Judged:
    """The overtime premium of each workweek as agreed, or by the regular rate, and what makes up the minimum."""
    added: list[Line] = []
    said: list[str] = []
    for monday, days_of_week in by_week(days):
        week = _week(days_of_week)
        name = f"week of {_day(monday)}"
        short = united_states.shortfall(week)
        if short:
            added.append(Line(LAW, f"Made up to the minimum wage, {name}", Fraction(1), short, short))
            week = _made_up(week, short)
        told = _overtime(monday, days_of_week, week, person)
        added += told.lines
        said += told.said
    return Judged(tuple(added), tuple(said))


def _overtime(monday: date, days: Sequence[Day], week: Week, person: Person) -> Judged:
    by_rate = united_states.pay_by_regular_rate(week)
    name = f"week of {_day(monday)}"
    hours = f"W{name[1:]}: {float(week.hours):.2f} hours, {float(by_rate.overtime_hours):.2f} over 40"
    why_not = ""
    if by_rate.overtime_hours and person.agreements:
        agreement = _agreement(person, monday)
        pieces, why_not = _agreed(monday, days, week, person, agreement)
        if not why_not:
            assert agreement is not None  # noqa: S101 - else it would say why not
            return _as_agreed(monday, hours, pieces, agreement)
    premium: tuple[Line, ...] = ()
    if by_rate.premium:
        half = by_rate.regular_rate / 2
        premium = (Line(OVERTIME, f"Overtime, {name}", by_rate.overtime_hours, half, by_rate.premium),)
    told = f"{hours}; regular rate ${float(by_rate.regular_rate) / 100:.4f} ({by_rate.method})."
    because = f" Not by the pieces of overtime, as was agreed: {why_not}." if why_not else ""
    return Judged(premium, (told + because,))


def _agreement(person: Person, monday: date) -> Agreement | None:
    """The one that covers the week; None where none does."""
    return next((one for one in person.agreements if one.covers(monday, monday + SUNDAY)), None)


def _agreed(
    monday: date, days: Sequence[Day], week: Week, person: Person, agreement: Agreement | None
) -> tuple[dict[str, AgreedPieces], str]:
    """The pieces of the week by the name of the work and its rate, and why they may not be paid so ("": they may)."""
    found = person.in_overtime.get(monday)
    over = {(name, rate): units for name, rate, units in found.pieces} if found else {}
    made: dict[tuple[str, int], int] = {}
    for one in (one for day in days for one in day.pieces):
        made[one.name, one.rate] = made.get((one.name, one.rate), 0) + one.units
    several = len({name for name, _ in made}) < len(made)
    pieces = {
        f"{name} at {_money(Fraction(rate, MILLI))}" if several else name: AgreedPieces(
            Fraction(rate, MILLI), units, over.get((name, rate), 0)
        )
        for (name, rate), units in made.items()
    }
    if agreement is None:
        return pieces, "no agreement made before the work covers the whole week"
    if any(day.piece_seconds > day.seconds for day in days):
        return pieces, "more time is told at pieces than the hand was there"
    if found is None or found.why_not:
        return pieces, found.why_not if found else "nothing is known of its pieces"
    if made_good(days):
        return pieces, "the guarantee, and not the piece rates alone, was paid"
    # From memory: 29 U.S.C. 207(g) asks for overtime on other pay by itself, which the regular rate gives.
    if any(day.bonus for day in days):
        return pieces, "a bonus belongs into the regular rate"
    return pieces, united_states.why_not_agreed(
        week,
        list(pieces.values()),
        hours_over=week.hours - united_states.OVERTIME_AFTER,
        agreement=agreement,
        first_day=monday,
        last_day=monday + SUNDAY,
    )


def _as_agreed(monday: date, hours: str, pieces: dict[str, AgreedPieces], agreement: Agreement) -> Judged:
    """What 29 CFR 516.25 wants on record: each rate, the units made in overtime, their pay, and the agreement."""
    lines, told = [], []
    for name, one in pieces.items():
        if one.made_over:
            half = one.rate / 2
            what = f"{name}, in overtime, week of {_day(monday)}"
            lines.append(Line(OVERTIME_PIECES, what, Fraction(one.made_over), half, half * one.made_over))
            full = one.rate * 3 / 2
            told.append(f"{one.made_over} × {_money(full)} = {_money(full * one.made_over)}, {name}")
    until = f" to {_day(agreement.ends_on)}" if agreement.ends_on else ""
    agreed = f"agreed on {_day(agreement.agreed_on)}, from {_day(agreement.begins_on)}{until}"
    said = f"{hours}; pieces made in overtime earn one and a half times their rate ({agreed}; 29 CFR 778.418)"
    return Judged(tuple(lines), (f"{said}: {'; '.join(told)}.",))


def _week(days: Sequence[Day]) -> Week:
    lines = [*earned(days), *made_good(days)]
    piece = amount_of(line for line in lines if line.kind != HOURS)
    # More may be told at pieces than the hand was there: the law counts the more.
    return Week(
        hours=in_hours(sum(max(day.seconds, day.piece_seconds) for day in days)),
        piece=piece,
        piece_hours=in_hours(sum(day.piece_seconds for day in days)),
        hourly=amount_of(line for line in lines if line.kind == HOURS),
        # Each is taken as earned by the work: 29 CFR 778.211 lets only gifts at the employer's own pleasure stay out.
        bonus=Fraction(max(sum(day.bonus for day in days), 0)),
    )


def _made_up(week: Week, short: Fraction) -> Week:
    return Week(
        hours=week.hours,
        piece=week.piece,
        piece_hours=week.piece_hours,
        hourly=week.hourly,
        bonus=week.bonus + short,
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _money(cents: Fraction) -> str:
    """Dollars, with as many parts of a cent as there are."""
    told = f"{float(cents) / 100:.5f}".rstrip("0")
    whole, _, part = told.partition(".")
    return f"${whole}.{part:0<2}"
