"""Blanks and felloes on their planks: all there, none over the edge, none in another's way."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.cutting import Blank, CuttingError, Felloe, Laid, LaidFelloe, Plank, plan_felloes, plan_planks

MM = 1_000_000
INCH = 25_400_000
PLANK = Plank(2400 * MM, 300 * MM)

BLANKS = st.lists(
    st.builds(
        Blank,
        st.integers(300, 900).map(lambda mm: mm * MM),
        st.sampled_from([40 * MM, 55 * MM, 70 * MM]),
        st.integers(0, 9),
    ),
    max_size=6,
)
FELLOES = st.builds(
    Felloe,
    st.integers(400, 800).map(lambda mm: mm * MM),
    st.integers(310, 390).map(lambda mm: mm * MM),
    st.integers(5, 9),
    st.integers(1, 20),
)


def apart(one: Laid, other: Laid, kerf: int) -> bool:
    beside = one.x_nm + one.length_nm + kerf <= other.x_nm or other.x_nm + other.length_nm + kerf <= one.x_nm
    above = one.y_nm + one.width_nm + kerf <= other.y_nm or other.y_nm + other.width_nm + kerf <= one.y_nm
    return beside or above


@given(BLANKS, st.integers(0, 5).map(lambda mm: mm * MM))
def test_every_blank_is_on_a_plank_and_clear_of_the_others(blanks: list[Blank], kerf: int) -> None:
    plan = plan_planks(blanks, PLANK, kerf_nm=kerf, seconds=1)
    laid = [blank for plank in plan.planks for blank in plank]
    assert sorted((each.length_nm, each.width_nm) for each in laid) == sorted(
        (each.length_nm, each.width_nm) for each in blanks for _ in range(each.wanted)
    )
    for plank in plan.planks:
        assert all(each.x_nm + each.length_nm <= PLANK.length_nm for each in plank)
        assert all(each.y_nm + each.width_nm <= PLANK.width_nm for each in plank)
        assert all(apart(one, other, kerf) for place, one in enumerate(plank) for other in plank[:place])
    assert len(plan.planks) >= plan.least


def test_spoke_blanks_are_ripped_and_crosscut() -> None:
    # Three of 600 mm to a strip, four strips of 60 mm to a plank of 300 with a cut of 3: twelve to a plank.
    plan = plan_planks([Blank(600 * MM, 60 * MM, 24, "hind spoke")], PLANK, kerf_nm=3 * MM)
    assert [len(plank) for plank in plan.planks] == [12, 12]
    assert plan.least == 2
    assert {each.x_nm for each in plan.planks[0]} == {0, 603 * MM, 1206 * MM}
    assert {each.y_nm for each in plan.planks[0]} == {0, 63 * MM, 126 * MM, 189 * MM}
    assert plan.yield_share == pytest.approx(24 * 600 * 60 / (2 * 2400 * 300))


def outline(laid: LaidFelloe, steps: int = 40) -> list[tuple[float, float]]:
    """Points all round a felloe."""
    felloe, points = laid.felloe, []
    for step in range(steps + 1):
        angle = felloe.half_angle * (2 * step / steps - 1)
        along = felloe.inner_nm + (felloe.outer_nm - felloe.inner_nm) * step / steps
        for radius, at in (
            (felloe.outer_nm, angle),
            (felloe.inner_nm, angle),
            (along, felloe.half_angle),
            (along, -felloe.half_angle),
        ):
            points.append((laid.x_nm + radius * math.sin(at), laid.y_nm + radius * math.cos(at)))
    return points


def nearest(one: LaidFelloe, other: LaidFelloe) -> float:
    return min(math.dist(here, there) for here in outline(one) for there in outline(other))


@given(st.lists(FELLOES, min_size=1, max_size=2), st.integers(0, 6).map(lambda mm: mm * MM))
def test_every_felloe_is_on_a_plank_and_a_cut_from_the_others(felloes: list[Felloe], kerf: int) -> None:
    wide = Plank(2400 * MM, 900 * MM)
    plan = plan_felloes(felloes, wide, kerf_nm=kerf, seconds=1)
    laid = [each for plank in plan.planks for each in plank]
    assert len(laid) == sum(felloe.wanted for felloe in felloes)
    assert all(sum(each.felloe is felloe for each in laid) == felloe.wanted for felloe in felloes)
    for each in laid:
        for x, y in outline(each):
            assert -1 <= x <= wide.length_nm + 1
            assert -1 <= y <= wide.width_nm + 1
    first = plan.planks[0][:4]
    for place, one in enumerate(first):
        for other in first[:place]:
            # A nanometre for the floats.
            assert nearest(one, other) >= kerf - 1


def test_the_next_of_a_stack_is_exactly_a_cut_off_and_no_further() -> None:
    felloe = Felloe(28.5 * INCH, 25.75 * INCH, 7, wanted=2)
    plan = plan_felloes([felloe], Plank(2400 * MM, 300 * MM), kerf_nm=3 * MM)
    lower, upper = sorted(plan.planks[0], key=lambda each: each.y_nm)
    # The upper one's inner corner stands nearest, on the line from the lower one's middle.
    corner = upper.corners()[2]
    assert math.dist(corner, (lower.x_nm, lower.y_nm)) - felloe.outer_nm == pytest.approx(3 * MM)


def test_a_felloe_needs_as_wide_a_plank_as_its_arc_is_high() -> None:
    # R − (R − depth) cos(π/n) for a wheel of 57 in, seven felloes 2 3/4 in deep: 5.300 in.
    felloe = Felloe(28.5 * INCH, 25.75 * INCH, 7)
    assert felloe.width_nm / INCH == pytest.approx(5.300, abs=5e-4)
    assert len(plan_felloes([felloe], Plank(2400 * MM, round(5.31 * INCH))).planks) == 1
    with pytest.raises(CuttingError, match=r"takes a plank about 134\.\d+ mm wide, and this is 134 mm"):
        plan_felloes([felloe], Plank(2400 * MM, 134 * MM))


def test_stacked_felloes_waste_less_than_one_by_one() -> None:
    felloe = Felloe(28.5 * INCH, 25.75 * INCH, 7, wanted=12)
    one = plan_felloes([felloe], Plank(2400 * MM, 140 * MM), kerf_nm=3 * MM)
    stacked = plan_felloes([felloe], Plank(2400 * MM, 400 * MM), kerf_nm=3 * MM)
    assert stacked.yield_share > 1.2 * one.yield_share


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (
            lambda: plan_planks([Blank(MM, 301 * MM, 1, "spoke")], PLANK),
            "“spoke” is 301 mm wide, and the planks",
        ),
        (lambda: plan_planks([Blank(2401 * MM, MM)], PLANK), "is 2401 mm long"),
        (lambda: plan_planks([Blank(MM, 0)], PLANK), "The width of a blank must be more than nothing"),
        (lambda: plan_planks([Blank(2400 * MM, 300 * MM, 3)], Plank(2400 * MM, 300 * MM, 2)), "It takes 3 planks"),
        (lambda: plan_planks([], Plank(0, MM)), "length and width of a plank"),
        (lambda: plan_felloes([Felloe(2, 3, 7)], PLANK), "The inner radius of a felloe"),
        (lambda: plan_felloes([Felloe(3, 2, 2)], PLANK), "at least 3"),
        (lambda: plan_felloes([Felloe(3, 2, 7, -1)], PLANK), "number wanted of a felloe"),
        (lambda: plan_felloes([Felloe(3, 2, 7)], PLANK, kerf_nm=-1), "The width of the cut"),
    ],
)
def test_what_cannot_be_laid_out_is_refused_in_one_sentence(make, says: str) -> None:
    with pytest.raises(CuttingError, match=says):
        make()
