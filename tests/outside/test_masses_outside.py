"""Weights of timber and iron against tables in print, and figures in print that are wrong."""

import math

import pytest

from jobs.makeup import Band
from jobs.sizes.circle import frustum_volume
from jobs.sizes.masses import STEEL_KG_PER_M3, hoop_kg, kilograms, pounds, ring_kg
from jobs.sizes.woods import density, wood_of

INCH = 25_400_000
MM = 1_000_000
FOOT = 12 * INCH
# kg/m³ in a pound a cubic foot: 0.45359237 / 0.3048³.
PER_POUND_A_FOOT = 16.018463
FLAT = 1_000_000_000  # a hoop so wide across that a stretch of it is straight bar


def bar_kg(width_nm: float, thickness_nm: float, length_nm: float) -> float:
    """A straight bar, as a stretch of a very large hoop."""
    inside = FLAT * 1_000_000
    round_it = math.pi * (inside + thickness_nm)
    return ring_kg(inside, width_nm, thickness_nm) * length_nm / round_it


# Wood Handbook, GTR-190, Table 5-3 as transcribed at synthmind.com, white oak by woodworkingnetwork.com: specific
# gravity on the volume at 12 %; kg/m³ by 1000 G (1 + 0.12).
AT_TWELVE = {
    "ash": (0.60, 672),
    "American elm": (0.50, 560),
    "rock elm": (0.63, 705.6),
    "mockernut hickory": (0.72, 806.4),
    "pignut": (0.75, 840),
    "hickory": (0.72, 806.4),
    "pecan": (0.66, 739.2),
    "white oak": (0.68, 761.6),
}


@pytest.mark.parametrize("name", AT_TWELVE)
def test_timber_at_twelve_per_cent(name: str) -> None:
    gravity, kg_per_m3 = AT_TWELVE[name]
    wood = wood_of(name)
    assert wood is not None
    assert (wood.gravity_hundredths / 100, wood.basis) == (gravity, "volume as moist")
    assert wood.density == pytest.approx(kg_per_m3, abs=1)


def test_density_by_the_handbooks_rule() -> None:
    # Wood Handbook, chapter 4, as coded by LarsenDR/forfuncR: G 0.60 at 12 % is 672 kg/m³, 41.95 lb/ft³.
    found = density(0.60, moisture_percent=12, basis="volume as moist")
    assert found == pytest.approx(672, abs=0.01)
    assert found / PER_POUND_A_FOOT == pytest.approx(41.95, abs=0.01)


def test_the_same_figure_on_another_basis_is_another_wood() -> None:
    # engineeringtoolbox.com, wood density: G 0.60 on the ovendry volume is 39.38 lb/ft³ at 12 % (by 62.4 lb/ft³ of
    # water), about 631 kg/m³ against 672.
    dry = density(0.60, moisture_percent=12, basis="volume ovendry")
    assert dry / 1000 * 62.4 == pytest.approx(39.38, abs=0.005)
    assert dry == pytest.approx(631, abs=0.5)
    assert density(0.60, moisture_percent=12, basis="volume as moist") - dry > 40
    # A green one (ash: 0.55, by a wood database) must not be taken for the one at 12 %.
    ash = wood_of("ash")
    assert ash is not None
    assert ash.gravity_hundredths != 55


@pytest.mark.parametrize(("name", "kg_per_m3"), [("oak", 705), ("ash", 642.5)])
def test_timber_beside_another_table(name: str, kg_per_m3: float) -> None:
    # ASHRAE Handbook of Fundamentals, as in the package ht 1.2.0: within 12 %, since species differ.
    wood = wood_of(name)
    assert wood is not None
    assert wood.density == pytest.approx(kg_per_m3, rel=0.12)


