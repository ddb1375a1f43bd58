"""Coming and going made into paid seconds: whole days, what is missing, and the order in which they come."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pay.attendance import (
    BACK,
    BREAK,
    CAME,
    WENT,
    Attended,
    Clocked,
    Event,
    attended,
    days_of_clocked,
    in_order,
    paid_hours,
    seconds_by_day,
    standing,
)

MONDAY, TUESDAY = date(2026, 3, 2), date(2026, 3, 3)
HOUR = 3600
LONDON = ZoneInfo("Europe/London")


def at(text: str, day: date = MONDAY) -> datetime:
    hour, _, minute = text.partition(".")
    return datetime(day.year, day.month, day.day, int(hour), int(minute), tzinfo=LONDON).astimezone(UTC)


def event(kind: str, text: str, day: date = MONDAY, **others: UUID) -> Event:
    return Event(uuid4(), kind, at(text, day), day, **others)


DAY = [event(CAME, "8.00"), event(BREAK, "12.00"), event(BACK, "12.45"), event(WENT, "17.00")]
SHORT = [event(BREAK, "10.00"), event(BACK, "10.15")]


def days(events: list[Event], *, pays: bool = True, now: datetime | None = None) -> dict[date, Attended]:
    return attended(events, zone=LONDON, pays_short_breaks=pays, now=now)


def test_dinner_is_off_and_a_short_break_is_paid_if_the_shop_says_so() -> None:
    there = days([*DAY, *SHORT])[MONDAY]
    assert (there.seconds, there.unpaid_seconds, there.is_whole) == (9 * HOUR - 45 * 60, 45 * 60, True)
    assert there.spells == ((at("8.00"), at("17.00")),)
    # 29 CFR 785.18 has a rest of 15 minutes paid; a shop under other law may leave it out.
    assert days([*DAY, *SHORT], pays=False)[MONDAY].seconds == 9 * HOUR - 60 * 60


@pytest.mark.parametrize(("until", "paid"), [("10.29", 4 * HOUR), ("10.30", 4 * HOUR - 1800)])
def test_half_an_hour_is_a_meal(until: str, paid: int) -> None:
    some = [event(CAME, "8.00"), event(BREAK, "10.00"), event(BACK, until), event(WENT, "12.00")]
    assert days(some)[MONDAY].seconds == paid


@pytest.mark.parametrize(
    ("some", "seconds", "said"),
    [
        ([event(CAME, "8.00")], 0, "came at 8.00 and never went"),
        ([event(WENT, "17.00")], 0, "went at 17.00 and never came"),
        ([event(CAME, "8.00"), event(CAME, "12.45"), event(WENT, "17.00")], 15300, "came at 8.00 and never went"),
        (
            [event(CAME, "8.00"), event(BREAK, "12.00"), event(WENT, "17.00")],
            14400,
            "the break of 12.00 was never ended",
        ),
        ([*DAY, event(BACK, "15.00")], 29700, "back at 15.00 from no break"),
        ([event(BREAK, "10.00")], 0, "a break at 10.00 without having come"),
    ],
)
def test_what_is_missing_is_told_and_not_guessed(some: list[Event], seconds: int, said: str) -> None:
    there = days(some)[MONDAY]
    assert (there.seconds, there.said) == (seconds, (said,))


def test_a_night_belongs_to_the_day_of_coming() -> None:
    night = [event(CAME, "20.00"), event(BREAK, "0.30", TUESDAY), event(BACK, "1.15", TUESDAY)]
    there = days([*night, event(WENT, "4.00", TUESDAY)])
    assert {on: day.seconds for on, day in there.items()} == {MONDAY: 8 * HOUR - 45 * 60}


def test_a_going_that_was_forgotten_does_not_swallow_the_next_day() -> None:
    there = days([event(CAME, "8.00"), event(CAME, "8.00", TUESDAY), event(WENT, "17.00", TUESDAY)])
    assert (there[MONDAY].seconds, there[MONDAY].said) == (0, ("came at 8.00 and never went",))
    assert (there[TUESDAY].seconds, there[TUESDAY].said) == (9 * HOUR, ())
    late = days([event(CAME, "8.00"), event(WENT, "17.00", TUESDAY)])
    assert [day.said for day in late.values()] == [("came at 8.00 and never went",), ("went at 17.00 and never came",)]


def test_the_night_the_clocks_go_back_has_an_hour_more() -> None:
    saturday, sunday = date(2026, 10, 24), date(2026, 10, 25)
    night = [event(CAME, "22.00", saturday), event(WENT, "4.00", sunday)]
    assert days(night)[saturday].seconds == 7 * HOUR


def test_the_same_touch_twice_is_one() -> None:
    again = Event(uuid4(), CAME, at("8.01"), MONDAY)
    assert days([*DAY, again])[MONDAY] == days(DAY)[MONDAY]


def test_two_spells_that_meet_at_one_minute_are_both_paid() -> None:
    """As they are when a day is entered in two parts, whichever of them was entered first."""
    parts = [event(CAME, "8.00"), event(WENT, "12.00"), event(CAME, "12.00"), event(WENT, "16.00")]
    for some in (parts, parts[::-1]):
        assert (days(some)[MONDAY].seconds, days(some)[MONDAY].said) == (8 * HOUR, ())
    broken = [*parts, event(BREAK, "11.00"), event(BACK, "12.00")]
    assert (days(broken)[MONDAY].seconds, days(broken)[MONDAY].said) == (7 * HOUR, ())
    # Who was not there came, and went at once.
    assert days([event(WENT, "8.00"), event(CAME, "8.00")])[MONDAY].spells == ((at("8.00"), at("8.00")),)


def test_where_a_hand_is_now() -> None:
    def now(text: str, day: date = MONDAY) -> str:
        return standing(DAY, zone=LONDON, now=at(text, day)).state

    assert [now(text) for text in ("7.59", "9.00", "12.30", "13.00", "18.00")] == [
        *("out", "here", "resting", "here", "out")
    ]
    forgot = standing(DAY[:1], zone=LONDON, now=at("8.00", TUESDAY))
    assert forgot.state == "out"
    assert days(DAY[:1], now=at("9.00"))[MONDAY].said == ()
    assert days(DAY[:1], now=at("8.00", TUESDAY))[MONDAY].said == ("came at 8.00 and never went",)


def test_the_job_clock_stands_in_where_nothing_was_told() -> None:
    hours = paid_hours(days([event(CAME, "8.00", TUESDAY)]), {MONDAY: 7 * HOUR, TUESDAY: 6 * HOUR})
    assert [(day.on, day.seconds, day.by_clock, bool(day.said)) for day in hours] == [
        (MONDAY, 7 * HOUR, True, False),
        (TUESDAY, 0, False, True),
    ]


def test_work_belongs_to_the_day_of_the_spell_that_holds_it() -> None:
    there = days([event(CAME, "20.00"), event(WENT, "4.00", TUESDAY)])
    told = [
        Clocked(1, TUESDAY, at("4.00", TUESDAY), 3 * HOUR),
        # Ended a minute after going: it began in the spell all the same.
        Clocked(2, TUESDAY, at("4.01", TUESDAY), 360),
        # What undoes the first, whenever that was.
        Clocked(3, TUESDAY, at("4.00", TUESDAY), -3 * HOUR),
        # By itself, after the night; and before it.
        Clocked(4, TUESDAY, at("9.00", TUESDAY), 4 * HOUR),
        Clocked(5, MONDAY, at("12.00"), 2 * HOUR),
    ]
    belongs = days_of_clocked(there, told)
    assert belongs == {1: MONDAY, 2: MONDAY, 3: MONDAY, 4: TUESDAY, 5: MONDAY}
    assert seconds_by_day(told, belongs) == {MONDAY: 2 * HOUR + 360, TUESDAY: 4 * HOUR}


touches = st.lists(
    st.builds(
        lambda token, kind, minutes: Event(
            token, kind, at("0.00") + timedelta(minutes=minutes), MONDAY + timedelta(minutes // 1440)
        ),
        st.uuids(),
        st.sampled_from([CAME, WENT, BREAK, BACK]),
        st.integers(0, 3 * 1440 - 1),
    ),
    max_size=12,
    unique_by=lambda one: one.token,
)


@given(touches, st.randoms(use_true_random=False), st.booleans())
def test_order_of_arrival_repeats_and_what_is_taken_back_change_nothing(some, chance, pays) -> None:
    plain = days(some, pays=pays)
    shuffled = [*some, *some[:3]]
    chance.shuffle(shuffled)
    assert days(shuffled, pays=pays) == plain
    wrong = [Event(uuid4(), one.kind, one.at + timedelta(minutes=7), one.on) for one in some[:4]]
    back = [Event(uuid4(), one.kind, one.at, one.on, cancels=one.token) for one in wrong]
    assert days([*back, *some, *wrong, *back], pays=pays) == plain


@given(touches)
def test_no_second_is_paid_twice_or_without_an_end(some) -> None:
    there = days(some)
    spells = sorted(spell for day in there.values() for spell in day.spells)
    assert all(begun <= done <= begun + timedelta(hours=16) for begun, done in spells)
    assert all(before[1] <= after[0] for before, after in pairwise(spells))
    told = sum(round((done - begun).total_seconds()) for begun, done in spells)
    assert sum(day.seconds + day.unpaid_seconds for day in there.values()) == told
    assert all(day.seconds >= 0 and day.unpaid_seconds >= 0 for day in there.values())
    assert bool(there) == bool(in_order(some))
