"""Sizes of wheels against rules and wheels in print."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from jobs.makeup import MakeUp, problems
from jobs.makeup.dish import angle_of_dish, dish_from_angle
from jobs.makeup.in_print import DISH, DRAW, STAGGER, InPrint
from jobs.sizes import sizes_of
from jobs.sizes.box import taper
from jobs.sizes.hub import mortises
from jobs.sizes.rim import felloe
from jobs.sizes.spokes import point_nm, spoke_rows, tongue_diameter_nm
from jobs.sizes.wheel import fewest_spokes, wheel_sizes
from jobs.starting_makeups import STARTING_MAKEUPS

INCH = 25_400_000
BY_NAME = {each.name: each.makeup for each in STARTING_MAKEUPS}
TWO_HORSE = BY_NAME["Two-horse farm wagon"]


def inches(nm: float | None) -> float:
    assert nm is not None
    return nm / INCH


def nm(text: str) -> int:
    return int(sum(Fraction(part) for part in text.split()) * INCH)


def wheel(**changes: object) -> MakeUp:
    """The two-horse farm wagon's, with other measures."""
    return replace(TWO_HORSE, **changes)  # type: ignore[arg-type]


# Richardson, 1891, Wagon Wheels: a tenon is 1/8 in wider than the mortise is long and 1/32 in thicker than it is wide;
# the two-horse wagon's mortises are 2 1/2 × 3/4 in.
def test_tenon_drives_tight() -> None:
    hub = mortises(wheel(mortise_length_nm=nm("2 1/2"), mortise_width_nm=nm("3/4")))
    assert (hub.tenon_width_nm, hub.tenon_thickness_nm) == (2.625 * INCH, 0.78125 * INCH)


def test_the_same_fit_the_other_way_about() -> None:
    hub = mortises(wheel(spoke_width_nm=nm("2 5/8"), spoke_thickness_nm=nm("25/32")))
    assert (hub.length_nm, hub.width_nm) == (nm("2 1/2"), nm("3/4"))


def test_tenon_keeps_clear_of_the_box() -> None:
    # The same, and part 3: 1/4 in. With the wagon's hub of 8 1/2 in and skein of 3 in: 4 1/4 - 1 1/2 - 1/4 = 2 1/2 in.
    made = wheel(box_large_nm=3 * INCH)
    assert mortises(made).depth_nm == nm("2 1/2")
    assert inches(spoke_rows(replace(made, dish_nm=0))[0].foot_nm) == 2.5


def test_wood_between_the_two_horse_wagons_mortises() -> None:
    # Twelve of 3/4 in, 1 3/4 in from the middle: 3.5 sin(15° - asin(0.375 / 1.75)) in, derived.
    made = wheel(box_large_nm=3 * INCH, mortise_width_nm=nm("3/4"))
    expected = 3.5 * math.sin(math.radians(15) - math.asin(0.375 / 1.75))
    assert inches(mortises(made).wood_at_foot_nm) == pytest.approx(expected)
    assert 0.1 < expected < 0.2
    assert problems(made, new_work=True) == []


# Richardson, 1891, Points for Wheelwrights: a tongue is a third of the tyre's width and 1/8 in through.
@pytest.mark.parametrize(("tyre", "tongue"), [("1 1/2", 0.625), ("2 1/4", 0.875), ("3", 1.125)])
def test_tongue(tyre: str, tongue: float) -> None:
    assert inches(tongue_diameter_nm(wheel(tyre_width_nm=nm(tyre)))) == tongue


def test_a_square_tongue_has_no_rule_in_print() -> None:
    assert tongue_diameter_nm(wheel(tongue="square")) is None


@pytest.mark.parametrize(("depth", "tongue"), [("2 3/4", 2.6875), ("2", 1.9375)])
def test_tongue_stops_short_of_the_sole(depth: str, tongue: float) -> None:
    # Richardson, 1891, Wagon Wheels, parts 2 and 4: by 1/16 in.
    assert inches(spoke_rows(wheel(felloe_depth_nm=nm(depth), dish_nm=0))[0].tongue_nm) == tongue


def test_spoke_at_the_point() -> None:
    # Richardson, 1891, Wagon Wheels: 1 3/8 in at the point for a tyre of 1 1/2 in.
    assert inches(point_nm(wheel(tyre_width_nm=nm("1 1/2")))) == 1.375


