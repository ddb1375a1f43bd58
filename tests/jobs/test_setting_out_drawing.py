"""The wheel cut through and the felloe in its plank: in proportion, named, and with figures that stand clear."""

import re
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given

from jobs.drawing.setting_out import LINE, draw_felloe, draw_section
from jobs.makeup import MakeUp
from jobs.makeup.problems import PLAIN_WORDS
from jobs.measures import Unit
from jobs.sizes import sizes_of
from jobs.starting_makeups import STARTING_MAKEUPS
from tests.factories import IN, makeup
from tests.jobs.drawn import read
from tests.jobs.test_fit import TOLD
from tests.jobs.test_sizes import wheels


def section(made: MakeUp, unit: Unit = "in") -> Any:
    return read(draw_section(made, sizes_of(made), words=PLAIN_WORDS, unit=unit, title="A <wheel>", ident="cut")).root


def pieces(picture: Any, kind: str) -> list[list[tuple[float, float]]]:
    """The corners of the pieces of a kind."""
    found = []
    for each in picture.iter():
        if (each.get("class") or "").split()[:1] == [kind]:
            numbers = [float(one) for one in re.findall(r"-?[\d.]+", each.get("d"))]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def spans(corners: list[tuple[float, float]]) -> tuple[float, float, float, float]:
    """Left, right, and from the axle up to its lower and upper edge."""
    across, down = [x for x, _ in corners], [y for _, y in corners]
    return min(across), max(across), -max(down), -min(down)


def test_pieces_stand_in_proportion_one_on_the_other() -> None:
    picture = section(makeup(**TOLD))
    (tyre,), (felloe,), (hub,) = (pieces(picture, kind) for kind in ("w-iron", "w-felloe", "w-hub"))
    _, _, low, over_all = spans(tyre)
    scale = over_all / 23.5  # 46 in over the wood, and 1/2 in of tyre
    assert low == pytest.approx(23 * scale, abs=0.1)
    assert spans(felloe)[2:] == pytest.approx((20.5 * scale, 23 * scale), abs=0.1)
    assert spans(hub) == pytest.approx((-5 * scale, 5 * scale, 0, 4 * scale), abs=0.1)
    # The rim stands out by the dish; two rows begin 1/4 in before and behind.
    left, right, *_ = spans(felloe)
    assert (left + right) / 2 == pytest.approx(0.5 * scale, abs=0.1)
    front, back = (spans(spoke) for spoke in pieces(picture, "w-spoke"))
    assert front[0] - back[0] == pytest.approx(0.5 * scale, abs=0.1)
    assert front[2:] == pytest.approx((4 * scale, 20.5 * scale), abs=0.1)


def test_feet_and_box_are_seen_only_when_told() -> None:
    # In the hub two feet and the box, in the rim the tongue.
    assert len(pieces(section(makeup(**TOLD)), "w-within")) == 4
    assert len(pieces(section(makeup()), "w-within")) == 1


def said(picture: Any) -> list[tuple[float, str]]:
    return [(float(each.get("y")), each.text) for each in picture.iter() if each.tag.endswith("text")]


def test_lengths_stand_beside_it() -> None:
    words = [text for _, text in said(section(makeup(**TOLD)))]
    # The tongue is 2 1/2 - 1/16 in, and the dish too little to tell the rows' apart.
    assert words[:4] == ["Tongue", "2 7/16 in", "Dish", "1/2 in"]
    assert words[4] == "Body, hub to rim"
    assert words[-1] == "2 27/64 in"
    assert [text for _, text in said(section(makeup()))][-1] == "not told"


@given(wheels())
def test_no_label_covers_another_or_is_cut_off(made: MakeUp) -> None:
    picture = section(made, "mm")
    heights = [y for y, _ in said(picture)]
    assert all(below - above >= LINE - 0.2 for above, below in pairwise(heights))
    _, top, width, height = map(float, picture.get("viewBox").split())
    assert top + 14 <= heights[0]
    assert heights[-1] <= top + height - 4
    assert width <= 358


@pytest.mark.parametrize(
    "made", [each.makeup for each in STARTING_MAKEUPS], ids=[each.name for each in STARTING_MAKEUPS]
)
def test_every_starting_wheel_is_drawn(made: MakeUp) -> None:
    picture = section(made)
    assert picture.get("role") == "img"
    assert next(each.text for each in picture.iter() if each.tag.endswith("title")) == "A <wheel>"
    assert bool(pieces(picture, "w-iron")) is (made.tyre == "iron")
    assert bool(pieces(picture, "w-rubber")) is (made.tyre == "rubber")


def test_a_felloe_lies_within_its_plank() -> None:
    felloe = sizes_of(makeup()).rim.felloe
    assert felloe is not None
    picture = read(draw_felloe(felloe, depth_nm=5 * IN // 2, title="A felloe", ident="felloe")).root
    plank, chord = (next(e for e in picture.iter() if e.get("class") == kind) for kind in ("w-within", "w-leader"))
    # 330 px for the chord, 46 sin(180° / 7) = 19.959 in; the plank is 23 - 20.5 cos(180° / 7) = 4.530 in wide.
    assert plank.get("d") == "M-165 0H165V74.9H-165Z"
    # The sole rises 23 (1 - cos(180° / 7)) = 2.278 in over its chord.
    assert chord.get("d") == "M-165 37.7H165"
    outline = next(e.get("d") for e in picture.iter() if (e.get("class") or "").startswith("w-felloe"))
    # On arcs of 23 and 20.5 in, at 330 / 19.959 px to the inch.
    assert "A380.3 380.3" in outline
    assert "A339 339" in outline
