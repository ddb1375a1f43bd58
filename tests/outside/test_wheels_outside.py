"""The library's published wheels against the print they come from, and what follows from them."""

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from jobs.drawing.shape import FULL, joint_angles, shape_of
from jobs.makeup import MakeUp, problems, usual_felloes
from jobs.measures import format_length, format_section
from jobs.starting_makeups import STARTING_MAKEUPS, StartingMakeUp

INCH = 25_400_000
BY_NAME = {each.name: each for each in STARTING_MAKEUPS}

# US Army specification of the six-mule wagon, in two later transcriptions (hansenwheel.com is one).
SIX_MULE = {
    "felloe_width_nm": Fraction(5, 2),
    "felloe_depth_nm": Fraction(11, 4),
    "tyre_width_nm": Fraction(5, 2),
    "tyre_thickness_nm": Fraction(5, 8),
}

PUBLISHED: dict[str, dict[str, Any]] = {
    "Six-mule army wagon, fore": {**SIX_MULE, "height_nm": 46, "hub_diameter_nm": 10},
    "Six-mule army wagon, hind": {
        **SIX_MULE,
        "height_nm": 58,
        "hub_diameter_nm": Fraction(41, 4),
        "hub_length_nm": Fraction(57, 4),
    },
    # Dyer, Handbook for Light Artillery, chapter IV.
    "Archibald field-gun wheel": {"height_nm": Fraction(231, 4)},
    # Encyclopaedia Britannica, 9th edition, volume 11, page 311, GUNNERY: dish 2 in in a 5 ft wheel.
    "British 9-pounder field wheel": {"height_nm": 60, "dish_nm": 2},
    # Richardson, Practical Carriage Building, volume 1, 1891, Wagon Wheels.
    "Two-horse farm wagon": {
        "hub_diameter_nm": Fraction(17, 2),
        "hub_length_nm": 11,
        "tyre_width_nm": Fraction(3, 2),
        "tyre_thickness_nm": Fraction(1, 2),
    },
    # Richardson, Practical Carriage Building, volume 1, 1891, Farm Wagon Wheels.
    "General farm wagon": {"hub_diameter_nm": 8, "hub_length_nm": 10, "spoke_width_nm": Fraction(9, 4)},
    # lovettartillery.com, a collector's page, second-hand.
    "Escort wagon of 1901, front": {"height_nm": 48},
    "Escort wagon of 1901, rear": {"height_nm": 57},
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_measures_are_as_printed_and_marked_as_given(name: str) -> None:
    wheel = BY_NAME[name]
    for field, inches in PUBLISHED[name].items():
        assert getattr(wheel.makeup, field) == inches * INCH, field
        assert field in wheel.given, field


@pytest.mark.parametrize("name", PUBLISHED)
def test_no_measure_is_marked_as_given_that_is_not_checked_here(name: str) -> None:
    measures = {field for field in BY_NAME[name].given if field.endswith("_nm")}
    assert measures == set(PUBLISHED[name])


def test_every_published_wheel_is_checked() -> None:
    assert {each.name for each in STARTING_MAKEUPS if each.status == "published"} == set(PUBLISHED)


def _six_mule() -> tuple[StartingMakeUp, StartingMakeUp]:
    return BY_NAME["Six-mule army wagon, fore"], BY_NAME["Six-mule army wagon, hind"]


def test_six_mule_wagon_choices() -> None:
    # The same transcriptions: hub of gum, spokes and felloes of white oak, one screw bolt and nut a felloe, a
    # sand band and a linch-pin band 2 3/4 in wide, driving bands 1 1/4 by 1/4 and 1 by 3/16 in, and a
    # cast-iron pipe box.
    for each in _six_mule():
        makeup = each.makeup
        assert (makeup.hub_timber, makeup.spoke_timber, makeup.felloe_timber) == ("gum", "white oak", "white oak")
        assert makeup.tyre_bolts == makeup.felloes
        assert [Fraction(band.width_nm, INCH) for band in makeup.bands] == [
            Fraction(11, 4), Fraction(11, 4), Fraction(5, 4), 1,
        ]  # fmt: skip
        assert [Fraction(band.thickness_nm, INCH) for band in makeup.bands[2:]] == [Fraction(1, 4), Fraction(3, 16)]
        assert makeup.box == "fitted"


def test_six_mule_wagon_in_millimetres() -> None:
    # 58 in is 1473.2 mm and a tyre of 2 1/2 by 5/8 in is 63.5 by 15.875 mm: arithmetic with the international
    # inch.
    hind = _six_mule()[1].makeup
    assert format_length(hind.height_nm, unit="mm") == "1473.2 mm"
    assert (hind.tyre_width_nm, hind.tyre_thickness_nm) == (63_500_000, 15_875_000)
    assert format_section(hind.tyre_width_nm, hind.tyre_thickness_nm, unit="in") == "2 1/2 × 5/8 in"


def test_six_mule_fore_wheel_inside_its_rim() -> None:
    # Derived from the printed sections: 46 - 2 × 5/8 - 2 × 2 3/4 = 39 1/4 in.
    assert _six_mule()[0].makeup.rim_inner_diameter_nm == Fraction(157, 4) * INCH


def test_the_length_on_which_the_copies_differ_is_not_given() -> None:
    assert "hub_length_nm" not in _six_mule()[0].given


@pytest.mark.parametrize(("spokes", "felloes"), [(12, 6), (14, 7), (16, 8)])
def test_one_felloe_to_two_spokes(spokes: int, felloes: int) -> None:
    # Felton, Treatise on Carriages, 1794; 12 and 6: Griffiths, Artillerist's Manual; 14 and 7: Webster, 1913.
    assert usual_felloes(spokes, "sawn") == felloes


def test_a_bent_rim_is_two_halves() -> None:
    # Encyclopaedia Britannica, 11th edition, volume 5, CARRIAGE.
    assert usual_felloes(14, "bent") == 2


@pytest.mark.parametrize(("inches", "fewest"), [(36, 8), (42, 10), (48, 10), (54, 12), (60, 12), (66, 14)])
def test_fewest_spokes_within_sixteen_inches(inches: int, fewest: int) -> None:
    # Felton, 1794: not more than 16 in between spokes on the felloes; the numbers follow by arithmetic.
    def is_too_wide(spokes: int) -> bool:
        makeup = _over_wood(inches, spokes)
        return any("apart at the rim" in each.sentence for each in problems(makeup, new_work=True))

    assert not is_too_wide(fewest)
    assert is_too_wide(fewest - 2)


def _over_wood(inches: int, spokes: int) -> MakeUp:
    hind = BY_NAME["Wagonette, hind"].makeup
    return replace(hind, height_nm=inches * INCH, spokes=spokes, felloes=spokes // 2)


# Chords for n divisions of a circle of diameter 1, to four places: shopswarf.orcon.net.nz, spacing table.
CHORDS = {8: 0.3827, 10: 0.3090, 12: 0.2588, 14: 0.2225, 16: 0.1951, 18: 0.1736, 20: 0.1564, 24: 0.1305}


@pytest.mark.parametrize("count", CHORDS)
def test_drawn_spokes_stand_a_published_chord_apart(count: int) -> None:
    shape = shape_of(_over_wood(46, count), scale=0.2, least=FULL)
    first, second = shape.spoke_angles[:2]
    assert _chord(first, second) == pytest.approx(CHORDS[count], abs=5e-5)


@pytest.mark.parametrize("felloes", [8, 10, 12])
def test_drawn_joints_stand_a_published_chord_apart(felloes: int) -> None:
    joints = joint_angles(2 * felloes, felloes)
    assert _chord(joints[0], joints[1]) == pytest.approx(CHORDS[felloes], abs=5e-5)


def _chord(first: float, second: float) -> float:
    """The straight distance between two points on a circle of diameter 1, at these degrees."""
    a, b = math.radians(first), math.radians(second)
    return math.hypot(math.sin(a) - math.sin(b), math.cos(a) - math.cos(b)) / 2