def test_ash_is_in_the_class_of_heavy_woods() -> None:
    # Roth, Forest Service Bulletin 10, in Noyes, Wood and Forest: ash is “heavy”, 36 to 42 lb/ft³.
    ash = wood_of("ash")
    assert ash is not None
    assert 36 <= ash.density / PER_POUND_A_FOOT <= 42


def test_steel() -> None:
    # EN 1993-1-1: 7850 kg/m³; Gere, Mechanics of Materials, 5th edition: 490 lb/ft³.
    assert STEEL_KG_PER_M3 == 7850
    assert pytest.approx(490, abs=0.1) == STEEL_KG_PER_M3 / PER_POUND_A_FOOT
    # CTE DB SE-AE, Table C.1, 78.5 kN/m³, is a load and comes to 8005 kg/m³: not what iron weighs.
    assert 78.5e3 / 9.80665 - STEEL_KG_PER_M3 > 150


def test_flat_bar_by_the_inch_rule() -> None:
    # reference.com, as in steel handbooks: lb a foot = 3.40 × width × thickness; 2 1/2 × 5/8 in is 5.3125 lb.
    kg = bar_kg(5 * INCH // 2, 5 * INCH / 8, FOOT)
    assert pounds(kg) == pytest.approx(5.3125, rel=2e-3)


# Kilograms a metre; derived from 7850 kg/m³, and what stockists print to three figures (from memory) agrees.
FLATS = {(40, 8): 2.512, (50, 6): 2.355, (50, 10): 3.925, (65, 12): 6.123, (75, 20): 11.775, (100, 25): 19.625}


@pytest.mark.parametrize("section", FLATS)
def test_flat_bar_by_the_metre(section: tuple[int, int]) -> None:
    width, thickness = section
    assert bar_kg(width * MM, thickness * MM, 1000 * MM) == pytest.approx(FLATS[section], rel=1e-3)


@pytest.mark.parametrize(("across", "kg_a_metre"), [(12, 0.888), (16, 1.579), (20, 2.466)])
def test_round_bar(across: int, kg_a_metre: float) -> None:
    # palmbeachresort.in, table of bars: kg a metre = 0.006165 d².
    volume = frustum_volume(across / 2 * MM, across / 2 * MM, 1000 * MM)
    assert kilograms(volume, STEEL_KG_PER_M3) == pytest.approx(kg_a_metre, abs=0.001)


def test_a_worked_example_in_print_that_is_wrong() -> None:
    # A page of the PMPA gives 40.97 lb for 1 in square by 144 in at 0.2833 lb a cubic inch; that is 40.80.
    kg = bar_kg(INCH, INCH, 144 * INCH)
    assert pounds(kg) == pytest.approx(40.80, abs=0.05)
    assert abs(pounds(kg) - 40.97) > 0.1


def test_a_ring_with_the_tables_slip_of_pi() -> None:
    # Googerty, Hand-Forging, page 69: a ring 10 in inside of 1 in stock takes 11 × 3 1/7 = 34 4/7 in; the copy at
    # anvilfire.com prints 34 1/7. With pi it is 34.558 in.
    taken = ring_kg(10 * INCH, INCH, INCH) / bar_kg(INCH, INCH, INCH)
    assert taken == pytest.approx(11 * 22 / 7, abs=0.02)
    assert abs(taken - (34 + 1 / 7)) > 0.4


def test_six_mule_wagon_bands() -> None:
    # US Army specification: outside driving band 1 1/4 × 1/4 in. On a hub of 10 in: π × 10.25 × 1.25 × 0.25 in³ of
    # 0.2836 lb: 2.854 lb, derived.
    kg = hoop_kg(Band("outside driving band", 5 * INCH // 4, INCH // 4), 10 * INCH)
    assert pounds(kg) == pytest.approx(2.854, abs=0.002)


def test_pounds() -> None:
    # US War Department, Specifications for Means of Transportation, 1882: a wagon of 1,950 lb; 884.5 kg.
    assert pounds(884.505) == pytest.approx(1950, abs=0.01)
