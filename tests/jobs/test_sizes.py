"""Sizes from a make-up: they add up to the wheel, close the circle, and say what is not told."""

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.makeup import MakeUp, problems
from jobs.makeup.mortises import PLAIN, box_radius_nm, foot_radius_nm, meeting_radius_nm, wood_between_nm
from jobs.measures import Unit, exact_length, parse_length
from jobs.sizes import index_plate, sizes_of
from jobs.sizes.concerns import concerns
from jobs.sizes.masses import masses
from jobs.sizes.rim import rim_sizes
from jobs.sizes.woods import wood_of
from jobs.starting_makeups import STARTING_MAKEUPS
from tests.factories import IN, makeup
from tests.jobs.test_fit import TOLD

MM = 1_000_000
LIBRARY = {each.name: each.makeup for each in STARTING_MAKEUPS}
SIXTY_FOURTH = IN // 64


def sound(**changes: Any) -> MakeUp:
    """With everything told."""
    return makeup(**TOLD | changes)


@st.composite
def wheels(draw: st.DrawFn) -> MakeUp:
    """Wheels that can be made, with some of their setting-out told; measures in sixty-fourths of an inch."""

    def inches(low: float, high: float) -> int:
        return draw(st.integers(int(low * 64), int(high * 64))) * SIXTY_FOURTH

    spokes = draw(st.integers(4, 12)) * 2
    hub = inches(5, 14)
    is_bent = draw(st.booleans())
    box = draw(st.booleans())
    return makeup(
        height_nm=inches(30, 70),
        height_over=draw(st.sampled_from(["wood", "tyre"])),
        spokes=spokes,
        rim="bent" if is_bent else "sawn",
        felloes=2 if is_bent else spokes // 2,
        hub=draw(st.sampled_from(["wood", "bolted"])),
        tongue=draw(st.sampled_from(["round", "square"])),
        hub_diameter_nm=hub,
        spoke_thickness_nm=IN // 2,
        felloe_depth_nm=inches(1.5, 4),
        dish_nm=inches(0, 4),
        stagger_nm=draw(st.sampled_from([0, IN // 2, 3 * IN])),
        box_large_nm=hub // 2 if box else None,
        box_small_nm=hub // 3 if box else None,
    )


@given(wheels())
def test_pieces_add_up_to_the_wheel(made: MakeUp) -> None:
    for row in sizes_of(made).spokes:
        upright = math.cos(row.lean)
        inside = made.hub_diameter_nm / 2 + row.body_nm * upright
        assert inside == pytest.approx(made.rim_inner_radius_nm)
        # The tongue ends 1/16 in short of the sole, and the wood's radius is all that is left.
        assert inside + row.tongue_nm * upright + IN / 16 == pytest.approx(made.wood_radius_nm)
        assert row.body_nm**2 == pytest.approx(made.bare_spoke_nm**2 + row.dish_nm**2)
        if row.overall_nm is not None and row.foot_nm is not None and row.blank_nm is not None:
            assert row.foot_nm + row.body_nm + row.tongue_nm == pytest.approx(row.overall_nm)
            assert row.blank_nm - row.overall_nm == pytest.approx(IN)
    assert sum(row.count for row in sizes_of(made).spokes) == made.spokes


@given(wheels())
def test_chords_and_arcs_close_the_circle(made: MakeUp) -> None:
    sizes = sizes_of(made, gap_nm=MM)
    for spacing in (sizes.wheel.at_sole, sizes.wheel.at_rim_inside, sizes.wheel.at_hub):
        assert spacing.arc_nm * made.spokes == pytest.approx(2 * math.pi * spacing.radius_nm)
        half = math.asin(spacing.chord_nm / 2 / spacing.radius_nm)
        assert 2 * half * made.spokes == pytest.approx(2 * math.pi)
        assert spacing.chord_nm < spacing.arc_nm
    assert sizes.wheel.index_angle * made.spokes == pytest.approx(2 * math.pi)
    if sizes.rim.felloe:
        assert (sizes.rim.felloe.arc_nm + MM) * made.felloes == pytest.approx(sizes.wheel.sole_round_nm)
    if sizes.rim.strip:
        assert (sizes.rim.strip.outside_nm + MM) * made.felloes == pytest.approx(sizes.wheel.sole_round_nm)
        ends = sizes.rim.strip.inside_nm + sizes.rim.strip.outside_nm
        assert ends / 2 == pytest.approx(sizes.rim.strip.neutral_nm)
    assert sizes.rim.gaps_nm == MM * made.felloes


@given(st.integers(2, 60), st.integers(1, 2000))
def test_holes_of_an_index_plate_close_the_circle(count: int, millimetres: int) -> None:
    plate = index_plate(count, millimetres * MM)
    ring = [*plate.holes, plate.holes[0]]
    for one, other in pairwise(ring):
        assert math.hypot(one.x_nm - other.x_nm, one.y_nm - other.y_nm) == pytest.approx(plate.neighbour_nm)
        assert math.hypot(one.x_nm, one.y_nm) == pytest.approx(millimetres * MM / 2)
    first, far = plate.holes[0], plate.holes[plate.across]
    assert math.hypot(first.x_nm - far.x_nm, first.y_nm - far.y_nm) == pytest.approx(plate.across_nm)
    assert sum(hole.x_nm for hole in plate.holes) == pytest.approx(0, abs=1)
    assert (first.x_nm, first.y_nm) == (0, pytest.approx(millimetres * MM / 2))


def test_holes_go_clockwise_from_the_top() -> None:
    right = index_plate(4, 100 * MM).holes[1]
    assert (right.x_nm, right.y_nm) == (pytest.approx(50 * MM), pytest.approx(0, abs=1))


@pytest.mark.parametrize(("count", "circle"), [(1, MM), (12, 0), (12, -MM)])
def test_an_index_plate_that_cannot_be(count: int, circle: int) -> None:
    with pytest.raises(ValueError, match="two holes or more"):
        index_plate(count, circle)


def as_typed(made: MakeUp, unit: Unit) -> MakeUp:
    """The same wheel, each of its measures written in a unit and read again."""
    names = [name for name in dir(made) if name in MakeUp.__slots__ and name.endswith("_nm")]
    told = {name: getattr(made, name) for name in names}
    read = {
        name: parse_length(exact_length(nm, unit=unit), default_unit=unit)
        for name, nm in told.items()
        if nm is not None
    }
    return makeup(**{name: getattr(made, name) for name in MakeUp.__slots__} | read)


@given(wheels())
def test_typed_in_millimetres_or_inches_it_is_one_wheel(made: MakeUp) -> None:
    assert sizes_of(as_typed(made, "mm")) == sizes_of(as_typed(made, "in")) == sizes_of(made)


@given(wheels(), st.floats(0.2, 1))
def test_wood_between_mortises_grows_outwards_from_where_they_meet(made: MakeUp, share: float) -> None:
    outer = made.hub_diameter_nm / 2
    meeting = meeting_radius_nm(made)
    assert wood_between_nm(made, meeting) == 0
    assert wood_between_nm(made, meeting * share) == 0
    if meeting < outer:
        between = meeting + share * (outer - meeting)
        assert 0 < wood_between_nm(made, between) <= wood_between_nm(made, outer)


def test_mortises_and_wood_fill_the_hubs_round() -> None:
    made = sound()
    sizes = sizes_of(made).mortises
    assert sizes is not None
    radius = made.hub_diameter_nm / 2
    angles = [2 * math.asin(width / 2 / radius) for width in (sizes.width_nm, sizes.wood_at_surface_nm)]
    assert sum(angles) * made.spokes == pytest.approx(2 * math.pi)


def test_size_for_size_a_tenon_is_its_mortise() -> None:
    told, by_rule = (sizes_of(made, fit=PLAIN).mortises for made in (sound(), makeup()))
    assert told is not None
    assert by_rule is not None
    assert (told.tenon_width_nm, told.tenon_thickness_nm) == (told.length_nm, told.width_nm)
    assert (by_rule.length_nm, by_rule.width_nm) == (2 * IN, 3 * IN // 2)


def test_a_tapered_box_counts_where_the_mortises_stand_over_it() -> None:
    # The front of the mortises is 3/4 in before the box's middle, their back edge 1 1/4 + 1/2 in behind that front and
    # more: 1 1/2 in towards the large end of 9 in, so 2 2/3 in through.
    assert box_radius_nm(sound()) == pytest.approx(4 / 3 * IN)
    assert foot_radius_nm(sound()) == pytest.approx((4 / 3 + 1 / 4) * IN)
    assert box_radius_nm(sound(box_length_nm=None)) == 1.5 * IN
    assert box_radius_nm(sound(box_large_nm=None)) == IN
    assert box_radius_nm(makeup()) is None
    assert box_radius_nm(sound(box_length_nm=IN, bore_large_nm=None, bore_small_nm=None)) == 1.5 * IN


def test_what_is_not_told_is_not_reckoned() -> None:
    sizes = sizes_of(makeup())
    (row,) = sizes.spokes
    assert (row.foot_nm, row.overall_nm, row.blank_nm) == (None, None, None)
    assert row.body_nm > 0
    assert (sizes.box.bore, sizes.box.outside, sizes.box.wall_large_nm) == (None, None, None)
    assert (sizes.rim.gap_nm, sizes.rim.gaps_nm) == (None, None)
    assert sizes.masses.box.kg is None
    assert sizes.masses.whole_kg is None
    assert sizes.mortises is not None
    assert sizes.mortises.length_by_rule
    assert sizes.mortises.wood_at_foot_nm is None


def test_a_bolted_hub_has_wedges_and_no_mortises() -> None:
    sizes = sizes_of(LIBRARY["Archibald field-gun wheel"])
    assert sizes.mortises is None
    assert sizes.wedges is not None
    # Fourteen flats round a circle 9 in through: 9 tan(180° / 14) = 2.0542 in.
    assert sizes.wedges.at_surface_nm / IN == pytest.approx(2.0542, abs=1e-4)
    assert sizes.masses.hub.kg is None
    assert "casting" in sizes.masses.hub.why


def test_a_wheel_without_spoke_is_refused() -> None:
    with pytest.raises(ValueError, match="no spoke between"):
        sizes_of(makeup(hub_diameter_nm=41 * IN))


def test_one_piece_wants_a_square_of_the_wheel() -> None:
    felloe = rim_sizes(makeup(felloes=1)).felloe
    assert felloe is not None
    assert (felloe.plank_width_nm, felloe.plank_length_nm) == (46 * IN, 46 * IN)


def test_masses_add_up() -> None:
    weighed = sizes_of(sound()).masses
    parts = [weighed.hub, weighed.spokes, weighed.rim, weighed.bands, weighed.box, weighed.tyre]
    assert weighed.whole_kg == pytest.approx(sum(each.kg or 0 for each in parts))
    assert weighed.wood_kg is not None
    assert weighed.iron_kg is not None
    assert weighed.without_tyre_kg == pytest.approx(weighed.wood_kg + weighed.iron_kg)
    # A box of 9 in, 3 to 2 in outside and 2 to 1 1/2 in inside, has 22.97 in³ of metal.
    volume = math.pi * 9 / 12 * ((9 + 6 + 4) - (4 + 3 + 2.25))
    assert weighed.box.kg == pytest.approx(volume * 0.0254**3 * 7850)
    assert sizes_of(sound(box_large_nm=None)).masses.hub.kg > (weighed.hub.kg or 0)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("changes", "part", "why"),
    [
        ({"hub_timber": "gum"}, "hub", "no density for “gum”"),
        ({"felloe_timber": ""}, "rim", "not told"),
        ({"tyre": "rubber"}, "tyre", "rubber"),
    ],
)
def test_what_cannot_be_weighed_says_why(changes: dict[str, Any], part: str, why: str) -> None:
    weighed = masses(sound(**changes), body_nm=16 * IN)
    found = getattr(weighed, part)
    assert found.kg is None
    assert why in found.why
    assert weighed.whole_kg is None


def test_without_tyre_or_box_they_weigh_nothing() -> None:
    weighed = masses(sound(tyre="none", box="none"), body_nm=16 * IN)
    assert (weighed.tyre.kg, weighed.box.kg) == (0, 0)


@pytest.mark.parametrize(
    ("name", "wood"),
    [
        ("cleft oak", "white oak"),
        ("Ash", "white ash"),
        ("rock elm", "rock elm"),
        ("rock-elm", "rock elm"),
        ("elm, seasoned", "American elm"),
        ("washed", None),
        ("", None),
    ],
)
def test_timber_is_known_by_whole_words(name: str, wood: str | None) -> None:
    found = wood_of(name)
    assert (found.name if found else None) == wood


def said(made: MakeUp, unit: Unit = "in") -> list[str]:
    return concerns(made, sizes_of(made), unit=unit)


def test_a_sound_make_up_raises_no_concern() -> None:
    assert said(sound(spoke_thickness_nm=IN)) == []


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        # By the rule mortises are 1 15/32 in wide, and meet 0.734 / sin(12.857°) = 3.3 in from the middle.
        ({"mortise_width_nm": None}, "meet about 3 19/64 in from the middle"),
        ({"mortise_length_nm": 2 * IN}, "tenon 2 1/8 in wide, and the spoke is only 2 in"),
        ({"spoke_width_nm": IN // 8, "mortise_length_nm": None}, "leaves nothing of a spoke 1/8 in wide"),
        ({"dish_nm": IN // 8}, "front row leans back"),
    ],
)
def test_concerns(changes: dict[str, Any], sentence: str) -> None:
    assert any(sentence in each for each in said(sound(**changes))), said(sound(**changes))


@given(wheels())
def test_every_wheel_that_can_be_made_has_sizes(made: MakeUp) -> None:
    if not any(each.refuse for each in problems(made, new_work=True)):
        sizes = sizes_of(made)
        assert sizes.point_nm > 0
        assert all(isinstance(each, str) for each in concerns(made, sizes, unit="mm"))


@pytest.mark.parametrize("name", ["Gig", "Dog-cart", "Wagonette, fore", "Wagonette, hind", "Farm cart"])
def test_everyday_wheels_are_told_whole(name: str) -> None:
    made = LIBRARY[name]
    sizes = sizes_of(made)
    assert problems(made, new_work=True) == []
    assert concerns(made, sizes, unit="mm") == []
    assert all(row.overall_nm for row in sizes.spokes)
    assert sizes.mortises is not None
    assert sizes.mortises.wood_at_foot_nm
    assert sizes.masses.without_tyre_kg