def test_box_behind_the_mortises() -> None:
    # Richardson, 1891, Making a Wagon Run Well: half the tyre's width; 3/4 in for a tyre of 1 1/2 in.
    assert inches(mortises(wheel(tyre_width_nm=nm("1 1/2"))).box_behind_front_nm) == 0.75


def test_staggered_spokes_lean_half_the_stagger_each_way() -> None:
    # Richardson, 1891, Farm Wagon Wheels: alternate spokes about 1/2 in back, each set leaned nearly half of it.
    front, back = spoke_rows(wheel(stagger_nm=nm("1/2"), dish_nm=nm("3/8")))
    assert (inches(front.dish_nm), inches(back.dish_nm)) == (0.375 - 0.25, 0.375 + 0.25)
    assert (front.count, back.count) == (6, 6)


@pytest.mark.parametrize(("height", "least", "most"), [(48, 24.375, 24.5), (60, 30.375, 30.5)])
def test_felloe_pattern(height: int, least: float, most: float) -> None:
    # Richardson, 1891, Putting Rims on Wagon Wheels: struck to a circle 3/4 to 1 in larger than the wheel; it does not
    # say how measured, and is read as across.
    radii = felloe(wheel(height_nm=height * INCH)).pattern_radii_nm
    assert tuple(map(inches, radii)) == (least, most)


def test_plank_for_a_gun_wheels_felloe() -> None:
    # 57 in and 7 felloes 2 3/4 in deep: 28 1/2 - 25 3/4 cos(180° / 7) = 5.300 in; plain geometry, derived.
    made = wheel(height_nm=57 * INCH, spokes=14, felloes=7, felloe_depth_nm=nm("2 3/4"))
    assert inches(felloe(made).plank_width_nm) == pytest.approx(5.300, abs=5e-4)


@pytest.mark.parametrize(("across", "fewest"), [(36, 8), (42, 10), (48, 10), (54, 12), (60, 12), (66, 14)])
def test_fewest_spokes(across: int, fewest: int) -> None:
    # Felton, Treatise on Carriages, 1794: not more than 16 in from spoke to spoke; heights to 5 ft 6 in.
    assert fewest_spokes(across * INCH) == fewest


@pytest.mark.parametrize(("tyre", "is_broad"), [("4 1/2", True), ("3 1/2", False), ("4", None)])
def test_broad_and_narrow_wheels(tyre: str, is_broad: bool | None) -> None:
    # 1066.co.nz, Mosaic, WAGON: wider than 4 in is broad, under it narrow.
    assert wheel_sizes(wheel(tyre_width_nm=nm(tyre))).is_broad is is_broad


@pytest.mark.parametrize(("half", "height"), [(22, 44), (25, 50), (28, 56), (30, 60), (33, 66)])
def test_wheel_bench_heights(half: int, height: int) -> None:
    # Richardson, 1891, Country Shops, part 2: the bench's heights are half the wheels'.
    assert wheel_sizes(wheel(height_nm=height * INCH)).at_sole.radius_nm == half * INCH


# The British 9-pounder field wheel: 5 ft with 2 in of dish, its tyre the frustum of a cone. Encyclopaedia Britannica,
# 9th edition, volume 11, page 311, GUNNERY. What follows is derived, with the dish from the middle of the hub.
FIELD = {"rim_inner_radius_nm": 30.0 * INCH, "hub_radius_nm": 0.0}


def test_lean_of_the_field_wheel() -> None:
    assert angle_of_dish(2 * INCH, **FIELD) == pytest.approx(3.8141, abs=5e-5)
    assert dish_from_angle(3.8141, **FIELD) == pytest.approx(2 * INCH, abs=10_000)


def test_cone_of_the_field_wheel() -> None:
    # All but no hub, and all but no felloe: slant 30.0666 in, edges of a tread 2 3/4 in wide 1.149 in apart on the
    # round, and its bar flat on a radius of 451.0 in.
    made = wheel(height_nm=60 * INCH, hub_diameter_nm=2, felloe_depth_nm=1, dish_nm=2 * INCH, tyre_width_nm=nm("2 3/4"))
    cone = wheel_sizes(made).cone
    assert inches(spoke_rows(made)[0].body_nm) == pytest.approx(30.0666, abs=1e-4)
    assert math.degrees(cone.lean) == pytest.approx(3.8141, abs=1e-4)
    assert 90 - math.degrees(cone.lean) == pytest.approx(86.186, abs=5e-4)
    assert inches(cone.edges_differ_nm) == pytest.approx(1.149, abs=1e-3)
    assert inches(cone.developed_radius_nm) == pytest.approx(451.0, abs=0.1)


