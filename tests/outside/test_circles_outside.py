"""Chords, arcs, segments, cones and rings against the tables and examples of handbooks."""

import math

import pytest

from jobs.measures import NM_PER_INCH
from jobs.sizes.circle import TURN, angle_of_rise, chord, frustum_volume, ring_area, sagitta, slant
from jobs.sizes.index_plate import index_plate
from jobs.sizes.wheel import spacing

# Chords for n divisions of a circle of diameter 1: spacing table at shopswarf.orcon.net.nz, to four places.
TABLE = {
    8: 0.3827,
    10: 0.3090,
    12: 0.2588,
    14: 0.2225,
    16: 0.1951,
    18: 0.1736,
    20: 0.1564,
    24: 0.1305,
    28: 0.1120,
    36: 0.0872,
}


@pytest.mark.parametrize("count", TABLE)
def test_divisions_of_a_circle(count: int) -> None:
    assert chord(0.5, TURN / count) == pytest.approx(TABLE[count], abs=5.1e-5)


# The same to six places. Machinery's Handbook has such a table, “Lengths of Chords”; these are sines, derived.
SIX_PLACES = {12: 0.258819, 14: 0.222521, 16: 0.195090, 18: 0.173648, 20: 0.156434, 24: 0.130526}


@pytest.mark.parametrize("count", SIX_PLACES)
def test_neighbours_on_an_index_plate(count: int) -> None:
    plate = index_plate(count, 1)
    assert plate.neighbour_nm == pytest.approx(SIX_PLACES[count], abs=5e-7)


def test_eight_holes_on_six_inches() -> None:
    # Machinery's Handbook Guide, page 6: 8 holes on a circle of 6 in stand 2.296 in apart.
    plate = index_plate(8, 6 * NM_PER_INCH)
    assert plate.neighbour_nm / NM_PER_INCH == pytest.approx(2.296, abs=5e-4)
    first, second = plate.holes[:2]
    apart = math.hypot(first.x_nm - second.x_nm, first.y_nm - second.y_nm)
    assert apart / NM_PER_INCH == pytest.approx(2.296, abs=5e-4)


def test_chord_of_a_segment() -> None:
    # Machinery's Handbook, 31st edition, page 79: radius 60, height 8, chord 59.86. The book rounds on the way, and
    # the exact chord is 59.867: met to its own error, not to its last figure.
    found = chord(60, angle_of_rise(60, 8))
    assert found == pytest.approx(59.86, abs=0.01)
    assert found == pytest.approx(59.867, abs=5e-4)
    assert round(found, 2) != 59.86


def test_segment_of_radius_twelve() -> None:
    # The same, pages 50 and 51: radius 12, depth 2: chord 13.27, angle 67.13° (exactly 67.115°), arc 14.06.
    angle = angle_of_rise(12, 2)
    assert math.degrees(angle) == pytest.approx(67.13, abs=0.02)
    assert chord(12, angle) == pytest.approx(13.27, abs=0.005)
    assert 12 * angle == pytest.approx(14.06, abs=0.005)
    # Its area, 18.01: the sector less the triangle.
    triangle = chord(12, angle) * (12 - sagitta(12, angle)) / 2
    assert ring_area(12, 0, angle) - triangle == pytest.approx(18.01, abs=0.01)


@pytest.mark.parametrize("count", [3, 4, 5, 6, 7, 8, 9])
def test_radius_comes_back_from_chord_and_rise(count: int) -> None:
    # ICS Building Trades Pocketbook, Mensuration: r = (c² + 4 h²) / 8 h.
    # Machinery's Handbook, 31st edition, page 83: h = r - √(4 r² - c²) / 2.
    angle = TURN / count
    across, rise = chord(685, angle), sagitta(685, angle)
    assert (across**2 + 4 * rise**2) / (8 * rise) == pytest.approx(685)
    assert 685 - math.sqrt(4 * 685**2 - across**2) / 2 == pytest.approx(rise)


def test_arc_by_the_pocketbooks_rule() -> None:
    # The same pocketbook: an arc is about (8 e - c) / 3, e the chord of half of it, where it rises at most 0.4 of its
    # chord. For a felloe of 7 it is within a thousandth.
    angle = TURN / 7
    rule = (8 * chord(1, angle / 2) - chord(1, angle)) / 3
    assert rule == pytest.approx(angle, rel=1e-3)


# Machinery's Handbook, 31st edition, page 82: side over circumradius of a regular polygon.
SIDES = {12: 0.5176, 16: 0.3902, 20: 0.3129, 24: 0.2611, 32: 0.1960, 48: 0.1308}
# The same: inradius over circumradius.
INRADII = {12: 0.9659, 16: 0.9808, 24: 0.9914}


@pytest.mark.parametrize("count", SIDES)
def test_sides_of_polygons(count: int) -> None:
    assert chord(1, TURN / count) == pytest.approx(SIDES[count], abs=5.1e-5)


@pytest.mark.parametrize("count", INRADII)
def test_inradii_of_polygons(count: int) -> None:
    assert 1 - sagitta(1, TURN / count) == pytest.approx(INRADII[count], abs=5.1e-5)


def test_sectors() -> None:
    # Machinery's Handbook, page 78: radius 35, 60°: arc 36.645 (with 0.01745 for a degree; exactly 36.652) and area
    # 641.41; page 50: radius 7, 30°: area 12.83.
    assert spacing(35, 6).arc_nm == pytest.approx(36.645, abs=0.01)
    assert ring_area(35, 0, TURN / 6) == pytest.approx(641.41, abs=0.01)
    assert ring_area(7, 0, TURN / 12) == pytest.approx(12.83, abs=0.005)


def test_circle_ring_and_cylinder() -> None:
    # Machinery's Handbook, pages 78, 79 and 89: circle of 2.75, area 5.9396; ring of 12 and 8 across, 62.83; cylinder
    # 2.5 across and 20 high, 98.17.
    assert ring_area(1.375, 0) == pytest.approx(5.9396, abs=1e-4)
    assert ring_area(6, 4) == pytest.approx(62.83, abs=0.005)
    assert frustum_volume(1.25, 1.25, 20) == pytest.approx(98.17, abs=0.005)


def test_side_of_a_frustum() -> None:
    # Sheet Metal Drafting, page 91: a frustum 15 ft 4 in and 26 ft 8 in across and 23 ft 9 in deep has 1611 1/2
    # square feet of side: half the sum of its circumferences, by 22/7, times the slant.
    large, small = 26 + 8 / 12, 15 + 4 / 12
    along = slant(large / 2, small / 2, 23.75)
    assert along == pytest.approx(24.41667, abs=1e-5)
    assert 22 / 7 * (large + small) / 2 * along == pytest.approx(1611.5, abs=0.01)
