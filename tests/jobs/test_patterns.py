"""Patterns read back from their files and measured, against the sheet of sizes."""

import itertools
import math
import re
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings

from jobs.makeup import MakeUp
from jobs.makeup.mortises import PLAIN
from jobs.makeup.problems import PLAIN_WORDS
from jobs.patterns import Absent, all_patterns
from jobs.patterns.drawing import LAYERS, Circle, Line, Text, bounds_of, laid_out
from jobs.patterns.dxf import write_dxf
from jobs.patterns.svg import draw_on_page, write_svg
from jobs.patterns.tiles import touches
from jobs.sizes import sizes_of
from jobs.sizes.shown import length_shown
from jobs.starting_makeups import STARTING_MAKEUPS
from tests.factories import IN, makeup
from tests.jobs.drawn import read
from tests.jobs.patterns_read import (
    SVG,
    all_among,
    dxf_document,
    dxf_space,
    lengths,
    lines_in,
    lines_in_dxf,
    lines_in_pdf,
    lines_in_svg,
    patterns,
    said,
    svg_root,
)
from tests.jobs.test_fit import TOLD
from tests.jobs.test_sizes import wheels

MM = 1_000_000


def told(**changes: Any) -> MakeUp:
    return makeup(**TOLD | changes)


def arcs(drawing: Any, layer: str) -> dict[float, Any]:
    """The arcs of a layer in the DXF, by radius."""
    return {round(each.dxf.radius, 4): each for each in dxf_space(drawing).query(f'ARC[layer=="{layer}"]')}


def test_a_felloe_in_dxf_is_the_felloe_of_the_sizes() -> None:
    made = told()
    rim, found = sizes_of(made).rim, patterns(made)["felloe"]
    assert rim.felloe is not None
    sole, belly = (arcs(found, "CUT")[round(nm / MM, 4)] for nm in (rim.outer_radius_nm, rim.inner_radius_nm))
    for arc, chord_nm, rise_nm in (
        (sole, rim.felloe.chord_nm, rim.felloe.rise_nm),
        (belly, rim.felloe.inner_chord_nm, rim.felloe.inner_rise_nm),
    ):
        assert math.dist(arc.start_point, arc.end_point) == pytest.approx(chord_nm / MM)
        assert arc.dxf.radius - arc.start_point.y == pytest.approx(rise_nm / MM)
    # Its own joints shut the outline: four corners, each the end of an arc and of a joint.
    ends = {(round(p.x, 3), round(p.y, 3)) for arc in (sole, belly) for p in (arc.start_point, arc.end_point)}
    joints = dxf_space(found).query('LINE[layer=="CUT"]')
    assert {(round(p.x, 3), round(p.y, 3)) for each in joints for p in (each.dxf.start, each.dxf.end)} == ends
    plank = [each.dxf.start for each in dxf_space(found).query('LINE[layer=="OUTLINE"]')]
    wide, high = (max(p[axis] for p in plank) - min(p[axis] for p in plank) for axis in (0, 1))
    assert (wide, high) == pytest.approx((rim.felloe.plank_length_nm / MM, rim.felloe.plank_width_nm / MM))


def test_tongues_stand_as_far_apart_as_spokes_at_the_rim() -> None:
    made = told()
    sizes, found = sizes_of(made), patterns(made)["felloe"]
    # At the belly, a hole's two sides are the tongue's diameter apart, and two holes the spacing inside the rim.
    sides = [each.dxf.start for each in dxf_space(found).query('LINE[layer=="HOLES"]') if abs(each.dxf.start.x) > 1]
    assert len(sides) == 4
    left, right = [p for p in sides if p.x < 0], [p for p in sides if p.x > 0]
    assert math.dist(*left) == pytest.approx(sizes.tongue_diameter_nm / MM, rel=1e-4)  # type: ignore[operator]
    middles = [((a.x + b.x) / 2, (a.y + b.y) / 2) for a, b in (left, right)]
    apart = sizes.wheel.at_rim_inside.chord_nm / MM
    assert math.dist(*middles) == pytest.approx(apart, rel=1e-3)
    assert lengths(found)["From tongue to tongue at the belly"] == pytest.approx(apart)


