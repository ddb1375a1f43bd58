"""The wheel drawn in full: right pieces, right places, true proportion, state by state."""

import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from jobs.drawing import WheelProgress, draw_wheel
from jobs.makeup import Band
from jobs.starting_makeups import STARTING_MAKEUPS
from tests.jobs.drawn import points, radii, read

MM = 1_000_000
LIBRARY = {each.name: each.makeup for each in STARTING_MAKEUPS}
HIND, GIG, GUN = LIBRARY["Wagonette, hind"], LIBRARY["Gig"], LIBRARY["Archibald field-gun wheel"]
FINISHED = WheelProgress.finished(HIND)


def _draw(progress=FINISHED, makeup=HIND, scale=0.5, **others):
    return draw_wheel(makeup, progress, scale=scale, title="A wheel", **others)


@pytest.mark.parametrize(("spokes", "felloes"), [(8, 4), (12, 6), (14, 7), (16, 8), (13, 7), (5, 3), (4, 1)])
def test_each_spoke_and_felloe_stands_in_its_place(spokes: int, felloes: int) -> None:
    makeup = replace(HIND, spokes=spokes, felloes=felloes, spoke_thickness_nm=20 * MM)
    drawn = read(_draw(WheelProgress.finished(makeup), makeup))
    step = 360 / spokes
    assert drawn.angles("w-spoke", "w-done") == pytest.approx([(i + 0.5) * step for i in range(spokes)], abs=0.01)
    assert drawn.angles("w-felloe", "w-done") == pytest.approx([2 * i * step for i in range(felloes)], abs=0.01)


def test_radii_are_to_scale() -> None:
    drawn = read(_draw())
    tyre, felloe = drawn.shapes("w-iron")[0], drawn.shapes("w-felloe")[0]
    assert radii(tyre) == [297.5, 292.5]
    assert radii(felloe) == [292.5, 264]
    assert float(drawn.shapes("w-hub")[0].get("r")) == 47.5
    foot, shoulder = points(drawn.shapes("w-spoke")[0])[:2]
    assert foot[0] == -7.5
    # 30 mm at the hub, tapering to 0.78 of it at the rim.
    assert shoulder == (pytest.approx(-5.85, abs=0.06), -264)


def test_the_wheel_stands_on_the_lower_edge() -> None:
    left, top, width, height = map(float, read(_draw()).root.get("viewBox").split())
    assert top + height == pytest.approx(297.5 + 1)
    assert (left, top, width) == (-298.5, -298.5, height)


def test_nothing_is_drawn_too_thin_and_the_height_stays_true() -> None:
    drawn = read(_draw(scale=0.15))
    outer, wood = radii(drawn.shapes("w-iron")[0])
    assert outer == pytest.approx(595 * 0.15, abs=0.06)
    assert outer - wood == pytest.approx(4.5, abs=0.11)
    sole, belly = radii(drawn.shapes("w-felloe")[0])
    assert sole - belly == pytest.approx(57 * 0.15, abs=0.11)
    thin = read(_draw(scale=0.12))
    sole, belly = radii(thin.shapes("w-felloe")[0])
    assert sole - belly == pytest.approx(8, abs=0.11)
    spoke = points(thin.shapes("w-spoke")[0])
    assert (spoke[0][0], spoke[1][0]) == (-2.3, -1.8)


def test_not_begun_is_dashed_everywhere() -> None:
    drawn = read(_draw(WheelProgress()))
    assert len(drawn.shapes("w-spoke", "w-todo")) == 14
    assert len(drawn.shapes("w-felloe", "w-todo")) == 7
    assert len(drawn.shapes("w-hub", "w-todo")) == 1
    assert len(drawn.shapes("w-iron", "w-todo")) == 4
    assert not drawn.shapes("w-done")


def test_a_driven_spoke_fills_from_the_hub_by_its_share() -> None:
    drawn = read(_draw(WheelProgress(hub=1, spokes=(0.25, 0, 1))))
    part, whole = drawn.shapes("w-spoke", "w-done")
    foot, cut = -points(part)[0][1], -points(part)[1][1]
    assert foot == pytest.approx(math.sqrt(47.5**2 - 7.5**2), abs=0.06)
    assert cut == pytest.approx(foot + 0.25 * (264 - foot), abs=0.1)
    assert -points(whole)[1][1] == 264
    assert drawn.angles("w-spoke", "w-done") == [12.86, 64.29]
    assert len(drawn.shapes("w-spoke", "w-todo")) == 13


def test_felloes_are_hatched_under_way_and_turn_with_their_hatch() -> None:
    drawn = read(_draw(WheelProgress(felloes=(1, 0.5, 0.9))))
    assert drawn.angles("w-felloe", "w-done") == [0]
    assert [each.get("transform") for each in drawn.hatched("felloe")] == ["rotate(51.43)", "rotate(102.86)"]
    assert len(drawn.shapes("w-felloe", "w-todo")) == 4


