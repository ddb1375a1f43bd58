"""A period's pay kept as JSON, and what a rule sees of it."""

import json
from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from shop.money import round_half_up
from shop.pay.reckoning import as_json, from_json, reckon
from shop.pay.rules import RULES, Person
from shop.pay.sheet import Day
from tests.shop.test_pay_sheet import HOUR, MONDAY, days

bonuses = st.lists(st.tuples(st.sampled_from(["Hot days", "Fair"]), st.integers(1, 9000)), max_size=2)


@given(days, bonuses, st.sampled_from(sorted(RULES)))
def test_a_sheet_reads_back_from_json_as_it_was(some: list[Day], given_too: list[tuple[str, int]], rules: str) -> None:
    told = reckon(some, given_too, first=MONDAY, rules=RULES[rules], person=Person())
    assert from_json(json.loads(json.dumps(as_json(told)))) == told
    assert told.pence == round_half_up(sum((line.amount for line in told.lines), Fraction(0)))


def test_the_law_looks_at_the_period_from_its_first_day() -> None:
    """The minimum wage of 31 March stands for a period that begins then, though the hand came in April."""
    late = [Day(date(2026, 4, 1), 10 * HOUR, 1_000_000)]
    lines = {
        first: reckon(late, [], first=first, rules=RULES["gb"], person=Person()).pence
        for first in (date(2026, 3, 31), date(2026, 4, 1))
    }
    # GOV.UK: £12.21 an hour until 31 March 2026, £12.71 from 1 April.
    assert list(lines.values()) == [12_210, 12_710]


def test_a_day_before_any_minimum_wage_is_told() -> None:
    old = [Day(date(2001, 5, 1), HOUR, 1_000_000)]
    told = reckon(old, [], first=date(2001, 5, 1), rules=RULES["gb"], person=Person())
    assert (told.pence, told.said) == (1000, ("No minimum wage is known for a day before 2013-10-01.",))


def test_no_pay_is_said_to_reach_a_minimum_wage_that_is_not_known() -> None:
    for day, known in ((date(2027, 3, 31), True), (date(2027, 4, 1), False)):
        for wage, pence in ((1_271_000, 12_710), (1_000_000, 12_710)):
            some = [Day(day, 10 * HOUR, wage)]
            told = reckon(some, [], first=day, rules=RULES["gb"], person=Person())
            (said,) = told.said
            # GOV.UK: £12.71 an hour from 1 April 2026, the last that is known here.
            assert (told.pence, "from 1 April 2027 on is not known" in said) == (pence, not known)


def test_nothing_is_made_up_for_a_hand_that_was_not_there() -> None:
    assert reckon([], [("Fair", 500)], first=MONDAY, rules=RULES["gb"], person=Person()).pence == 500


def test_a_bonus_belongs_to_its_day_and_is_paid_once() -> None:
    week = [Day(MONDAY + timedelta(n), 8 * HOUR, 1_500_000, bonus=500) for n in range(2)]
    told = reckon(week, [("Fair", 500), ("Fair", 500)], first=MONDAY, rules=RULES["plain"], person=Person())
    assert told.pence == 2 * 8 * 1500 + 1000