def test_an_open_joint_shortens_the_sole_alone() -> None:
    made = told()
    shut, ajar = patterns(made)["felloe"], patterns(made, gap_nm=2 * MM)["felloe"]
    sawn = sizes_of(made, gap_nm=2 * MM).rim.felloe
    assert sawn is not None
    sole = arcs(ajar, "CUT")[round(made.wood_radius_nm / MM, 4)]
    turned = math.radians(sole.dxf.end_angle - sole.dxf.start_angle)
    assert turned * sole.dxf.radius == pytest.approx(sawn.arc_nm / MM)
    assert lengths(ajar)["Chord of the belly"] == lengths(shut)["Chord of the belly"]
    assert any("no book gives a number" in note for note in shut.notes)
    assert not any("no book" in note for note in ajar.notes)


def test_the_cut_wheel_has_the_dish_and_the_spokes_of_the_sizes() -> None:
    made = told()
    found, rows = lengths(patterns(made)["section"]), sizes_of(made).spokes
    assert found["Dish"] == pytest.approx(12.7)
    for row in rows:
        assert found[f"Body of a spoke, {row.row} row"] == pytest.approx(row.body_nm / MM)
    straight = patterns(told(dish_nm=0, stagger_nm=0))["section"]
    assert "Dish" not in said(straight)
    assert said(straight)["Body of a spoke"] == "419.1 mm"


def test_the_box_lies_half_the_tread_behind_the_front_of_the_mortises() -> None:
    found = dxf_space(patterns(told())["section"]).query('LINE[layer=="HOLES"]')
    # On the axle, the box is 9 in long; mortises of 1 3/4 in stand 1/2 in apart, the tread is 1 1/2 in wide.
    (on_axle,) = [each for each in found if each.dxf.start.y == 0 and each.dxf.end.y == 0]
    assert abs(on_axle.dxf.start.x - on_axle.dxf.end.x) == pytest.approx(9 * 25.4)
    assert (on_axle.dxf.start.x + on_axle.dxf.end.x) / 2 == pytest.approx((0.25 + 0.875 - 0.75) * 25.4)


def test_mortise_and_tenon_are_those_of_the_sizes() -> None:
    made = told()
    for fit in (None, PLAIN):
        asked = {} if fit is None else {"fit": fit}
        sizes, found = sizes_of(made, **asked), patterns(made, **asked)["mortise-and-tenon"]
        joint = sizes.mortises
        assert joint is not None
        measured = [lengths(found)[name] for name in ("Mortise along the hub", "Mortise round the hub", "Tenon, wide")]
        assert measured == pytest.approx([joint.length_nm / MM, joint.width_nm / MM, joint.tenon_width_nm / MM])
        assert lengths(found)["Tenon, thick"] == pytest.approx(joint.tenon_thickness_nm / MM)
        assert lengths(found)["Foot, long, front row"] == pytest.approx(sizes.spokes[0].foot_nm / MM)  # type: ignore[operator]
    untold = patterns(makeup())["mortise-and-tenon"]
    assert "The foot’s length wants the box’s outside measures." in untold.notes
    assert "not told" in " ".join(untold.notes)


def test_a_bolted_hub_has_feet_instead() -> None:
    made = told(hub="bolted", stagger_nm=0, mortise_length_nm=None, mortise_width_nm=None)
    found, wedges = patterns(made), sizes_of(made).wedges
    assert "mortise-and-tenon" not in found
    assert wedges is not None
    assert wedges.at_box_nm is not None
    assert lengths(found["foot"])["Foot on the hub’s diameter"] == pytest.approx(wedges.at_surface_nm / MM)
    assert lengths(found["foot"])["Foot at the box"] == pytest.approx(wedges.at_box_nm / MM)
    # An old wheel's measures may have been taken wrong.
    assert "foot" not in patterns(told(hub="bolted", stagger_nm=0, box_large_nm=8 * IN, box_small_nm=8 * IN))


def test_the_face_has_every_spoke_joint_and_ring() -> None:
    made = told()
    space = dxf_space(patterns(made)["front"])
    rings = sorted(round(2 * each.dxf.radius, 4) for each in space.query("CIRCLE"))
    # The bore's small end, hub, inside of the rim, wood, tyre; no band's seat is told.
    assert rings == pytest.approx([1.5 * 25.4, 8 * 25.4, 41 * 25.4, 46 * 25.4, 47 * 25.4])
    assert len(space.query('LINE[layer=="CENTRE"]')) == made.spokes
    assert len(space.query('LINE[layer=="CUT"]')) == made.felloes
    assert len(space.query('LINE[layer=="OUTLINE"]')) == 2 * made.spokes


