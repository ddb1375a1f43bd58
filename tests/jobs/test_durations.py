"""Seconds in words, and the tags for units and words."""

import pytest

from jobs.durations import hours_and_minutes, minutes_of
from jobs.templatetags.wheels import in_other_units, in_units, in_words, minutes_whole
from tests.factories import IN


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "0 min"),
        (20, "under 1 min"),
        (30, "1 min"),
        (3569, "59 min"),
        (3570, "1 h"),
        (7800, "2 h 10"),
        (-60, "−1 min"),
    ],
)
def test_hours_and_minutes(seconds: int, said: str) -> None:
    assert hours_and_minutes(seconds) == said


@pytest.mark.parametrize(("seconds", "said"), [(0, "0"), (696, "11.6"), (720, "12"), (3, "0.1"), (-90, "−1.5")])
def test_minutes_to_a_tenth(seconds: float, said: str) -> None:
    assert minutes_of(seconds) == said


@pytest.mark.parametrize(("seconds", "said"), [(0, "0"), (10, "under 1"), (90, "2"), (-90, "−2")])
def test_whole_minutes(seconds: int, said: str) -> None:
    assert minutes_whole(seconds) == said


def test_the_shops_words_stand_in_names() -> None:
    assert in_words("Turn {hub}, {felloes} and {this}", {"hub": "nave", "felloes": "fellies"}) == (
        "Turn nave, fellies and {this}"
    )


def test_lengths_in_either_units() -> None:
    assert in_units(93 * IN // 2, "in") == "46 1/2 in"
    assert in_other_units(93 * IN // 2, "mm") == "3 ft 10 1/2 in"
    assert in_other_units(IN, "mm") == "1 in"
    assert in_other_units(IN, "in") == "25.4 mm"
