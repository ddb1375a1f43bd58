"""Shares of time and days by the shop's zone, against the law on summer time and a rule of fair shares.

The rule that no share is a whole unit or more off the exact proportion is the quota of Balinski and Young, Fair
Representation, 1982 (by memory of its definition).
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import UUID
from zoneinfo import ZoneInfo

import pint
from hypothesis import given
from hypothesis import strategies as st

from timing.durations import read_duration
from timing.facts import Fact, Yield, settle, share_seconds

UNITS = pint.UnitRegistry(non_int_type=Fraction)
counts = st.lists(st.tuples(st.integers(0, 999), st.integers(0, 999)), min_size=1, max_size=8)


@given(st.integers(0, 604_800), counts)
def test_every_share_keeps_its_quota_and_nothing_is_lost(seconds: int, units: list[tuple[int, int]]) -> None:
    shares = share_seconds(seconds, [Yield(made=made, spoiled=spoiled) for made, spoiled in units])
    whole = [share for share in shares if share is not None]
    assert sum(whole) == seconds
    weights = [sum(pair) for pair in units] if any(map(sum, units)) else [1] * len(units)
    quotas = [Fraction(seconds * weight, sum(weights)) for weight in weights]
    assert all(abs(share - quota) < 1 for share, quota in zip(whole, quotas, strict=True))


def test_a_fire_for_three_hoops_by_hand() -> None:
    # By hand: 100 s over 1, 1 and 1 hoops are 33 1/3 each; 10 s over 3 and 1 pieces are 7 1/2 and 2 1/2.
    assert share_seconds(100, [Yield(made=1)] * 3) == [33, 33, 34]
    assert share_seconds(10, [Yield(made=3), Yield(made=1)]) == [7, 3]


def last_sunday(year: int, month: int) -> date:
    """The last Sunday of March or October, which both have 31 days."""
    last = date(year, month, 31)
    return last - timedelta(days=(last.weekday() + 1) % 7)


def nth_sunday(year: int, month: int, nth: int) -> date:
    first = date(year, month, 1)
    return first + timedelta(days=(6 - first.weekday()) % 7, weeks=nth - 1)


def day_in(zone: str, moment: datetime) -> date:
    told = Fact(token=UUID(int=1), hand_id=1, done_at=moment, kind="shop")
    return settle(told, received_at=moment, zone=ZoneInfo(zone)).done_on


@given(
    st.integers(2002, 2026),
    st.integers(0, 366 * 24 * 60 - 1),
    st.sampled_from([("Europe/London", 0), ("Europe/Berlin", 1)]),
)
def test_days_follow_european_summer_time(year: int, minute: int, place: tuple[str, int]) -> None:
    # Directive 2000/84/EC, articles 2 and 3 (for the United Kingdom: the Summer Time Order 2002): summer time, an hour
    # ahead, is from 1.00 UTC on the last Sunday of March to 1.00 UTC on the last Sunday of October (by memory).
    zone, hours = place
    moment = datetime(year, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)
    begins, ends = (
        datetime.combine(last_sunday(moment.year, month), datetime.min.time(), tzinfo=UTC) + timedelta(hours=1)
        for month in (3, 10)
    )
    ahead = hours + (begins <= moment < ends)
    assert day_in(zone, moment) == (moment + timedelta(hours=ahead)).date()


@given(st.integers(2007, 2026), st.integers(0, 366 * 24 * 60 - 1))
def test_days_follow_eastern_time(year: int, minute: int) -> None:
    # 15 U.S.C. 260a as amended by the Energy Policy Act of 2005, section 110: from 2.00 on the second Sunday of March
    # to 2.00 on the first Sunday of November; eastern standard time is 5 hours behind, 15 U.S.C. 261 (by memory).
    moment = datetime(year, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)
    begins = datetime.combine(nth_sunday(moment.year, 3, 2), datetime.min.time(), tzinfo=UTC) + timedelta(hours=7)
    ends = datetime.combine(nth_sunday(moment.year, 11, 1), datetime.min.time(), tzinfo=UTC) + timedelta(hours=6)
    behind = 4 if begins <= moment < ends else 5
    assert day_in("America/New_York", moment) == (moment - timedelta(hours=behind)).date()


@given(st.integers(0, 99), st.integers(0, 59))
def test_hours_and_minutes_agree_with_pint(hours: int, minutes: int) -> None:
    outside = (UNITS.Quantity(hours, "hour") + UNITS.Quantity(minutes, "minute")).to("second").magnitude
    for text in (f"{hours} h {minutes}", f"{hours}:{minutes:02}", f"{hours} h {minutes} min"):
        assert read_duration(text) == outside


@given(st.decimals(min_value=0, max_value=100, places=2, allow_nan=False, allow_infinity=False))
def test_decimal_hours_agree_with_pint(hours: Decimal) -> None:
    # Two places of an hour are whole multiples of 36 s, so nothing is rounded.
    assert read_duration(f"{hours} h") == UNITS.Quantity(Fraction(hours), "hour").to("second").magnitude
