"""Make-ups: what follows from the measures, and what is wrong with them."""

from dataclasses import FrozenInstanceError, replace
from typing import Any

import pytest

from jobs.makeup import Band, MakeUp, describe, problems, usual_felloes
from jobs.makeup.problems import PLAIN_WORDS
from jobs.starting_makeups import STARTING_MAKEUPS

MM = 1_000_000
INCH = 25_400_000
# Without its mortises and box, so that its hub may be of any size here: see test_fit.py for those.
HIND = replace(
    next(each.makeup for each in STARTING_MAKEUPS if each.name == "Wagonette, hind"),
    **dict.fromkeys(
        [f"{part}_nm" for part in ("mortise_length", "mortise_width", "box_large", "box_small", "box_length")]
        + ["bore_large_nm", "bore_small_nm"]
    ),
)


def _bands(*widths: int) -> tuple[Band, ...]:
    return tuple(Band(f"band {place}", width * MM, 5 * MM) for place, width in enumerate(widths))


def _found(changes: dict[str, Any], *, new_work: bool = True) -> list[tuple[str, bool]]:
    return [(each.field, each.refuse) for each in problems(replace(HIND, **changes), new_work=new_work)]


def test_a_sound_make_up_has_no_problems() -> None:
    assert problems(HIND, new_work=True) == []
    assert problems(HIND, new_work=False) == []


def test_a_make_up_does_not_change() -> None:
    with pytest.raises(FrozenInstanceError):
        HIND.spokes = 12  # type: ignore[misc]


@pytest.mark.parametrize(
    ("spokes", "rim", "felloes"),
    [(8, "sawn", 4), (12, "sawn", 6), (14, "sawn", 7), (13, "sawn", 7), (14, "bent", 2), (13, "bent", 2)],
)
def test_usual_felloes(spokes: int, rim: Any, felloes: int) -> None:
    assert usual_felloes(spokes, rim) == felloes


def test_diameters_over_the_wood_and_over_the_tyre() -> None:
    over_tyre = replace(HIND, height_nm=1190 * MM, height_over="tyre")
    for makeup in (HIND, over_tyre):
        assert makeup.wood_diameter_nm == 1170 * MM
        assert makeup.tyre_diameter_nm == 1190 * MM
        assert makeup.rim_inner_diameter_nm == (1170 - 2 * 57) * MM
        assert makeup.wood_radius_nm == 585 * MM
        assert makeup.tyre_radius_nm == 595 * MM
        assert makeup.rim_inner_radius_nm == 528 * MM
        assert makeup.bare_spoke_nm == (528 - 95) * MM
    assert replace(HIND, tyre="none").tyre_diameter_nm == 1170 * MM
    assert replace(over_tyre, tyre="none").wood_diameter_nm == 1190 * MM


def test_bolts_stand_one_to_a_felloe() -> None:
    assert HIND.tyre_bolts == 7
    assert replace(HIND, fastening="plain").tyre_bolts == 0
    assert replace(HIND, tyre="rubber").tyre_bolts == 0


@pytest.mark.parametrize(
    ("changes", "unit", "line"),
    [
        ({}, "mm", "1170 mm over the wood, 14 spokes, 7 felloes, iron tyre 38 × 10 mm bolted"),
        (
            {"height_nm": 46 * INCH, "spokes": 12, "felloes": 6, "fastening": "plain"},
            "in",
            "46 in over the wood, 12 spokes, 6 felloes, iron tyre about 1 1/2 × 25/64 in",
        ),
        (
            {"rim": "bent", "felloes": 2, "hub": "bolted", "tyre": "rubber", "height_over": "tyre"},
            "mm",
            "1170 mm over the tyre, 14 spokes, 2 bent half-rims, two-piece bolted hub, rubber tyre 38 × 10 mm",
        ),
        ({"tyre": "none"}, "mm", "1170 mm over the wood, 14 spokes, 7 felloes, no tyre"),
    ],
)
def test_one_line_says_it(changes: dict[str, Any], unit: Any, line: str) -> None:
    assert describe(replace(HIND, **changes), words=PLAIN_WORDS, unit=unit) == line


