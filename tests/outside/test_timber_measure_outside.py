"""Board feet, surface measure, the export tally and Hoppus feet against print."""

import math
from fractions import Fraction

import pint
import pytest

from jobs.timber import (
    Board,
    board_feet,
    board_feet_to_m3,
    cubic_metres,
    export_tally,
    graded_board_feet,
    hoppus_feet,
    hoppus_to_m3,
    hoppus_tons,
    surface_measure,
)

INCH = 25_400_000
FOOT = 12 * INCH


def board(thick: float, wide: float, feet: float) -> Board:
    return Board(round(thick * INCH), round(wide * INCH), round(feet * FOOT))


def test_a_board_foot_is_144_cubic_inches() -> None:
    # American Hardwood Export Council, metaglossary and US Navy NAVEDTRA alike.
    assert board_feet(board(1, 12, 1)) == 1
    assert board_feet(Board(INCH, 12 * INCH, 12 * INCH)) == 1


def test_a_board_foot_in_cubic_metres_agrees_with_pint() -> None:
    # Pint, a units library of the Python Package Index: 0.0023597372 m³.
    theirs = pint.UnitRegistry().Quantity(1, "board_foot").to("m**3").magnitude
    assert float(board_feet_to_m3(1)) == pytest.approx(theirs, rel=1e-9)
    assert board_feet_to_m3(1) == cubic_metres(board(1, 12, 1))


def test_under_an_inch_counts_as_an_inch() -> None:
    # US Navy, Engineering Aid, on board measure (tpub.com): 3/4 × 6 in × 8 ft is 4 board feet.
    assert board_feet(board(0.75, 6, 8)) == 4


def test_an_inch_and_a_quarter_counts_as_it_is() -> None:
    # The same rule only lifts what is thinner than an inch.
    assert board_feet(board(1.25, 6, 8)) == 5


def test_fourteen_feet_of_two_by_four() -> None:
    # US Navy, NAVEDTRA: the question; the answer, 9 1/3, by 2 · 4 · 14 / 12.
    assert board_feet(board(2, 4, 14)) == Fraction(28, 3)


def test_the_export_councils_worked_example() -> None:
    # American Hardwood Export Council: 2 in × 6 1/4 in × 8 ft has 4 1/6 square feet, counted 4, and so 8 board feet.
    one = board(2, 6.25, 8)
    assert one.width_in * one.length_ft / 12 == Fraction(25, 6)
    assert surface_measure(one) == 4
    assert graded_board_feet([one]) == 8


@pytest.mark.parametrize(("wide", "feet", "counted"), [(6.5, 8, 4), (8, 12, 8), (10, 13, 11)])
def test_surface_measure_as_the_graders_count_it(wide: float, feet: float, counted: int) -> None:
    # National Hardwood Lumber Association's examples (gophuongdong.com): 4 1/3, 8, 10 10/12.
    assert surface_measure(board(1, wide, feet)) == counted


def test_the_export_tally_rounds_width_and_length() -> None:
    # American Hardwood Export Council: 5 1/4 in × 8 1/2 ft is tallied 5 in × 8 ft.
    (tallied,) = export_tally([board(1, 5.25, 8.5)])
    assert (tallied.width_in, tallied.length_ft) == (5, 8)


def test_the_export_tally_turns_halves_up_and_down_by_turns() -> None:
    # The same: an exact half inch goes alternately to the inch above and below.
    widths = [each.width_in for each in export_tally([board(1, 5.5, 8), board(1, 5.75, 8), board(1, 5.5, 8)])]
    assert widths == [6, 6, 5]


def test_a_log_by_hoppus() -> None:
    # Wikipedia, Hoppus; A Dictionary of Units of Measurement: 48 in of girth, 10 ft, is 10 Hoppus feet, 12.732 ft³.
    assert hoppus_feet(48 * INCH, 10 * FOOT) == 10
    assert hoppus_to_m3(10) / 0.3048**3 == pytest.approx(12.732, abs=5e-4)


def test_a_hoppus_foot_in_cubic_feet_and_metres() -> None:
    # woodland-management.co.uk: 4/π = 1.273 ft³; A Dictionary of Units of Measurement: 0.036 054 m³.
    assert hoppus_to_m3(1) / 0.3048**3 == pytest.approx(1.273, abs=5e-4)
    assert hoppus_to_m3(1) == pytest.approx(0.036054, abs=5e-7)


def test_hoppus_feet_in_a_cubic_metre() -> None:
    # The same pages: 27.736 074.
    assert 1 / hoppus_to_m3(1) == pytest.approx(27.736074, abs=1e-6)


def test_a_hoppus_ton() -> None:
    # Wikipedia, Hoppus: 50 Hoppus feet, 1.8027 m³.
    assert hoppus_tons(Fraction(50)) == 1
    assert hoppus_to_m3(50) == pytest.approx(1.8027, abs=5e-5)


def test_hoppus_counts_78_54_per_cent_of_a_round_log() -> None:
    # forestryforum.com: 78.54 % of the cubic measure. A log of 400 mm, 3 m long.
    girth, length = round(math.pi * 400e6), 3_000_000_000
    true = math.pi / 4 * 0.4**2 * 3 / 0.3048**3
    assert float(hoppus_feet(girth, length)) / true == pytest.approx(0.7854, abs=5e-5)