def test_taper_of_the_army_wagons_box() -> None:
    # US Army specification of the six-mule wagon (two transcriptions): a box 12 in long, bored 2 1/2 and 1 7/8 in.
    # 0.625 in a foot on the diameter, and half of it 1.4917° on each side: derived.
    bore = taper(nm("2 1/2"), nm("1 7/8"), nm("12"))
    assert bore.on_diameter * 12 == 0.625
    assert math.degrees(bore.half_angle) == pytest.approx(1.4917, abs=5e-5)


@pytest.mark.parametrize(("name", "bolts"), [("Six-mule army wagon, fore", 6), ("Six-mule army wagon, hind", 7)])
def test_one_bolt_a_felloe(name: str, bolts: int) -> None:
    # The same: one screw bolt and nut per felloe, through felloe and tyre: 2 3/4 and 5/8 in.
    rim = sizes_of(BY_NAME[name]).rim
    assert rim.bolts == bolts
    assert inches(rim.bolt_grip_nm) == 3.375


@pytest.mark.parametrize("name", sorted(BY_NAME))
def test_every_starting_wheel_keeps_feltons_spacing(name: str) -> None:
    # Felton, 1794: 16 in.
    made = BY_NAME[name]
    assert made.spokes >= fewest_spokes(made.wood_diameter_nm)
    assert inches(wheel_sizes(made).at_sole.arc_nm) <= 16


# What the pages show beside their fields, against what is printed.
PRINTED_DISH = [
    ("Burgess", 1.5, 2.5),
    ("Britannica", 2, 2),
    ("Useful Arts", 3, 3),
    ("Hasluck", 1, 1),
    ("smith", 0.5, 0.5),
    ("smith", 0.75, 1),
    ("Richardson", 0.125, 0.1875),
    ("Richardson", 0.5, 0.75),
    ("Richardson", 0.375, 0.375),
]
PRINTED_DRAW = [
    ("Hasluck", 0.375, 1.25),
    ("Holmstrom", 0.5, 0.5),
    ("Holmstrom", 0.625, 0.625),
    ("Holmstrom", 0.25, 0.25),
    ("smith", 0.5, 0.75),
    ("smith", 0.125, 0.125),
    ("Richardson", 0.25, 0.25),
    ("robin-wood.co.uk", 1, 1),
]


def as_printed(said: tuple[InPrint, ...]) -> list[tuple[str, float, float]]:
    return [(each.source, inches(each.low_nm), inches(each.high_nm)) for each in said]


@pytest.mark.parametrize(
    ("said", "printed"),
    [(DISH, PRINTED_DISH), (DRAW, PRINTED_DRAW), (STAGGER, [("Richardson", 0.5, 0.5)])],
    ids=["dish", "draw", "stagger"],
)
def test_what_books_say_is_shown_as_printed(said: tuple[InPrint, ...], printed: list[tuple[str, float, float]]) -> None:
    shown = as_printed(said)
    assert [each[1:] for each in shown] == [each[1:] for each in printed]
    for (source, _, _), (author, _, _) in zip(shown, printed, strict=True):
        assert author in source


def test_draw_is_on_the_circumference() -> None:
    # Richardson, 1891: inside circumference of the tyre less outside circumference of the wheel. Railway tyres are
    # shrunk by so much of the diameter instead (American Railway Master Mechanics Association, in Jones, Turning and
    # Boring), another thing by the factor π. What heat can open is on the circumference too: 1.78 % (EN 1993-1-2, at
    # 1200 °C) of 50 in × π is 2.796 in, and 1.78 % of the diameter, 0.89 in, is no bound.
    refused = [
        hundredths
        for hundredths in (88, 100, 125, 279, 281)
        for each in problems(wheel(draw_nm=hundredths * INCH // 100), new_work=True)
        if each.field == "draw_nm" and each.refuse and "circumference" in each.sentence
    ]
    assert refused == [281]