def test_the_shops_own_words_are_used() -> None:
    words = {**PLAIN_WORDS, "hub": "nave", "felloe": "felly", "felloes": "fellies", "tyre": "tire"}
    assert "7 fellies, iron tire" in describe(HIND, words=words, unit="mm")
    makeup = replace(HIND, hub_diameter_nm=1200 * MM, tyre_thickness_nm=60 * MM)
    said = " ".join(each.sentence for each in problems(makeup, new_work=True, words=words))
    assert "nave" in said
    assert "tire" in said
    assert "hub" not in said


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("height_nm", {"height_nm": 150 * MM - 1}),
        ("height_nm", {"height_nm": 3000 * MM + 1}),
        ("height_nm", {"height_nm": 0}),
        ("height_nm", {"height_nm": -1}),
        ("hub_diameter_nm", {"hub_diameter_nm": 0}),
        ("hub_length_nm", {"hub_length_nm": -1}),
        ("spoke_width_nm", {"spoke_width_nm": 0}),
        ("spoke_thickness_nm", {"spoke_thickness_nm": 0}),
        ("felloe_depth_nm", {"felloe_depth_nm": 0}),
        ("felloe_width_nm", {"felloe_width_nm": 0}),
        ("tyre_width_nm", {"tyre_width_nm": 0}),
        ("tyre_thickness_nm", {"tyre_thickness_nm": 0}),
        ("tyre_width_nm", {"tyre": "none", "tyre_width_nm": -1}),
        ("dish_nm", {"dish_nm": -1}),
        ("dish_nm", {"dish_nm": 1170 * MM // 4 + 1}),
        ("spokes", {"spokes": 3}),
        ("spokes", {"spokes": 41}),
        ("spokes", {"spokes": 10_000}),
        ("spokes", {"spokes": 13}),
        ("felloes", {"felloes": 0}),
        ("felloes", {"felloes": 15}),
        ("hub_diameter_nm", {"hub_diameter_nm": 1170 * MM}),
        ("felloe_depth_nm", {"felloe_depth_nm": 490 * MM}),
        ("felloe_depth_nm", {"felloe_depth_nm": 2000 * MM}),
        ("spoke_thickness_nm", {"spoke_thickness_nm": 43 * MM}),
        ("spoke_width_nm", {"spoke_width_nm": 230 * MM}),
        ("tyre_thickness_nm", {"tyre_thickness_nm": 57 * MM}),
        ("bands", {"bands": _bands(5, 5, 5, 5, 5, 5, 5)}),
        ("bands", {"bands": _bands(115, 116)}),
        ("bands", {"bands": _bands(0)}),
        ("bands", {"bands": (Band("back band", 20 * MM, 5 * MM, 0),)}),
        ("coats", {"coats": -1}),
        ("coats", {"coats": 13}),
        ("rim", {"rim": "iron"}),
        ("tyre", {"tyre": ""}),
        ("height_over", {"height_over": "hub"}),
    ],
)
def test_what_cannot_be_made_is_refused(field: str, changes: dict[str, Any]) -> None:
    assert (field, True) in _found(changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"height_nm": 150 * MM, "hub_diameter_nm": 30 * MM, "felloe_depth_nm": 20 * MM, "spoke_thickness_nm": 5 * MM},
        {"height_nm": 3000 * MM, "spokes": 40, "felloes": 20, "spoke_thickness_nm": 10 * MM},
        {"spokes": 4, "felloes": 2},
        {"dish_nm": 0},
        {"dish_nm": 1170 * MM // 4},
        {"coats": 0},
        {"coats": 12},
        {"felloes": 1},
        {"felloes": 14},
        {"felloe_depth_nm": 489 * MM},
        {"spoke_thickness_nm": 42 * MM},
        {"tyre_thickness_nm": 57 * MM - 1},
        {"spoke_width_nm": 230 * MM - 1},
        {"bands": ()},
        {"bands": _bands(5, 5, 5, 5, 5, 5)},
        {"bands": _bands(115, 115)},
        {"tyre": "none", "tyre_width_nm": 0, "tyre_thickness_nm": 0, "fastening": "plain"},
    ],
)
def test_what_can_just_be_made_is_not_refused(changes: dict[str, Any]) -> None:
    assert not any(refuse for _, refuse in _found(changes))


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("spokes", {"spokes": 6, "felloes": 3}),
        ("spokes", {"spokes": 20, "felloes": 10, "spoke_thickness_nm": 20 * MM}),
        ("felloes", {"felloes": 6}),
        ("felloes", {"rim": "bent"}),
        ("height_nm", {"height_nm": 24 * INCH - 1}),
        ("height_nm", {"height_nm": 68 * INCH + 1}),
        ("dish_nm", {"dish_nm": 3 * INCH + 1}),
        ("tyre_width_nm", {"tyre_width_nm": 39 * MM}),
        ("fastening", {"tyre": "none"}),
        ("fastening", {"tyre": "rubber"}),
        ("bands", {"bands": (Band("back band", 20 * MM, 5 * MM, 191 * MM),)}),
    ],
)
def test_what_is_unusual_is_only_warned_of(field: str, changes: dict[str, Any]) -> None:
    found = _found(changes)
    assert (field, False) in found
    assert not any(refuse for _, refuse in found)


@pytest.mark.parametrize(
    "changes",
    [
        {"height_nm": 24 * INCH},
        {"height_nm": 68 * INCH},
        {"dish_nm": 3 * INCH},
        {"spokes": 8, "felloes": 4, "height_nm": 1000 * MM},
        {"spokes": 18, "felloes": 9},
        {"bands": (Band("back band", 20 * MM, 5 * MM, 190 * MM),)},
    ],
)
def test_what_is_just_usual_is_not_warned_of(changes: dict[str, Any]) -> None:
    assert _found(changes) == []


def test_an_odd_old_wheel_is_warned_of_not_refused() -> None:
    assert _found({"spokes": 13}, new_work=False) == [("spokes", False)]
    assert _found({"spokes": 13, "rim": "bent", "felloes": 2}) == []


def test_each_sentence_says_what_and_where() -> None:
    hub = problems(replace(HIND, hub_diameter_nm=1200 * MM), new_work=True)
    assert [each.sentence for each in hub if each.refuse] == [
        "The hub is 1200 mm through and the wheel only 1170 mm over the wood."
    ]
    odd = problems(replace(HIND, spokes=13), new_work=True)
    assert [each.sentence for each in odd] == [
        "13 spokes is odd, and each felloe takes two: a new wheel with sawn felloes needs an even number."
    ]


def test_one_wrong_size_is_not_told_twice() -> None:
    makeup: MakeUp = replace(HIND, hub_diameter_nm=0)
    assert len(problems(makeup, new_work=True)) == 1
