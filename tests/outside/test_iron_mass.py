"""The mass of bar, against tables and the inch rule, and what it comes to by the kilogram."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.iron.mass import bar_grams, pounds, pounds_per_foot, price_pence
from jobs.sizes.masses import STEEL_KG_PER_M3

MM, METRE, INCH, FOOT = 1_000_000, 1_000_000_000, 25_400_000, 304_800_000

# Kilograms a metre of flat bar, 0.00785 × width × thickness; stockists' tables round to three figures.
FLATS = {
    (40, 8): 2.512,
    (40, 10): 3.14,
    (50, 6): 2.355,
    (50, 8): 3.14,
    (50, 10): 3.925,
    (50, 12): 4.71,
    (60, 10): 4.71,
    (60, 12): 5.652,
    (65, 12): 6.123,
    (65, 15): 7.654,
    (75, 12): 7.065,
    (75, 20): 11.775,
    (80, 20): 12.56,
    (100, 20): 15.70,
    (100, 25): 19.625,
}
# The same, by a stockist's three figures: from memory.
ROUNDED = {(50, 10): 3.93, (65, 12): 6.12, (75, 20): 11.8}


@pytest.mark.parametrize("size", FLATS, ids=str)
def test_flat_bar(size: tuple[int, int]) -> None:
    width, thickness = size
    assert bar_grams(METRE, width * MM, thickness * MM) / 1000 == pytest.approx(FLATS[size], abs=6e-4)


@pytest.mark.parametrize("size", ROUNDED, ids=str)
def test_flat_bar_of_a_stockists_table(size: tuple[int, int]) -> None:
    width, thickness = size
    assert bar_grams(METRE, width * MM, thickness * MM) / 1000 == pytest.approx(ROUNDED[size], rel=0.005)


def test_a_table_that_is_wrong_is_not_followed() -> None:
    # metal-knowledge.com has 50 × 10 mm as 30.5 kg a metre.
    assert bar_grams(METRE, 50 * MM, 10 * MM) / 1000 < 4


@pytest.mark.parametrize(("diameter_mm", "kg"), [(12, 0.888), (16, 1.579), (20, 2.466)])
def test_density_by_a_table_of_round_bars(diameter_mm: int, kg: float) -> None:
    # A bar table on palmbeachresort.in: 0.006165 d². A square of the same area has the same mass.
    side = math.sqrt(math.pi / 4) * diameter_mm * MM
    assert bar_grams(METRE, side, side) / 1000 == pytest.approx(kg, abs=1e-3)


def test_density_in_pounds() -> None:
    # Gere, Mechanics of Materials: 490 lb/ft³ is 7850 kg/m³.
    assert pytest.approx(STEEL_KG_PER_M3, abs=1.5) == 490 * 0.45359237 / 0.3048**3


def test_density_is_not_the_load_of_the_building_codes() -> None:
    # CTE DB SE-AE, table C.1: 78.5 kN/m³, which would be 8005 kg/m³, rounded up to load a floor by.
    assert 78_500 / 9.80665 - STEEL_KG_PER_M3 > 150


def test_inch_rule() -> None:
    # 3.40 × width × thickness: steel handbooks. The tyre of the six-mule wagon, 2 1/2 × 5/8 in: 5.3125 lb a foot.
    assert pounds_per_foot(2.5, 0.625) == pytest.approx(5.3125)


@given(width=st.floats(0.5, 6), thickness=st.floats(0.1, 2))
def test_inch_rule_and_density_agree_within_two_in_a_thousand(width: float, thickness: float) -> None:
    by_density = pounds(bar_grams(FOOT, width * INCH, thickness * INCH))
    assert by_density == pytest.approx(pounds_per_foot(width, thickness), rel=0.002)


def test_a_square_inch_of_twelve_feet() -> None:
    # 0.2833 lb a cubic inch by 144 in is 40.80 lb; the copy that prints it has 40.97, a slip.
    assert pounds(bar_grams(144 * INCH, INCH, INCH)) == pytest.approx(40.80, abs=0.05)
    assert abs(pounds(bar_grams(144 * INCH, INCH, INCH)) - 40.97) > 0.1


def test_price_by_the_kilogram() -> None:
    # Derived: 14.137 kg at £1.85 is £26.15345.
    assert price_pence(14_137, pence_per_kg=Fraction(185)) == Fraction(261_534_500, 100_000)
    # A gram is not split.
    assert price_pence(999.6, pence_per_kg=Fraction(200)) == 200