def test_bent_rims_and_odd_spokes_have_what_can_be_drawn() -> None:
    bent = patterns(told(rim="bent", felloes=2, spokes=13, stagger_nm=0))["strip"]
    assert any("13 spokes don’t share out among 2 strips" in note for note in bent.notes)
    odd = patterns(told(spokes=13, felloes=7, stagger_nm=0))["felloe"]
    assert any("don’t share out" in note for note in odd.notes)
    assert not dxf_space(odd).query('LINE[layer=="HOLES"]')
    square = patterns(told(tongue="square"))["felloe"]
    assert any("no rule is in print" in note for note in square.notes)


def test_a_bent_rim_has_its_strip_flat_with_its_spokes_set_off() -> None:
    made = told(rim="bent", felloes=2, spokes=12)
    found, flat = patterns(made, gap_nm=2 * MM), sizes_of(made, gap_nm=2 * MM).rim.strip
    assert "felloe" not in found
    assert flat is not None
    strip = found["strip"]
    corners = [p for line in dxf_space(strip).query('LINE[layer=="CUT"]') for p in (line.dxf.start, line.dxf.end)]
    wide, high = (max(p[axis] for p in corners) - min(p[axis] for p in corners) for axis in (0, 1))
    assert (wide, high) == pytest.approx((flat.neutral_nm / MM, made.felloe_depth_nm / MM))
    crosses = dxf_space(strip).query('LINE[layer=="CENTRE"]')
    places = sorted(each.dxf.start.x for each in crosses if each.dxf.start.x == pytest.approx(each.dxf.end.x))
    # Half the round at half the depth: six spokes a sixth of it apart, half a sixth less half the gap from the joints.
    apart = math.pi * (23 - 1.25) * 25.4 / 6
    assert [later - sooner for sooner, later in pairwise(places)] == pytest.approx([apart] * 5)
    assert places[0] + wide / 2 == pytest.approx(apart / 2 - 1)
    assert lengths(strip)["From the joint to the first spoke"] == pytest.approx(apart / 2 - 1)
    assert any("how long a scarf is" in note for note in strip.notes)


