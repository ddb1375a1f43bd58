"""What timber a list comes to, against print: boards by the graders, logs by Hoppus, felloes by their chords."""

from dataclasses import replace

import pytest
from scipy.stats import nbinom

from jobs.cutting_list import Allowances, Blank, Line, Spoilt, Stock, blanks_of, cut_from, spares
from tests.factories import IN, makeup

FOOT = 12 * IN
NOTHING_OVER = Allowances(*[0] * 9)
PEG = Line(Blank("spoke", "ash", 1, IN, IN, FOOT), "", 1, 0, 0)
SHORT_HUB = Line(Blank("hub", "elm", 1, 8 * IN, 8 * IN, FOOT), "", 1, 0, 0)


@pytest.mark.parametrize(
    ("thick", "wide", "feet", "tallied"),
    [
        # American Hardwood Export Council, on measurement: 2 in by 6 1/4 in by 8 ft is 4 square feet, 8 board feet.
        (2, 6.25, 8, 8),
        # National Hardwood Lumber Association, surface measure: 4 1/3 counts as 4, 8 as 8, 10 10/12 as 11.
        (1, 6.5, 8, 4),
        (1, 8, 12, 8),
        (1, 10, 13, 11),
    ],
)
def test_planks_are_bought_as_a_grader_tallies_them(thick: float, wide: float, feet: int, tallied: int) -> None:
    stock = Stock(feet * FOOT, round(wide * IN), thick * IN)
    assert cut_from(stock, [PEG], kerf_nm=0).amount("board_foot") == tallied
    assert cut_from(stock, [replace(PEG, needed=10_000)], kerf_nm=0).amount("board_foot") % tallied == 0


def test_a_board_foot_of_blanks_is_as_many_cubic_metres_as_print_says() -> None:
    # American Hardwood Export Council: 144 cubic inches. Pint, a units library: 0.0023597372 m³.
    blank = Blank("spoke", "ash", 1, IN, 12 * IN, FOOT)
    assert blank.board_feet == 1
    assert float(blank.cubic_metres or 0) == pytest.approx(0.0023597372, abs=5e-11)


def test_a_log_is_bought_by_hoppus() -> None:
    # Hoppus, Practical Measuring, 1736, as Wikipedia works it: 48 in of girth, 10 ft long, is 10 Hoppus feet.
    log = cut_from(Stock(10 * FOOT, girth_nm=48 * IN), [SHORT_HUB], kerf_nm=0)
    assert log.amount("hoppus_foot") == 10
    # The Dictionary of Units: a Hoppus foot is 0.036054 m³ of round timber.
    assert float(log.amount("m3")) == pytest.approx(0.36054, abs=1e-5)


def test_a_felloe_blank_is_as_long_as_its_chord() -> None:
    # Machinery's Handbook Guide: eight holes on a circle of 6 in stand 2.296 in apart.
    small = makeup(
        height_nm=6 * IN, spokes=16, felloes=8, hub_diameter_nm=IN, felloe_depth_nm=IN // 2, tyre_thickness_nm=IN // 8
    )
    felloe = next(blank for blank in blanks_of(small, NOTHING_OVER) if blank.part == "felloe")
    assert (felloe.length_nm or 0) / IN == pytest.approx(2.296, abs=5e-4)


def test_a_strip_is_half_of_the_round_that_keeps_its_length() -> None:
    # The circle of 2 3/4 in is 8.6394 in round (Machinery's Handbook): here, half-way in a rim of 1/4 in.
    bent = makeup(
        height_nm=3 * IN, rim="bent", felloes=2, hub_diameter_nm=IN, felloe_depth_nm=IN // 4, tyre_thickness_nm=IN // 8
    )
    strip = next(blank for blank in blanks_of(bent, NOTHING_OVER) if blank.part == "strip")
    assert (strip.length_nm or 0) / IN == pytest.approx(8.6394 / 2, abs=1e-4)


def test_spares_by_the_binomial_table() -> None:
    # National Bureau of Standards, Tables of the Binomial Probability Distribution, 1950 (value from memory): of ten,
    # a tenth spoiled, at most two are spoiled with a chance of 0.9298; of nine, at most one with 0.7748.
    assert spares(8, Spoilt(10, 1)) == 2


@pytest.mark.parametrize("needed", [1, 4, 25, 120, 2400])
@pytest.mark.parametrize("spoiled", [1, 7, 32, 150])
def test_spares_by_scipys_negative_binomial(needed: int, spoiled: int) -> None:
    # SciPy, scipy.stats.nbinom: the failures before so many successes.
    assert spares(needed, Spoilt(1000, spoiled)) == nbinom.ppf(0.9, needed, 1 - spoiled / 1000)
