"""Words for pages: the shop's own for the parts of a wheel, and numbers that keep their unit."""

import pytest

from jobs.words import in_words, unbroken


def test_the_shop_s_own_words_stand_in_a_name() -> None:
    assert in_words("Turn {hub} in {braces}", {"hub": "nave"}) == "Turn nave in {braces}"


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("4 h 10 of 57 h 41 still to do", "4_h_10 of 57_h_41 still to do"),
        ("35 min left, 2 h done", "35_min left, 2_h done"),
        ("Fore pair, 970 mm, 12 spokes", "Fore pair, 970_mm, 12 spokes"),
        ("3 ft 10 1/2 in", "3_ft_10_1/2_in"),
        ("14.1 kg or 31 lb at 455 °C", "14.1_kg or 31_lb at 455_°C"),
        ("46 in, then 7 December", "46_in, then 7 December"),
        ("order 153 has 2 hubs in it", "order 153 has 2 hubs in it"),
    ],
)
def test_a_number_keeps_its_unit(text: str, kept: str) -> None:
    assert unbroken(text) == kept.replace("_", "\N{NO-BREAK SPACE}")