@pytest.mark.parametrize(
    ("state", "attribute", "value"),
    [
        ("none", "class", "w-iron w-todo"),
        ("making", "fill", "url(#w-hatch-iron)"),
        ("smith", "fill", "url(#w-hatch-smith)"),
        ("made", "class", "w-iron w-made"),
        ("on", "class", "w-iron w-done"),
    ],
)
def test_iron_has_five_states(state, attribute: str, value: str) -> None:
    drawn = read(_draw(WheelProgress(tyre=state, bands=(state, "on"))))
    tyre, first, second, _box = drawn.shapes("w-iron")
    assert tyre.get(attribute) == first.get(attribute) == value
    assert second.get("class") == "w-iron w-done"


def test_bands_sit_at_their_seats() -> None:
    bands = (Band("back", 25 * MM, 8 * MM, 160 * MM), Band("front", 25 * MM, 8 * MM, 120 * MM))
    drawn = read(_draw(FINISHED, replace(HIND, bands=bands)))
    _tyre, back, front, _box = drawn.shapes("w-iron")
    assert radii(back) == [44, 40]
    assert radii(front) == [34, 30]


def test_bands_never_cover_each_other_and_become_one_where_there_is_no_room() -> None:
    bands = tuple(Band(f"band {place}", 20 * MM, 4 * MM, 180 * MM) for place in range(4))
    makeup = replace(HIND, bands=bands)
    drawn = read(_draw(WheelProgress.finished(makeup), makeup))
    rings = [radii(each) for each in drawn.shapes("w-iron")[1:5]]
    assert len(rings) == 4
    for (_, inner), (below, _) in pairwise(rings):
        assert below == pytest.approx(inner - 1, abs=0.11)
    progress = WheelProgress(hub=1, bands=("on", "on", "smith", "made"))
    tight = read(_draw(progress, makeup, scale=0.1))
    assert [each.get("fill") for each in tight.shapes("w-iron")[1:-1]] == ["url(#w-hatch-smith)"]


@pytest.mark.parametrize(
    ("piece", "kind"),
    [(("hub", 0), "w-hub"), (("spoke", 3), "w-spoke"), (("felloe", 2), "w-felloe"), (("tyre", 0), "w-iron")],
)
def test_the_piece_in_hand_alone_is_outlined_and_under_way(piece, kind: str) -> None:
    drawn = read(_draw(WheelProgress(in_hand=piece)))
    (shape,) = drawn.shapes("w-hand")
    assert kind in shape.get("class")
    # Nothing of its own kind is drawn over its outline.
    assert drawn.shapes(kind)[-1] is shape or kind not in {"w-spoke", "w-felloe"}
    assert shape.get("fill").startswith("url(#w-hatch-")


def test_a_bent_rim_is_two_halves_and_a_rubber_tyre_a_channel_and_rubber() -> None:
    drawn = read(_draw(WheelProgress.finished(GIG), GIG))
    assert drawn.angles("w-felloe") == [0, 180]
    channel, rubber = drawn.shapes("w-iron")[0], drawn.shapes("w-rubber", "w-done")[0]
    assert radii(channel)[0] == radii(rubber)[1]
    assert radii(rubber)[0] == pytest.approx((1270 / 2 + 32) * 0.5)


def test_a_bolted_hub_is_a_flange_with_a_bolt_a_spoke() -> None:
    drawn = read(_draw(WheelProgress.finished(GUN), GUN))
    assert not drawn.shapes("w-hub")
    assert len(drawn.shapes("w-bolt")) == 14


def test_no_tyre_no_iron_round_the_rim_and_no_box_only_a_bore() -> None:
    makeup = replace(HIND, tyre="none", fastening="plain", box="none", bands=())
    drawn = read(_draw(WheelProgress.finished(makeup), makeup))
    assert not drawn.shapes("w-iron")
    assert len(drawn.shapes("w-bore")) == 1


def test_the_finish_is_a_fine_line() -> None:
    assert not read(_draw(replace(FINISHED, finish=0.0))).shapes("w-lining")
    assert len(read(_draw(replace(FINISHED, finish=0.5))).shapes("w-lining", "w-todo")) == 1
    assert len(read(_draw(FINISHED)).shapes("w-lining")) == 2


def test_the_hatches_of_every_drawing_are_in_the_page() -> None:
    page = (Path(__file__).parents[2] / "templates/jobs/_hatches.html").read_text(encoding="utf-8")
    kept = set(re.findall(r'id="(w-hatch-\w+)"', page))
    progress = WheelProgress(hub=0.5, bands=("making", "smith"), felloes=(0.5,), in_hand=("spoke", 0))
    assert set(re.findall(r"url\(#([\w-]+)\)", _draw(progress))) == kept
