"""The heat of a tyre in a smith's words and in degrees, against the colour tables in print."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from jobs.iron import Hoop, heat_to_pass, in_degrees, most_clearance_nm
from jobs.iron.colours import (
    BOOKS,
    CHAPMAN_BANDS,
    DOOLEY_BANDS,
    STIRLING_BANDS,
    colour_in,
    in_the_books,
    smiths_words,
)
from jobs.iron.expansion import HeatRefused, celsius_of, elongation
from jobs.iron.fire import CLEAR_NM, USUAL_WATCH_MINUTES, watch_warning
from jobs.measures import format_feet

INCH = 25_400_000


def tyre(diameter_in: float, draw_in: float) -> Hoop:
    return Hoop(math.pi * diameter_in * INCH, draw_in * INCH, 2 * INCH, INCH / 2)


@pytest.mark.parametrize(
    ("celsius", "word"),
    [
        (426, "black red"),
        (593, "black red"),
        (594, "very dark red"),
        (704, "very dark red"),
        (705, "dark red"),
        (815, "cherry red"),
        (850, "cherry red"),
        (871, "light cherry red"),
        (982, "orange"),
        (1093, "yellow"),
        (1259, "yellow white"),
        (1315, "white"),
    ],
)
def test_chapman(celsius: float, word: str) -> None:
    # Chapman, Workshop Technology, its Celsius column, as two encyclopaedia mirrors of "Red heat" have it.
    assert colour_in(CHAPMAN_BANDS, celsius) == word


@pytest.mark.parametrize(
    ("celsius", "word"),
    [(525, "red just visible"), (700, "dull red"), (900, "full cherry red"), (1300, "white"), (1500, "dazzling white")],
)
def test_stirling(celsius: float, word: str) -> None:
    # The Stirling Boiler Company's table of 1905, on pl.wn.com.
    assert colour_in(STIRLING_BANDS, celsius) == word
    assert colour_in(STIRLING_BANDS, celsius - 1) != word


@pytest.mark.parametrize(
    ("degrees_f", "word"),
    [(957, "first red"), (1290, "dull red"), (1655, "cherry red"), (2190, "bright orange"), (2550, "bright white")],
)
def test_dooley(degrees_f: float, word: str) -> None:
    # Dooley, Applied Science for Metal Workers, in Fahrenheit.
    assert colour_in(DOOLEY_BANDS, celsius_of(degrees_f)) == word
    assert colour_in(DOOLEY_BANDS, celsius_of(degrees_f - 1)) != word


def test_the_first_red_of_two_books_is_the_same_within_three_degrees_fahrenheit() -> None:
    # 525 °C is 977 °F, for which the Stirling table prints 980.
    assert in_degrees(525, unit="in") == "977 °F"


@pytest.mark.parametrize("bands", BOOKS.values(), ids=list(BOOKS))
def test_bands_follow_on_each_other(bands: tuple[object, ...]) -> None:
    ends = [band.to_c for band in bands]  # type: ignore[attr-defined]
    starts = [band.from_c for band in bands]  # type: ignore[attr-defined]
    assert starts == sorted(starts)
    assert ends == [*starts[1:], None]


def test_a_book_without_a_colour_so_low_says_so() -> None:
    assert dict(in_the_books(450)) == {
        "Chapman, Workshop Technology": "black red",
        "Stirling Boiler Company, 1905": "no red yet",
        "Dooley, Applied Science for Metal Workers": "no red yet",
    }


@pytest.mark.parametrize(
    ("celsius", "words"),
    [
        (300, "black heat, no red"),
        (425, "black heat, no red"),
        (466, "black heat, no red but in the dark"),
        (541, "the first red, seen in deep shade"),
        (600, "very dark red"),
        (710, "dark red"),
    ],
)
def test_smiths_words(celsius: float, words: str) -> None:
    # Chapman's first band begins at 426 °C, Dooley's first red at 514.
    assert smiths_words(celsius) == words


def test_the_largest_draw_in_print_takes_a_first_red() -> None:
    # 1 1/4 in (Hasluck, large heavy wheels) on 54 in, to pass with nothing to spare: 541 °C by EN 1993-1-2.
    heat = heat_to_pass(tyre(54, 1.25).growth_to_pass(0))
    assert heat.celsius == pytest.approx(541, abs=0.5)
    assert heat.words == "the first red, seen in deep shade"


def test_dull_red_grows_ten_millimetres_in_a_metre() -> None:
    # 700 °C is dull red by the Stirling table: 10.1 mm in a metre.
    assert colour_in(STIRLING_BANDS, 700) == "dull red"
    assert 1000 * elongation(700) == pytest.approx(10.1, abs=0.05)


def test_clearance_asks_for_much_more_heat_than_the_draw_alone() -> None:
    # A few millimetres to spare on the diameter: common practice, no source. On 44 3/4 in with a draw of 1/2 in, 3 mm
    # more take 466 °C by EN 1993-1-2; with nothing to spare the same formula, solved by hand, has 289.6.
    hoop = tyre(44.75, 0.5)
    assert heat_to_pass(hoop.growth_to_pass(3_000_000)).celsius == pytest.approx(466, abs=0.5)
    assert heat_to_pass(hoop.growth_to_pass(0)).celsius == pytest.approx(289.6, abs=0.1)


@pytest.mark.parametrize("draw_in", [3 / 8, 1 / 2, 5 / 8, 1.0])
def test_the_heats_seen_in_use_put_on_the_draws_in_print(draw_in: float) -> None:
    # About 600 °C (heritagecraft.co.uk) is more than any of these wants on a wheel of 54 in with nothing to spare.
    assert heat_to_pass(tyre(54, draw_in).growth_to_pass(0)).celsius < 600


@pytest.mark.parametrize("draw_in", [1 / 4, 1 / 2])
def test_a_dry_stick_slides_where_a_wagon_tyre_passes_with_room(draw_in: float) -> None:
    # At 800 to 900 °F a dry stick slides on the hot iron (oakwoodforge.blogspot.com, 2006): on 54 in that is more than
    # these draws want with 3 mm to spare.
    assert heat_to_pass(tyre(54, draw_in).growth_to_pass(3_000_000)).celsius < celsius_of(800)


def test_a_heat_above_the_flat_is_refused_with_the_reason() -> None:
    with pytest.raises(HeatRefused, match="from there to 860 °C iron grows no further"):
        heat_to_pass(0.0111)
    with pytest.raises(HeatRefused, match="1382 °F, and from there to 1580 °F"):
        heat_to_pass(0.0111, unit="in")


def test_what_would_melt_is_refused_with_the_reason() -> None:
    # Balbharati, Physics XI: a rim of 1.5 m and a ring of 1.47 m, whose answer is 1727.7 °C.
    with pytest.raises(HeatRefused, match="1728 °C, and iron melts"):
        heat_to_pass(1.5 / 1.47 - 1, cold_c=27)


@given(draw_in=st.floats(0, 1.5), cold_c=st.floats(-20, 40))
def test_the_most_that_a_tyre_can_have_to_spare_is_just_possible(draw_in: float, cold_c: float) -> None:
    # Derived: what is there just below 750 °C is still had, and 0.01 mm more is not.
    hoop = tyre(54, draw_in)
    most = most_clearance_nm(hoop, cold_c=cold_c)
    assert heat_to_pass(hoop.growth_to_pass(most - 10_000), cold_c=cold_c).celsius == pytest.approx(750, abs=1)
    with pytest.raises(HeatRefused):
        heat_to_pass(hoop.growth_to_pass(most + 10_000), cold_c=cold_c)


def test_what_passes_cold_needs_no_heat() -> None:
    heat = heat_to_pass(0, cold_c=12)
    assert (heat.celsius, heat.words) == (12, "no heat: it passes cold")


@pytest.mark.parametrize("cold_c", [-31, 61, 300])
def test_cold_iron_is_cold(cold_c: float) -> None:
    with pytest.raises(HeatRefused, match="Cold iron is from"):
        heat_to_pass(0.003, cold_c=cold_c)


@given(
    diameter_in=st.floats(20, 70),
    less=st.floats(0, 1.5),
    more=st.floats(0, 1.5),
    clearance_nm=st.integers(0, 4_000_000),
)
def test_more_draw_never_needs_less_heat(diameter_in: float, less: float, more: float, clearance_nm: int) -> None:
    assume(less <= more)
    try:
        hotter = heat_to_pass(tyre(diameter_in, more).growth_to_pass(clearance_nm))
    except HeatRefused:
        return
    assert heat_to_pass(tyre(diameter_in, less).growth_to_pass(clearance_nm)).celsius <= hotter.celsius + 1e-9


@given(draw_in=st.floats(0.05, 1), colder=st.floats(-20, 40), warmer=st.floats(-20, 40))
def test_a_colder_day_never_needs_more_heat_than_so_many_degrees(draw_in: float, colder: float, warmer: float) -> None:
    # The same hoop, measured at two temperatures: the heat moves with the cold, and by less than it.
    assume(colder <= warmer)
    grown = tyre(60, draw_in).growth_to_pass(0)
    low, high = (heat_to_pass(grown, cold_c=cold).celsius for cold in (colder, warmer))
    assert low <= high + 1e-9
    assert high - low <= warmer - colder + 1e-9


@pytest.mark.parametrize(
    ("minutes", "says"),
    [(29, "29 CFR 1910.252"), (30, "NFPA 51B"), (59, "NFPA 51B"), (60, ""), (240, "")],
)
def test_fire_watch(minutes: int, says: str) -> None:
    # 29 CFR 1910.252 (a)(2)(iii)(B): half an hour at the least. NFPA 51B, 2019: an hour (half an hour in 2014).
    warning = watch_warning(minutes)
    assert says in warning
    assert bool(warning) is (minutes < USUAL_WATCH_MINUTES)


def test_clear_ground() -> None:
    # Summaries of 29 CFR 1910.252: 35 ft.
    assert format_feet(CLEAR_NM) == "35 ft"
    assert pytest.approx(10.668) == CLEAR_NM / 1e9
