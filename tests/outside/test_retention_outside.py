"""How long records of work and pay are kept, against the law of Great Britain and of the United States.

Great Britain: National Minimum Wage Regulations 2015, regulation 59, and HMRC, National Minimum Wage Manual, NMWM12020:
six years, beginning with the day on which the pay reference period ends that follows the one recorded; three before
1 April 2021. The days below are our own sums from that rule. United States: 29 CFR 516.5 (three years: payroll,
agreements) and 29 CFR 516.6 (two: time cards, units made, wage-rate tables, additions to wages, orders and invoices).
"""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pay.periods import MONTH, WEEK, period_after, period_of
from shop.pay.retention import (
    OF_WAGES,
    OWN_RULE,
    TERMS,
    Entry,
    Record,
    fewest_years,
    great_britain_keeps_until,
    kept_until,
)

DAYS = st.dates(date(2015, 10, 1), date(2090, 12, 31))


def entry_of(day: date, *, length: str = MONTH, first_on: date = date(2025, 4, 1)) -> Entry:
    last = period_of(day, length=length, first_on=first_on)[1]
    return Entry(day, period_after(last, length=length, first_on=first_on)[1])


# The period of a month, or of a week from a Monday, that holds the day; the last day of the six years.
@pytest.mark.parametrize(
    ("day", "length", "until"),
    [
        ("2025-04-15", MONTH, "2031-05-30"),  # April 2025; the next ends on 31 May 2025
        ("2024-01-31", MONTH, "2030-02-28"),  # the next ends on 29 February 2024: six years end before 1 March 2030
        ("2026-01-01", MONTH, "2032-02-27"),  # the next ends on 28 February 2026, and 2032 has a 29th
        ("2024-02-29", MONTH, "2030-03-30"),
        ("2026-03-04", WEEK, "2032-03-14"),  # Wednesday; the week ends on the 8th, the next on Sunday 15 March 2026
    ],
)
def test_six_years_from_the_end_of_the_next_pay_reference_period(day: str, length: str, until: str) -> None:
    entry = entry_of(date.fromisoformat(day), length=length, first_on=date(2026, 3, 2) if length == WEEK else date.min)
    for record in OF_WAGES:
        kept = kept_until(record, entry, rules=["gb"], own_years=1)
        assert kept.until == date.fromisoformat(until)
        assert kept.free_from == kept.until + timedelta(days=1)
        assert kept.source == "National Minimum Wage Regulations 2015, regulation 59"


# The change of 1 April 2021 is in NMWM12020. That it reached records which had still to be kept on that day is from
# memory; it is the longer of the two readings, so that nothing is let go too early.
@pytest.mark.parametrize(
    ("next_ends", "until"),
    [
        ("2017-12-31", "2020-12-30"),  # its three years were over
        ("2018-04-01", "2021-03-31"),  # over with the last day of the old rule
        ("2018-04-02", "2024-04-01"),  # one day of the three was left
        ("2021-04-30", "2027-04-29"),
    ],
)
def test_three_years_became_six_on_1_april_2021(next_ends: str, until: str) -> None:
    assert great_britain_keeps_until(date.fromisoformat(next_ends)) == date.fromisoformat(until)


@pytest.mark.parametrize(
    ("record", "law", "until"),
    [
        (Record.SHEETS, "29 CFR 516.5", "2027-02-28"),
        (Record.AGREEMENTS, "29 CFR 516.5", "2027-02-28"),
        (Record.ATTENDANCE, "29 CFR 516.6", "2026-02-28"),
        (Record.PIECES, "29 CFR 516.6", "2026-02-28"),
        (Record.RATES, "29 CFR 516.6", "2026-02-28"),
        (Record.BONUSES, "29 CFR 516.6", "2026-02-28"),
        (Record.ORDERS, "29 CFR 516.6", "2026-02-28"),
        # From memory: 516.6 (b) names records of what was delivered to the shop beside those of orders.
        (Record.STORES, "29 CFR 516.6", "2026-02-28"),
    ],
)
def test_three_and_two_years_from_the_last_entry(record: Record, law: str, until: str) -> None:
    """The entry is of 29 February 2024; neither 2026 nor 2027 has one."""
    kept = kept_until(record, entry_of(date(2024, 2, 29)), rules=["us"], own_years=1)
    assert (kept.until, kept.source) == (date.fromisoformat(until), law)


def test_the_law_of_wages_says_nothing_of_orders_in_britain_nor_of_anything_where_none_was_chosen() -> None:
    day = date(2026, 3, 4)
    for record in (Record.ORDERS, Record.STORES):
        assert kept_until(record, entry_of(day), rules=["gb"], own_years=8).until == date(2034, 3, 3)
    for record in Record:
        kept = kept_until(record, entry_of(day), rules=["plain"], own_years=2)
        assert (kept.until, kept.source) == (date(2028, 3, 3), OWN_RULE)
    assert [fewest_years(rules) for rules in ("plain", "us", "gb")] == [1, 3, 6]


@given(DAYS, st.sampled_from([*Record]), st.sampled_from([*TERMS]), st.integers(1, 30), st.sampled_from([WEEK, MONTH]))
def test_a_shop_may_keep_longer_than_the_law_and_never_shorter(
    day: date, record: Record, rules: str, years: int, length: str
) -> None:
    entry = entry_of(day, length=length)
    by_law = kept_until(record, entry, rules=[rules], own_years=1).until
    kept = kept_until(record, entry, rules=[rules], own_years=years)
    assert kept.until >= by_law
    assert kept.until >= date(day.year + years, day.month, min(day.day, 28)) - timedelta(days=1)
    # Whose rules were changed keeps by both, whichever came first.
    both = kept_until(record, entry, rules=[rules, "gb"], own_years=years)
    assert both == kept_until(record, entry, rules=["gb", rules], own_years=years)
    assert both.until >= kept.until


@given(DAYS, st.integers(0, 400), st.sampled_from([*Record]), st.sampled_from([*TERMS]), st.integers(1, 30))
def test_what_is_newer_is_never_let_go_before_what_is_older(
    day: date, days: int, record: Record, rules: str, years: int
) -> None:
    older, newer = entry_of(day), entry_of(day + timedelta(days=days))
    told = {"rules": [rules], "own_years": years}
    assert kept_until(record, older, **told).until <= kept_until(record, newer, **told).until  # type: ignore[arg-type]
