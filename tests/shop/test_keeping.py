"""Which backups stay: worked through by hand for a year of one every three hours, and never the newest removed."""

from datetime import UTC, datetime, timedelta
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from shop.keeping import to_remove

NOW = datetime(2026, 11, 25, 16, 0, tzinfo=UTC)
EVERY = timedelta(hours=3)
moments = st.sets(st.datetimes(datetime(2024, 1, 1), datetime(2027, 12, 31), timezones=st.just(UTC)), max_size=40)


@cache
def a_year_and_more() -> list[set[datetime]]:
    """What stands after each day of a shop that is backed up every three hours, and thinned each time."""
    there: set[datetime] = set()
    days = []
    for number in range(400 * 8, -1, -1):
        moment = NOW - number * EVERY
        there = there | {moment}
        there -= to_remove(there, now=moment)
        if moment.hour == NOW.hour:
            days.append(there)
    return days


def test_after_a_long_time_each_day_week_and_month_has_one() -> None:
    there = a_year_and_more()[-1]
    assert {NOW - n * EVERY for n in range(9)} <= there
    days = {moment.date() for moment in there}
    assert {(NOW - timedelta(days=n)).date() for n in range(14)} <= days
    weeks = {moment.isocalendar()[:2] for moment in there}
    assert {(NOW - timedelta(weeks=n)).isocalendar()[:2] for n in range(8)} <= weeks
    months = {(moment.year, moment.month) for moment in there}
    assert months == {(2025, 11), (2025, 12), *((2026, month) for month in range(1, 12))}


def test_what_stands_does_not_grow() -> None:
    # 9 of the last day, 13 days, 7 weeks and 12 months before it, where none is another's.
    assert max(map(len, a_year_and_more())) <= 9 + 13 + 7 + 12


def test_the_last_of_the_day_is_the_one_that_is_kept() -> None:
    morning, evening = NOW - timedelta(days=3, hours=7), NOW - timedelta(days=3)
    assert to_remove({morning, evening, NOW}, now=NOW) == {morning}


@given(moments)
def test_the_newest_and_the_last_day_are_never_removed(there: set[datetime]) -> None:
    gone = to_remove(there, now=NOW)
    assert not there or max(there) not in gone
    assert not [moment for moment in gone if NOW - moment <= timedelta(days=1)]


@given(moments)
def test_a_second_look_removes_nothing_more(there: set[datetime]) -> None:
    kept = there - to_remove(there, now=NOW)
    assert to_remove(kept, now=NOW) == set()


def test_what_is_dated_after_now_is_kept() -> None:
    """A clock that was set wrong costs no backup."""
    ahead = NOW + timedelta(days=40)
    assert to_remove({ahead, NOW, NOW - EVERY}, now=NOW) == set()


def test_one_that_is_dated_ahead_is_not_the_newest() -> None:
    old = NOW - timedelta(days=3000)
    assert to_remove({old, NOW + timedelta(days=40)}, now=NOW) == set()


def test_an_only_one_stays_however_old() -> None:
    old = NOW - timedelta(days=3000)
    assert to_remove({old}, now=NOW) == set()
    assert to_remove(set(), now=NOW) == set()
