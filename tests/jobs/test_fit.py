"""The measures for setting out: what can't be, what is worth a second look, and a dish told as an angle."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.makeup import problems
from jobs.makeup.dish import angle_of_dish, dish_from_angle, parse_angle
from jobs.makeup.in_print import DISH, DRAW, STAGGER
from jobs.measures import MeasureError
from tests.factories import IN, makeup

# Sound, with everything told: a box 3 in through, mortises of 1 3/4 by 5/8 in.
TOLD: dict[str, Any] = {
    "stagger_nm": IN // 2,
    "mortise_length_nm": 7 * IN // 4,
    "mortise_width_nm": 5 * IN // 8,
    "box_large_nm": 3 * IN,
    "box_small_nm": 2 * IN,
    "box_length_nm": 9 * IN,
    "bore_large_nm": 2 * IN,
    "bore_small_nm": 3 * IN // 2,
    "draw_nm": IN // 2,
}


def found(**changes: Any) -> list[tuple[str, bool]]:
    return [(each.field, each.refuse) for each in problems(makeup(**TOLD | changes), new_work=True)]


def test_what_is_told_rightly_or_not_at_all_is_nowhere_wrong() -> None:
    assert found() == []
    assert found(**dict.fromkeys(TOLD, None) | {"stagger_nm": 0}) == []
    assert found(draw_nm=0) == []


@pytest.mark.parametrize("field", sorted(set(TOLD) - {"stagger_nm", "draw_nm"}))
def test_nothing_is_no_measure(field: str) -> None:
    assert found(**{field: 0}) == [(field, True)]
    assert found(**{field: -IN}) == [(field, True)]


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("stagger_nm", {"stagger_nm": -1}),
        ("draw_nm", {"draw_nm": -1}),
        ("mortise_length_nm", {"mortise_length_nm": 19 * IN // 2}),
        ("stagger_nm", {"stagger_nm": 10 * IN, "mortise_length_nm": None}),
        # Fourteen on a circle 8 in through stand 1.780 in apart.
        ("mortise_width_nm", {"mortise_width_nm": 179 * IN // 100}),
        # The box is 2 2/3 in through under the mortises' back edge: the feet end 1.583 in from the middle; of 0.71 in
        # mortises meet 0.355 / sin(12.857°) = 1.595 in from it, of 0.70 in 1.573 in.
        ("mortise_width_nm", {"mortise_width_nm": 71 * IN // 100}),
        ("box_large_nm", {"box_large_nm": 15 * IN // 2, "box_small_nm": 15 * IN // 2, "bore_large_nm": None}),
        ("box_small_nm", {"box_small_nm": 13 * IN // 4}),
        ("box_large_nm", {"box_large_nm": 8 * IN}),
        ("bore_small_nm", {"bore_small_nm": 15 * IN // 8, "bore_large_nm": 7 * IN // 4}),
        ("bore_large_nm", {"bore_large_nm": 3 * IN}),
        ("bore_small_nm", {"bore_small_nm": 2 * IN}),
        # 1.78 % of 46 in × pi is 2.572 in.
        ("draw_nm", {"draw_nm": 258 * IN // 100}),
    ],
)
def test_what_cannot_be_is_refused(field: str, changes: dict[str, Any]) -> None:
    assert (field, True) in found(**changes)


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("stagger_nm", {"spokes": 13, "rim": "bent", "felloes": 2}),
        ("box", {"box": "none"}),
        ("hub", {"hub": "bolted"}),
        ("box_length_nm", {"box_length_nm": 11 * IN}),
        ("draw_nm", {"draw_nm": 5 * IN // 4 + 1}),
        ("draw_nm", {"tyre": "none", "tyre_width_nm": 0, "tyre_thickness_nm": 0, "fastening": "plain"}),
    ],
)
def test_what_is_unusual_is_warned_of(field: str, changes: dict[str, Any]) -> None:
    assert found(**changes) == [(field, False)]


@pytest.mark.parametrize(
    "changes",
    [
        {"mortise_width_nm": 178 * IN // 100, "box_large_nm": None, "box_small_nm": None},
        {"mortise_width_nm": 70 * IN // 100},
        # Rows that the stagger keeps apart have only every second neighbour to meet.
        {"mortise_width_nm": 3 * IN // 4, "stagger_nm": 7 * IN // 4},
        {"draw_nm": 5 * IN // 4},
        {"box_small_nm": 3 * IN, "bore_large_nm": 3 * IN - 1},
        {"box_length_nm": 10 * IN},
    ],
)
def test_what_just_goes_is_let_be(changes: dict[str, Any]) -> None:
    assert found(**changes) == []


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("4°", 4), ("4 deg", 4), ("3.5 degrees", Fraction(7, 2)), ("3,5º", Fraction(7, 2)), ("3 3/4°", Fraction(15, 4))],
)
def test_an_angle_is_read(text: str, degrees: Fraction) -> None:
    assert parse_angle(text) == degrees


@pytest.mark.parametrize("text", ["4", "4 in", "1 1/4", "", "4° 30'", "degrees"])
def test_what_bears_no_degree_mark_is_no_angle(text: str) -> None:
    assert parse_angle(text) is None


@pytest.mark.parametrize("text", ["45°", "90 deg", "3/0°"])
def test_an_angle_that_no_spoke_leans_by_is_refused(text: str) -> None:
    with pytest.raises(MeasureError, match=r"too steep|divides by nothing"):
        parse_angle(text)


@given(st.floats(0, 44.9), st.integers(50, 800), st.integers(60, 900))
def test_an_angle_comes_back_from_its_dish(degrees: float, hub_mm: int, spoke_mm: int) -> None:
    radii = {"hub_radius_nm": hub_mm * 1e6, "rim_inner_radius_nm": (hub_mm + spoke_mm) * 1e6}
    dish = dish_from_angle(degrees, **radii)
    assert dish % 10_000 == 0
    # Half of a hundredth of a millimetre on the shortest spoke is 0.005 of a degree.
    assert angle_of_dish(dish, **radii) == pytest.approx(degrees, abs=0.006)


def test_there_is_no_angle_without_a_spoke() -> None:
    with pytest.raises(ValueError, match="some way from the hub"):
        angle_of_dish(IN, rim_inner_radius_nm=4 * IN, hub_radius_nm=4 * IN)


def test_books_are_shown_in_the_shops_units() -> None:
    assert [each.value("in") for each in STAGGER] == ["1/2 in"]
    # Burgess, 1881: 1 1/2 to 2 1/2 in; Hasluck: 3/8 to 1 1/4 in.
    assert DISH[0].value("in") == "1 1/2 in to 2 1/2 in"
    assert DRAW[0].value("mm") == "about 9.52 mm to 31.75 mm"
    assert max(each.high_nm for each in DRAW) / min(each.high_nm for each in DRAW) >= 3


def test_an_old_hub_is_only_warned_of() -> None:
    old = problems(makeup(**TOLD | {"mortise_width_nm": 3 * IN // 4}), new_work=False)
    assert [(each.field, each.refuse) for each in old] == [("mortise_width_nm", False)]
