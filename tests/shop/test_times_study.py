"""Whether timings are enough, and what runs to come hold to by them."""

import math

import pytest

from shop.times_study import studies, sure_of
from timing.tolerance import upper_factor


def test_limits_of_runs_are_those_of_their_logs() -> None:
    """14.2 minutes for nine runs of ten, where the logs have a mean of ln 10 and a deviation of 0.15 (k 2.3546)."""
    apart = 0.15 * math.sqrt(9 / 10)
    minutes = [10 * math.exp(sign * apart) for sign in (1, -1) * 5]
    sure = sure_of(minutes)
    assert sure
    assert (sure.under, sure.low, sure.high) == ("14.2", "6.5", "15.3")
    assert upper_factor(10, content=0.9, confidence=0.95) == pytest.approx(2.3546, abs=5e-5)
    assert sure_of(minutes[:-1]) is None


def test_timings_wanted_are_told_by_parts_of_the_mean_and_by_minutes() -> None:
    """Mean 6.6: within 0.5 minutes by the deviation of these five (2 × 0.490 / 0.5)², by t (2.776 × 0.548 / 0.5)²."""
    rows = [(row.within, row.by_ilo, row.by_t, row.more) for row in studies([7, 6, 7, 7, 6])]
    assert rows == [("5 %", 9, 22, 17), ("10 %", 3, 6, 1), ("0.5 minutes", 4, 10, 5)]
    assert studies([60, 61])[-1].within == "5 minutes"
    assert studies([11, 11])[-1].within == "1 minute"
    assert studies([3.0]) == []