def test_what_is_not_drawn_says_why_in_its_place() -> None:
    def why(made: MakeUp, circle_nm: float | None = None) -> dict[str, str]:
        found = all_patterns(made, sizes_of(made), words=PLAIN_WORDS, unit="mm", circle_nm=circle_nm)
        assert [each.key for each in found][2:] == ["index-plate", "section", "front"]
        return {each.key: each.why for each in found if isinstance(each, Absent)}

    assert why(told(), 150 * MM) == {}
    assert "once its pitch circle is told" in why(told())["index-plate"]
    assert "sawn in one piece" in why(told(felloes=1))["felloe"]
    thin = told(spoke_width_nm=IN // 16, mortise_length_nm=None)
    assert "takes more off than there is of the spoke" in why(thin)["mortise-and-tenon"]
    bolted = {"hub": "bolted", "stagger_nm": 0, "mortise_length_nm": None, "mortise_width_nm": None}
    assert "outside diameters are not told" in why(makeup(**bolted))["foot"]
    assert "no foot is left" in why(told(**bolted, box_large_nm=8 * IN, box_small_nm=8 * IN))["foot"]


def test_no_line_runs_through_what_the_rim_and_the_dish_say_in_the_cut_wheel() -> None:
    made = [
        told(),
        told(stagger_nm=0),
        makeup(height_nm=300 * MM, hub_diameter_nm=3 * IN),
        told(height_nm=1800 * MM, dish_nm=70 * MM),
    ]
    for drawing, letters in itertools.product((patterns(each)["section"] for each in made), (4.0, 20.0)):
        shapes = list(laid_out(drawing, letters=letters))
        for name in ("Dish", "Felloe, wide"):
            (said_at,) = [each.at(letters) for each in drawing.dimensions if each.name == name]
            (words,) = [each for each in shapes if isinstance(each, Text) and each.at == said_at]
            frame = bounds_of([words], letters=letters).wider(-0.3 * letters)
            crossing = [each for each in shapes if isinstance(each, Line) and touches(each, frame, letters=letters)]
            assert crossing == [], (name, letters)


def test_the_index_plate_is_only_drawn_on_a_circle_that_is_told() -> None:
    made = told(spokes=12, felloes=6)
    assert "index-plate" not in patterns(made)
    plate = patterns(made, circle_nm=150 * MM)["index-plate"]
    holes = [each.dxf.center for each in dxf_space(plate).query('CIRCLE[layer=="HOLES"]')]
    apart = [math.dist(one, other) for one, other in pairwise([*holes, holes[0]])]
    assert apart == pytest.approx([150 * math.sin(math.pi / 12)] * 12)
    assert said(plate)["Check: from hole 1 to hole 7"] == "150 mm"


def test_dxf_is_in_millimetres_on_named_layers_and_always_the_same() -> None:
    for drawing in patterns(told(), circle_nm=200 * MM).values():
        document = dxf_document(drawing)
        assert (document.dxfversion, document.header["$INSUNITS"]) == ("AC1024", 4)
        assert {layer.upper() for layer in LAYERS} <= {each.dxf.name for each in document.layers}
        assert not document.audit().errors
        assert write_dxf(drawing) == write_dxf(drawing)
        measured = {each.dxf.text: each.get_measurement() for each in document.modelspace().query("DIMENSION")}
        assert measured == pytest.approx({each.said: each.length for each in drawing.dimensions})


def test_svg_has_a_millimetre_to_the_unit_and_nothing_that_is_not_to_be_cut() -> None:
    for drawing in patterns(told(), circle_nm=200 * MM).values():
        root = svg_root(drawing)
        width, height = (root.get(side) for side in ("width", "height"))
        assert re.fullmatch(r"[\d.]+mm [\d.]+mm", f"{width} {height}")
        box = [float(each) for each in root.get("viewBox").split()]
        assert [float(width[:-2]), float(height[:-2])] == box[2:]
        assert {each.get("id") for each in root.iter(f"{SVG}g")} <= {"outline", "cut", "centre", "holes"}
        assert not list(root.iter(f"{SVG}text"))
        assert "style" not in write_svg(drawing)


def test_arcs_in_svg_end_where_those_of_the_dxf_do() -> None:
    found = patterns(told())["felloe"]
    ends = {}
    for path in svg_root(found).iter(f"{SVG}path"):
        x, y, radius, again, large, u, v = _arc(path.get("d"))
        assert (radius, large) == (again, 0)
        ends[round(radius, 4)] = ((u, -v), (x, -y))
    for radius, arc in arcs(found, "CUT").items():
        first, last = sorted(ends[radius])
        ours = sorted((p.x, p.y) for p in (arc.start_point, arc.end_point))
        assert [*first, *last] == pytest.approx([*ours[0], *ours[1]], abs=1e-4)


def _arc(path: str) -> tuple[float, ...]:
    match = re.fullmatch(r"M(\S+) (\S+)A(\S+) (\S+) 0 ([01]) 0 (\S+) (\S+)", path)
    assert match
    x, y, radius, again, large, u, v = map(float, match.groups())
    return x, y, radius, again, large, u, v


@settings(max_examples=6)
@given(wheels())
def test_all_four_tell_the_same_lengths(made: MakeUp) -> None:
    for key, drawing in patterns(made, "in", circle_nm=120 * MM).items():
        expected = lines_in(drawing)
        for found in (lines_in_svg(drawing), lines_in_dxf(drawing)):
            assert len(found) == len(expected)
            assert all_among(expected, found), key
        # Words and crosses of the sheets are lines, too.
        assert all_among(expected, lines_in_pdf(drawing)), key
        shown = read(draw_on_page(drawing, title="A wheel")).root
        words = [each.text for each in shown.iter("text")]
        for each in drawing.dimensions:
            assert each.said in words
            assert each.said == length_shown(each.length * MM, unit="in")[0]


@pytest.mark.parametrize("start", STARTING_MAKEUPS, ids=lambda each: each.name)
def test_every_starting_wheel_has_its_patterns_and_they_fit_a_phone(start: Any) -> None:
    for drawing in patterns(start.makeup, "in").values():
        picture = read(draw_on_page(drawing, title="A <wheel>")).root
        width, height = float(picture.get("width")), float(picture.get("height"))
        assert width <= 356
        assert height <= 400
        assert max(width / 356, height / 400) > 0.99
        # Letters are 16 px high however large the wheel is.
        scale = width / float(picture.get("viewBox").split()[2])
        sizes = {float(each.get("font-size")) * scale for each in picture.iter("text")}
        assert sizes
        assert sorted(sizes) == pytest.approx([16] * len(sizes), rel=1e-3)
        assert drawing.notes
        assert not any(isinstance(each, Circle) and each.radius <= 0 for each in drawing.shapes)
