"""A hand's sheet: pieces, hours, guarantee, and what the chosen rules add."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.models import Shop
from shop.pay.reckoning import reckon
from shop.pay.rules import RULES, Person, Rated
from shop.pay.sheet import Day, PieceWork, amount_of, earned, gross_pence, made_good, rounded_over
from shop.pay.terms import PaysSpoiled
from shop.pay_reckoned import Period, Settings
from shop.pay_runs import DraftSheet
from shop.pay_sheet import of_draft

MONDAY = date(2026, 3, 2)
HOUR = 3600

pieces = st.builds(
    lambda name, **others: PieceWork(name, operation_id=len(name), **others),
    name=st.sampled_from(["shave", "driven"]),
    rate=st.sampled_from([62_500, 90_000]),
    units=st.integers(0, 40),
    seconds=st.integers(0, 8 * HOUR),
)
days = st.lists(
    st.builds(
        Day,
        on=st.integers(0, 20).map(lambda n: MONDAY + timedelta(n)),
        seconds=st.integers(0, 12 * HOUR),
        wage=st.sampled_from([1_300_000, 1_415_000]),
        pieces=st.lists(pieces, max_size=3).map(tuple),
        guarantee=st.sampled_from([0, 1_250_000]),
    ),
    max_size=8,
)


def test_a_week_of_pieces_and_hours_to_the_penny() -> None:
    one = Day(MONDAY, 8 * HOUR, 1_400_000, (PieceWork("Shave spoke", 62_500, 41, 6 * HOUR),))
    lines = earned([one, Day(MONDAY + timedelta(1), 8 * HOUR + 100, 1_400_000)])
    assert [(line.name, line.quantity, line.rate) for line in lines] == [
        ("Shave spoke", 41, Fraction("62.5")),
        ("Hours", Fraction(10 * HOUR + 100, HOUR), 1400),
    ]
    # 41 × 62.5p = £25.625; 10 h and 100 s at £14 = £140.3888…
    assert [line.pence for line in lines] == [2563, 14_039]
    assert gross_pence(lines) == 16_601
    assert rounded_over(lines) == 1


def test_the_guarantee_is_for_hours_at_pieces_over_the_whole_period() -> None:
    slow = Day(MONDAY, 8 * HOUR, 1_400_000, (PieceWork("Shave spoke", 62_500, 100, 6 * HOUR),), guarantee=1_250_000)
    (line,) = made_good([slow])
    # Six hours at £12.50 less a hundred at 62.5p.
    assert line.amount == 6 * 1250 - 6250
    quick = Day(MONDAY + timedelta(1), 4 * HOUR, 1_400_000, (PieceWork("Shave spoke", 62_500, 100, HOUR),), 1_250_000)
    assert made_good([slow, quick]) == []


@given(days, st.integers(0, 8))
def test_what_is_earned_is_the_sum_over_any_split_of_days(some: list[Day], at: int) -> None:
    assert amount_of(earned(some)) == amount_of(earned(some[:at])) + amount_of(earned(some[at:]))


@given(days.filter(bool), st.integers(1, 5))
def test_a_piece_more_never_lowers_the_pay(some: list[Day], more: int) -> None:
    first = some[0]
    extra = Day(
        first.on,
        first.seconds,
        first.wage,
        (*first.pieces, PieceWork("shave", 62_500, more, operation_id=5)),
        first.guarantee,
    )
    for rules in RULES.values():
        for person in (Person(), RATED):
            before, after = (_paid(each, rules.key, person) for each in (some, [extra, *some[1:]]))
            assert after >= before


# Under an agreement on overtime by the piece it may: `tests/outside/test_overtime_pieces_outside.py` has such a week.
RATED = Person(rated={5: Rated(Fraction(10), date(2026, 2, 27))}, hours_are_controlled=False)


def _paid(some: list[Day], key: str, person: Person) -> Fraction:
    lines = [*earned(some), *RULES[key].make_good(some)]
    return amount_of([*lines, *RULES[key].judge(some, lines, person).lines])


@given(days, st.integers(0, 3))
def test_workweeks_stand_alone(some: list[Day], weeks: int) -> None:
    """29 CFR 778.104: overtime, guarantee and minimum of two weeks are those of each, wherever weeks part."""
    parts = MONDAY + timedelta(7 * weeks)
    split = [day for day in some if day.on < parts], [day for day in some if day.on >= parts]
    assert _paid(some, "us", Person()) == sum(_paid(part, "us", Person()) for part in split)


@given(days)
def test_the_law_never_takes_away(some: list[Day]) -> None:
    for rules in RULES.values():
        lines = [*earned(some), *rules.make_good(some)]
        assert all(line.amount > 0 for line in rules.judge(some, lines, Person()).lines)


def test_britain_makes_up_to_the_minimum_by_actual_or_rated_hours() -> None:
    april = date(2026, 4, 6)
    one = Day(april, 8 * HOUR, 1_300_000, (PieceWork("Shave spoke", 150_000, 40, 7 * HOUR, operation_id=7),))
    lines = earned([one])
    assert gross_pence(lines) == 6000 + 1300
    judged = RULES["gb"].judge([one], lines, Person(age=30))
    # Eight hours at £12.71 less £73.
    assert judged.lines[0].amount == 8 * 1271 - 7300
    # With notice and a mean of 10 an hour, 40 spokes stand for 4.8 hours: 5.8 in all, which £73 does not reach either.
    rated = Person(age=30, rated={7: Rated(Fraction(10), date(2026, 3, 1))}, hours_are_controlled=False)
    # £73.718, and no part of a penny less.
    assert RULES["gb"].judge([one], lines, rated).lines[0].amount == 7372 - 7300
    assert "made up" in judged.said[0]
    assert RULES["gb"].judge([one], lines, Person(age=17)).said[0].endswith("the pay reaches it.")
    assert RULES["gb"].judge([], [], Person()).lines == ()


def test_america_adds_half_the_regular_rate_week_by_week() -> None:
    # The regulation's pieceworker: 46 hours at pieces earn $491, 4 waiting at $8 (29 CFR 778.111(a)).
    hours = (10, 10, 10, 10, 6)
    week = [
        Day(MONDAY + timedelta(n), h * HOUR, 800_000, (PieceWork("Shave spoke", 1000, 0, h * HOUR),))
        for n, h in enumerate(hours)
    ]
    week[0] = Day(MONDAY, 14 * HOUR, 800_000, (PieceWork("Shave spoke", 1000, 49_100, 10 * HOUR),))
    lines = earned(week)
    assert gross_pence(lines) == 52_300
    judged = RULES["us"].judge(week, lines, Person())
    assert [line.amount for line in judged.lines] == [5230]
    assert gross_pence([*lines, *judged.lines]) == 57_530
    # The same hours over two weeks have no overtime.
    later = [*week[:3], *(Day(day.on + timedelta(7), day.seconds, day.wage, day.pieces) for day in week[3:])]
    assert all(line.name.startswith("Made up") for line in RULES["us"].judge(later, lines, Person()).lines)


def test_one_hour_of_overtime_is_told_as_hours_and_a_sum_is_not() -> None:
    week = [Day(MONDAY + timedelta(n), (10 + n // 3) * HOUR, 1_400_000, bonus=n // 3 * 500) for n in range(4)]
    reckoned = reckon(week, [("Fair", 500)], first=MONDAY, rules=RULES["us"], person=Person())
    period = Period(MONDAY, MONDAY + timedelta(6), Settings("us", PaysSpoiled(), pays_short_breaks=True))
    sheet = of_draft(DraftSheet(1, "Osk", reckoned), period, Shop(currency="USD"))
    told = {line.heading: (line.quantity, bool(line.rate), line.pence) for line in sheet.lines}
    # 41 h at $14 and $5: half of $574 + $5 by 41 for the one hour over 40.
    assert told == {"Hours": ("41 h", True, 57_400), "Bonus": ("", False, 500), "By law": ("1 h", True, 706)}


def test_each_rule_names_itself_and_its_day() -> None:
    assert {rules.key for rules in RULES.values()} == {"plain", "gb", "us"}
    for rules in RULES.values():
        assert rules.caution.startswith(f"Reckoned by the rules named here as of {rules.as_of.day} ")
        assert "no legal advice" in rules.caution
    with pytest.raises(KeyError):
        RULES["fr"]
