"""Pace beside what is published of balanced lines, and beside the plain arithmetic of standard minutes."""

import math

import pytest

from timing.pace import Week, days_of, hands_for_a_wheel_a_day, slowest, wheels_a_week


def test_the_fewest_hands_and_the_output_are_those_of_a_balanced_line() -> None:
    """W. J. Stevenson, Operations Management, chapter on layout: five tasks of 0.1, 0.7, 1.0, 0.5 and 0.2 minutes, a
    day of 480 minutes. From memory: at a cycle of one minute 480 units a day and 2.5, so 3 stations; one person who
    does all of it makes 480 / 2.5 = 192.
    """
    work, day = 0.1 + 0.7 + 1.0 + 0.5 + 0.2, Week(hours=8, days=1)
    assert wheels_a_week(work, 1, day) == pytest.approx(192)
    assert wheels_a_week(1.0, 1, day) == pytest.approx(480)
    # Hands for one unit a day, times the 480 that are wanted.
    assert 480 * hands_for_a_wheel_a_day(work, day) == pytest.approx(2.5)
    assert math.ceil(480 * hands_for_a_wheel_a_day(work, day)) == 3


def test_hours_days_and_wheels_go_together() -> None:
    """Common practice, no source: 20 hours of work in a wheel are two and a half days of eight hours."""
    week = Week(hours=8, days=5)
    assert days_of(20 * 60, week) == pytest.approx(2.5)
    assert hands_for_a_wheel_a_day(20 * 60, week) == pytest.approx(2.5)
    # So many hands as a wheel a day wants make one a day.
    assert wheels_a_week(20 * 60, 2.5, week) == pytest.approx(week.days)
    assert wheels_a_week(20 * 60, 4, Week(hours=7.5, days=5.5)) == pytest.approx(4 * 7.5 * 5.5 / 20)


def test_the_slowest_trade_holds_the_others() -> None:
    week = Week(hours=8, days=5)
    minutes = {"bench": 1200.0, "smith": 240.0, "painter": 240.0}
    # 3 × 2 wheels at the bench, 0.2 × 10 at the forge; nobody paints, so painting goes out.
    assert slowest(minutes, {"bench": 3, "smith": 0.2, "painter": 0}, week) == "smith"
    assert slowest(minutes, {"bench": 0.5, "smith": 0.2}, week) == "bench"
    assert slowest(minutes, {}, week) is None
    assert slowest({"bench": 0.0}, {"bench": 1}, week) is None
