"""Lengths of time as people type them."""

import pytest

from timing.durations import read_duration


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("2 h 10", 7800),
        ("2h10", 7800),
        ("2 h 10 min", 7800),
        ("2:10", 7800),
        ("130", 7800),
        ("130 min", 7800),
        (" 130m ", 7800),
        ("2 h", 7200),
        ("1.5 h", 5400),
        ("1,5 hours", 5400),
        ("7.5 min", 450),
        ("0:05", 300),
        ("2 H 05", 7500),
        ("0", 0),
    ],
)
def test_it_reads(text: str, seconds: int) -> None:
    assert read_duration(text) == seconds


@pytest.mark.parametrize(
    "text",
    ["", "two hours", "-5", "2:75", "10 apples", "2 h 10 h", "1e3", "٣", "1:2:3", "h", "½", "9" * 10, "9" * 5000],
)
def test_it_refuses_with_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match=r"is no length of time: write it as 2 h 10, 2:10 or 130"):
        read_duration(text)


def test_minutes_beside_hours_stay_under_an_hour() -> None:
    with pytest.raises(ValueError, match="an hour or more in its minutes"):
        read_duration("2 h 75")
