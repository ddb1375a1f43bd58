"""Patterns measured in the files that are given out, against published chords and a published felloe."""

import math

import pytest

from jobs.measures import NM_PER_INCH
from tests.factories import IN, makeup
from tests.jobs.patterns_read import dxf_space, lengths, patterns
from tests.outside.test_circles_outside import TABLE


@pytest.mark.parametrize("count", [count for count in TABLE if count <= 18])
def test_holes_of_a_plate_stand_as_a_spacing_table_says(count: int) -> None:
    # Spacing table at shopswarf.orcon.net.nz: chords for n divisions of a circle of diameter 1, to four places.
    plate = patterns(makeup(spokes=count, felloes=count // 2), circle_nm=10 * NM_PER_INCH)["index-plate"]
    holes = [each.dxf.center for each in dxf_space(plate).query('CIRCLE[layer=="HOLES"]')]
    assert len(holes) == count
    assert math.dist(*holes[:2]) / 254 == pytest.approx(TABLE[count], abs=5.1e-5)


def test_eight_holes_on_six_inches() -> None:
    # Machinery's Handbook Guide, page 6: 8 holes on a circle of 6 in stand 2.296 in apart.
    plate = patterns(makeup(spokes=8, felloes=4), circle_nm=6 * NM_PER_INCH)["index-plate"]
    holes = [each.dxf.center for each in dxf_space(plate).query('CIRCLE[layer=="HOLES"]')]
    assert math.dist(*holes[:2]) / 25.4 == pytest.approx(2.296, abs=5e-4)


def test_the_tongue_and_tenon_of_a_farm_wagon() -> None:
    # Richardson, Practical Carriage Building, volume 1, 1891. Points for Wheelwrights: a tongue is a third of the
    # tyre's width and 1/8 in, so 5/8 in for 1 1/2 in. Wagon Wheels: a mortise of 2 1/2 × 3/4 in takes a tenon 1/8 in
    # wider and 1/32 in thicker.
    made = makeup(mortise_length_nm=5 * IN // 2, mortise_width_nm=3 * IN // 4, spoke_width_nm=3 * IN)
    found = patterns(made)
    joint = lengths(found["mortise-and-tenon"])
    assert joint["Tenon, wide"] / 25.4 == pytest.approx(2.625)
    assert joint["Tenon, thick"] / 25.4 == pytest.approx(0.78125)
    sides = [
        each.dxf.start for each in dxf_space(found["felloe"]).query('LINE[layer=="HOLES"]') if each.dxf.start.x > 1
    ]
    assert math.dist(*sides) / 25.4 == pytest.approx(0.625, rel=1e-3)


def test_the_rise_and_chord_of_a_segment_on_the_pattern() -> None:
    # Machinery's Handbook, 31st edition, page 83: h = r - √(4r² - c²) / 2, of a felloe's sole as it is drawn.
    found = lengths(patterns(makeup())["felloe"])
    radius, chord = 23 * 25.4, found["Chord of the sole"]
    assert found["Rise of the sole"] == pytest.approx(radius - math.sqrt(4 * radius**2 - chord**2) / 2)


def test_the_plank_of_a_derived_felloe() -> None:
    # Derived, no source by itself: a wheel of 57 in, 7 felloes 2 3/4 in deep: 28.5 - 25.75 × cos(180° / 7) = 5.300 in.
    found = lengths(patterns(makeup(height_nm=57 * IN, felloe_depth_nm=11 * IN // 4))["felloe"])
    assert found["Plank, wide"] / 25.4 == pytest.approx(5.300, abs=5e-4)


def test_bent_halves_run_half_the_round_at_half_their_depth() -> None:
    # Two halves: Encyclopaedia Britannica, 11th edition, CARRIAGE. Derived, no source by itself: a wheel of 46 in with
    # a rim 2 1/2 in deep: π × 43.5 in ÷ 2 = 68.330 in.
    made = makeup(rim="bent", felloes=2)
    assert lengths(patterns(made)["strip"])["Strip, long"] / 25.4 == pytest.approx(68.330, abs=5e-4)
