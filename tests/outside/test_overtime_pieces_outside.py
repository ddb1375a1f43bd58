"""Pieces of overtime hours found from coming, going and taps, and a week paid by them: 29 CFR 778.418 and 516.25."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest

from shop.pay.overtime_pieces import InOvertime, Told, Worked, in_overtime
from shop.pay.reckoning import Reckoned, reckon
from shop.pay.rules import RULES, Person
from shop.pay.sheet import Day, PieceWork
from shop.pay.united_states import Agreement

MONDAY = date(2026, 3, 2)
HOUR, DOLLAR = 3600, 100_000
AGREED = Agreement(date(2026, 1, 5), date(2026, 1, 5))


def at(day: int, hour: float) -> datetime:
    return datetime(2026, 3, 2 + day, tzinfo=UTC) + timedelta(hours=hour)


# Five days of nine hours, with a dinner of one: the fortieth hour ends on Friday at 11.00.
WEEK = [Worked(MONDAY + timedelta(n), 9 * HOUR, ((at(n, 7), at(n, 12)), (at(n, 13), at(n, 17)))) for n in range(5)]
FRIDAY = WEEK[4].on


def told(begun: float, done: float, pieces: int, **others: object) -> Told:
    """A stretch on Friday, tapped at the bench."""
    work = (("Shave", DOLLAR, pieces),)
    return Told(FRIDAY, at(4, done), round((done - begun) * HOUR), at(4, begun), work, **others)  # type: ignore[arg-type]


# Before the fortieth hour, over it by one piece, and after it.
TAPS = [told(7, 10.75, 36), told(10.75, 12, 1), told(13, 15, 17), told(15, 17, 19)]


def found(taps: list[Told], week: list[Worked] = WEEK) -> InOvertime:
    return in_overtime(week, taps, zone=UTC)


def test_a_piece_is_made_when_it_is_finished() -> None:
    assert found(TAPS) == InOvertime((("Shave", DOLLAR, 1 + 17 + 19),))
    assert found(TAPS).from_at == at(4, 11)
    # Undone, a stretch is not among what stands.
    assert found(TAPS[:-1]).why_not == "no work at pieces is told from 15.00 of 6 March to 17.00 of 6 March"


@pytest.mark.parametrize(
    ("taps", "why_not"),
    [
        ([told(7, 12.25, 36), *TAPS[2:]], "36 pieces were told together at 12.15 of 6 March, and the fortieth hour"),
        ([*TAPS[:3], replace(TAPS[3], at_bench=False)], "pieces of 6 March were written down later"),
        ([*TAPS[:3], replace(TAPS[3], pieces=())], "other work than pieces in the overtime hours (17.00 of 6 March)"),
        # A rest of twenty minutes is part of the work (29 CFR 785.18), and one that is longer is not.
        ([*TAPS[:3], told(15.35, 17, 19)], "no work at pieces is told from 15.00 of 6 March to 15.21 of 6 March"),
    ],
)
def test_what_is_not_known_is_said_and_not_guessed(taps: list[Told], why_not: str) -> None:
    assert why_not in found(taps).why_not
    assert found([*TAPS[:3], told(15 + 20 / 60, 17, 19)]).why_not == ""


def test_pieces_of_the_fortieth_hours_day_that_have_no_moment_of_their_own() -> None:
    """Common practice, no source: what may be of the hours before the fortieth is not paid as made after it."""
    task, other = frozenset({7}), frozenset({8})
    # Dinner: the time so far was told and nothing counted. What is counted at the end may be of the morning.
    begun = told(7, 12, 0, unfinished=task)
    pile = told(13, 17, 117, yielded=task)
    assert "117 pieces were told together at 17.00 of 6 March" in found([begun, pile]).why_not
    # So where it was begun on the day before; of other work, or counted in between, it says nothing.
    early = replace(begun, on=WEEK[3].on, done_at=at(3, 17))
    assert "117 pieces were told together" in found([early, told(7, 10, 9, yielded=other), pile]).why_not
    counted = told(10.75, 12, 1, yielded=task)
    for before in (
        [told(7, 10.75, 36, yielded=task), counted],
        [replace(early, unfinished=other), counted],
        [early, told(10, 10.5, 1, yielded=task), counted],
    ):
        assert found([*before, pile]) == InOvertime((("Shave", DOLLAR, 118),)), before
    # A piece is made when it is finished, however long it took.
    singly = [told(13, 13.1, 1, yielded=task), told(13.1, 17, 30, yielded=task)]
    assert found([begun, *singly]) == InOvertime((("Shave", DOLLAR, 31),))
    untimed = told(9, 9, 60, is_timed=False)
    assert found([*TAPS, untimed]).why_not == "60 pieces of 6 March were not timed: when they were made is not known"
    assert found([*TAPS, told(16, 16, 1, is_timed=False)]) == InOvertime((("Shave", DOLLAR, 38),))
    assert "written down later" in found([*TAPS, told(8, 9, 60, at_bench=False)]).why_not
    # What waits to be passed is told as much as the rest.
    waiting = replace(told(7, 12.25, 0), made=36)
    assert "36 pieces were told together" in found([waiting, *TAPS[2:]]).why_not


def test_a_week_whose_coming_and_going_are_not_told() -> None:
    assert found(TAPS, [*WEEK[:4], replace(WEEK[4], times=None)]).why_not == (
        "coming and going on 6 March are not all told"
    )
    # Before the day of the fortieth hour only the hours matter.
    assert found(TAPS, [replace(WEEK[0], times=None), *WEEK[1:]]) == found(TAPS)
    assert found(TAPS, WEEK[:4]).why_not == "no hour is over 40"


def paid(made: int, over: int, person: Person, **changes: object) -> Reckoned:
    """45 hours at pieces of a dollar."""
    split = [made // 5 + (n < made % 5) for n in range(5)]
    days = [
        Day(one.on, 9 * HOUR, 0, (PieceWork("Shave", DOLLAR, count, 9 * HOUR),), **changes)  # type: ignore[arg-type]
        for one, count in zip(WEEK, split, strict=True)
    ]
    known = replace(person, in_overtime={MONDAY: InOvertime((("Shave", DOLLAR, over),))})
    return reckon(days, [], first=MONDAY, rules=RULES["us"], person=known)


@pytest.mark.parametrize(("made", "over", "cents"), [(404, 36, 42_644), (405, 37, 42_350), (405, 45, 42_750)])
def test_a_piece_more_may_make_the_agreement_usable_and_the_pay_less(made: int, over: int, cents: int) -> None:
    """Our own figures, at $7.25 (from memory): in five hours 36 × $1.50 are less than 5 × $10.875, and 37 are not."""
    told = paid(made, over, Person(agreements=(AGREED,)))
    assert told.pence == cents
    assert ("29 CFR 778.418" in told.said[0]) == (over >= 37)


def test_the_sheet_names_the_method_the_units_their_pay_and_the_agreement() -> None:
    """29 CFR 516.25: each rate, units made in overtime, what they earned, date and period of the agreement."""
    until = replace(AGREED, ends_on=date(2026, 12, 31))
    told = paid(405, 40, Person(agreements=(until,)))
    assert told.said == (
        "Week of 2 March 2026: 45.00 hours, 5.00 over 40; pieces made in overtime earn one and a half times their rate "
        "(agreed on 5 January 2026, from 5 January 2026 to 31 December 2026; 29 CFR 778.418): 40 × $1.50 = $60.00, "
        "Shave.",
    )
    (line,) = [line for line in told.lines if line.kind == "overtime_pieces"]
    assert (line.quantity, line.rate, line.amount) == (40, 50, 2000)


@pytest.mark.parametrize(
    ("agreement", "changes", "why_not"),
    [
        (replace(AGREED, agreed_on=date(2026, 3, 3)), {}, "no agreement made before the work covers the whole week"),
        (replace(AGREED, ends_on=date(2026, 3, 7)), {}, "no agreement made before the work covers the whole week"),
        (AGREED, {"guarantee": 11 * DOLLAR}, "the guarantee, and not the piece rates alone, was paid"),
        (AGREED, {"bonus": 1000}, "a bonus belongs into the regular rate"),
    ],
)
def test_where_a_condition_fails_the_regular_rate_is_paid_and_the_sheet_says_why(
    agreement: Agreement, changes: dict[str, int], why_not: str
) -> None:
    told = paid(405, 40, Person(agreements=(agreement,)), **changes)
    assert told.said[0].endswith(f"Not by the pieces of overtime, as was agreed: {why_not}.")
    assert told.pence == paid(405, 40, Person(), **changes).pence
    # Without any agreement there is nothing to say of one.
    assert "agreed" not in paid(405, 40, Person()).said[0]


def test_credited_time_is_no_time_worked() -> None:
    """29 CFR 778.312: what a time study credits for pieces is not hours; overtime follows the hours really worked."""
    slow, quick = (paid(made, 0, Person()) for made in (405, 810))
    over = [next(line.quantity for line in told.lines if line.kind == "overtime") for told in (slow, quick)]
    assert over == [5, 5]
    # 810 pieces at 9 an hour would be credited with 90 hours.
    assert quick.pence == 81_000 + Fraction(81_000, 45) * 5 / 2
