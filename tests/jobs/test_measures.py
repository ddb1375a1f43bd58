"""Lengths as they are typed and shown."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.measures import (
    LONGEST_NM,
    MeasureError,
    exact_length,
    format_feet,
    format_length,
    format_section,
    parse_length,
)

SIXTY_FOURTH = 396_875


@pytest.mark.parametrize(
    ("typed", "nm"),
    [
        ("1168 mm", 1_168_000_000),
        ("1168", 1_168_000_000),
        ("1168mm", 1_168_000_000),
        ("116.8 cm", 1_168_000_000),
        ("116,8 cm", 1_168_000_000),
        ("1.168 m", 1_168_000_000),
        (".5 mm", 500_000),
        ("0,375 in", 9_525_000),
        ("46 in", 1_168_400_000),
        ("46 IN.", 1_168_400_000),
        ("46 inches", 1_168_400_000),
        ('46"', 1_168_400_000),
        ("46''", 1_168_400_000),
        ("46″", 1_168_400_000),
        ("46”", 1_168_400_000),
        ('46 1/2"', 1_181_100_000),
        ("46-1/2 in", 1_181_100_000),
        ("46½ in", 1_181_100_000),
        ("46.5 in", 1_181_100_000),
        ("½ in", 12_700_000),
        ("10 5/8 in", 269_875_000),
        ("10 5⁄8 in", 269_875_000),
        ("3 ft", 914_400_000),
        ("3 feet", 914_400_000),
        ("3 ft 10 1/2 in", 1_181_100_000),
        ("3' 10 1/2\"", 1_181_100_000),
        ("3’10½”", 1_181_100_000),
        ("3′ 10½″", 1_181_100_000),
        ("3 ft, 10 in", 1_168_400_000),
        ("3 ft 10", 1_168_400_000),
        ("  46\u00a0 in ", 1_168_400_000),
        ("0", 0),
        ("100 m", LONGEST_NM),
    ],
)
def test_what_is_typed_is_kept_exactly(typed: str, nm: int) -> None:
    assert parse_length(typed, default_unit="mm") == nm


def test_a_bare_number_is_in_the_shops_units() -> None:
    assert parse_length("46 1/2", default_unit="in") == 1_181_100_000
    assert parse_length("46½", default_unit="in") == 1_181_100_000
    assert parse_length("46", default_unit="mm") == 46_000_000


def test_less_than_a_nanometre_is_rounded_halves_to_even() -> None:
    assert parse_length("1/3 in", default_unit="mm") == 8_466_667
    assert parse_length("0.0000005 mm", default_unit="mm") == 0
    assert parse_length("0.0000015 mm", default_unit="mm") == 2


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "No length was given"),
        ("   ", "No length was given"),
        ("3/0", "divides by nothing"),
        ("46 3/0 in", "divides by nothing"),
        ("-3 mm", "less than nothing"),
        ("−3", "less than nothing"),
        ("46 3/2 in", "a fraction of one or more"),
        ("1,168 mm", "could mean 1168 or 1.168"),
        ("3 ft 12 in", "12 inches or more after the feet"),
        ("100.000001 m", "over 100 m"),
        ("9" * 39 + "m", "over 100 m"),
        ("9" * 5000, "too long to be a length"),
        ("3 mm 2 in", "cannot be read"),
        ("3 in 2 ft", "cannot be read"),
        ("3.5 ft 2 in", "cannot be read"),
        ("46 in in", "cannot be read"),
        ("1e3", "cannot be read"),
        ("٣ mm", "cannot be read"),
        ("nan", "cannot be read"),
        ("46 furlongs", "cannot be read"),
        ("1/2/3", "cannot be read"),
        ("/2", "cannot be read"),
        ("in", "cannot be read"),
        ("1.2.3", "cannot be read"),
    ],
)
def test_what_is_no_length_is_refused_in_one_sentence(typed: str, says: str) -> None:
    with pytest.raises(MeasureError, match=says) as refused:
        parse_length(typed, default_unit="mm")
    sentence = str(refused.value)
    assert sentence[-1] in ".?"
    assert "\n" not in sentence
    assert len(sentence) < 200
    assert not typed.strip() or typed.split()[0][:40] in sentence


@given(st.text(max_size=60))
def test_any_text_gives_a_length_or_is_refused_as_none(text: str) -> None:
    try:
        nm = parse_length(text, default_unit="in")
    except MeasureError:
        return
    assert 0 <= nm <= LONGEST_NM


@pytest.mark.parametrize(
    ("nm", "mm", "inches"),
    [
        (0, "0 mm", "0 in"),
        (1_168_000_000, "1168 mm", "about 45 63/64 in"),
        (1_168_400_000, "1168.4 mm", "46 in"),
        (1_181_100_000, "1181.1 mm", "46 1/2 in"),
        (269_875_000, "about 269.88 mm", "10 5/8 in"),
        (SIXTY_FOURTH, "about 0.4 mm", "1/64 in"),
        (10_050_000, "10.05 mm", "about 25/64 in"),
        (1, "about 0 mm", "about 0 in"),
    ],
)
def test_lengths_are_shown_in_the_shops_units(nm: int, mm: str, inches: str) -> None:
    assert format_length(nm, unit="mm") == mm
    assert format_length(nm, unit="in") == inches


def test_a_coarser_fraction_says_about() -> None:
    assert format_length(33 * SIXTY_FOURTH, unit="in", denominator=16) == "about 1/2 in"
    assert format_length(32 * SIXTY_FOURTH, unit="in", denominator=16) == "1/2 in"


@pytest.mark.parametrize(
    ("nm", "shown"),
    [
        (1_181_100_000, "3 ft 10 1/2 in"),
        (914_400_000, "3 ft"),
        (12_700_000, "1/2 in"),
        (0, "0 in"),
        (914_400_001, "about 3 ft"),
    ],
)
def test_feet_and_inches(nm: int, shown: str) -> None:
    assert format_feet(nm) == shown


def test_sections() -> None:
    assert format_section(38_000_000, 10_000_000, unit="mm") == "38 × 10 mm"
    assert format_section(63_500_000, 15_875_000, unit="in") == "2 1/2 × 5/8 in"
    assert format_section(63_500_000, 15_875_000, unit="mm") == "about 63.5 × 15.88 mm"


def test_less_than_nothing_is_not_shown() -> None:
    with pytest.raises(ValueError, match="-1 nm"):
        format_length(-1, unit="mm")


@given(st.integers(0, LONGEST_NM // 10_000).map(lambda count: count * 10_000))
def test_millimetres_shown_read_back_the_same(nm: int) -> None:
    assert parse_length(format_length(nm, unit="mm"), default_unit="in") == nm


@given(st.integers(0, LONGEST_NM // SIXTY_FOURTH).map(lambda count: count * SIXTY_FOURTH))
def test_inches_shown_read_back_the_same(nm: int) -> None:
    assert parse_length(format_length(nm, unit="in"), default_unit="mm") == nm
    assert parse_length(format_feet(nm), default_unit="mm") == nm


@given(st.integers(0, LONGEST_NM), st.sampled_from(["mm", "in"]))
def test_a_field_always_reads_back_the_same(nm: int, unit: str) -> None:
    assert parse_length(exact_length(nm, unit=unit), default_unit="mm") == nm
    assert parse_length(exact_length(nm, unit=unit), default_unit="in") == nm


@given(st.integers(0, LONGEST_NM - SIXTY_FOURTH), st.sampled_from(["mm", "in"]))
def test_about_stands_exactly_where_the_figure_is_not_exact(nm: int, unit: str) -> None:
    shown = format_length(nm, unit=unit)
    figure = parse_length(shown.removeprefix("about "), default_unit="mm")
    assert shown.startswith("about ") == (figure != nm)
    assert abs(figure - nm) <= (5_000 if unit == "mm" else SIXTY_FOURTH // 2 + 1)
