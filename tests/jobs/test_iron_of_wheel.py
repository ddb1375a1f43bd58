"""The iron of a wheel is worked out from what was measured, else from the make-up, and says which."""

import math
from dataclasses import replace

import pytest

from jobs.iron import HoopRefused, Taken, bands_of, dish_of, tyre_of
from jobs.makeup import Band
from jobs.models import Measure
from tests.factories import makeup

MM = 1_000_000
WHEEL = replace(makeup(), height_nm=1170 * MM, height_over="wood", tyre="iron")


def test_kinds_of_measures_are_the_ones_that_are_kept() -> None:
    measured = {
        str(Measure.Kind.RUN): 3680 * MM,
        str(Measure.Kind.DRAW): 9 * MM,
        str(Measure.Kind.DISH_BEFORE): 30 * MM,
    }
    tyre = tyre_of(WHEEL, measured, draw_nm=12 * MM)
    assert tyre is not None
    assert (tyre.run, tyre.draw) == (Taken(3680 * MM, "as made"), Taken(9 * MM, "as made"))
    assert dish_of(WHEEL, measured) == Taken(30 * MM, "as made")


def test_a_hoop_that_is_made_goes_by_its_own_inside_run() -> None:
    measured = {
        str(Measure.Kind.RUN): 3680 * MM,
        str(Measure.Kind.DRAW): 9 * MM,
        str(Measure.Kind.INSIDE_RUN): 3669 * MM,
    }
    tyre = tyre_of(WHEEL, measured, draw_nm=12 * MM)
    assert tyre is not None
    hoop = tyre.hoop()
    assert hoop is not None
    assert (hoop.draw_nm, hoop.inside_run_nm) == (11 * MM, 3669 * MM)


def test_a_hoop_that_is_larger_than_the_wheel_is_refused() -> None:
    measured = {str(Measure.Kind.RUN): 3680 * MM, str(Measure.Kind.INSIDE_RUN): 3681 * MM}
    tyre = tyre_of(WHEEL, measured, draw_nm=12 * MM)
    assert tyre is not None
    with pytest.raises(HoopRefused, match="loose"):
        tyre.hoop()


def test_unmeasured_it_goes_by_the_make_up() -> None:
    tyre = tyre_of(WHEEL, {}, draw_nm=12 * MM)
    assert tyre is not None
    assert tyre.run == Taken(math.pi * 1170 * MM, "make-up")
    assert tyre.draw == Taken(12 * MM, "make-up")
    assert dish_of(WHEEL, {}) == Taken(WHEEL.dish_nm, "make-up")


def test_height_over_the_tyre_leaves_the_tyre_out_of_the_run() -> None:
    over = replace(WHEEL, height_over="tyre", tyre_thickness_nm=10 * MM)
    tyre = tyre_of(over, {}, draw_nm=None)
    assert tyre is not None
    assert tyre.run.nm == pytest.approx(math.pi * 1150 * MM)


def test_no_draw_is_assumed() -> None:
    tyre = tyre_of(WHEEL, {}, draw_nm=None)
    assert tyre is not None
    assert (tyre.draw, tyre.hoop()) == (None, None)


def test_a_draw_of_nothing_is_a_draw() -> None:
    tyre = tyre_of(WHEEL, {}, draw_nm=0)
    assert tyre is not None
    hoop = tyre.hoop()
    assert hoop is not None
    assert hoop.inside_run_nm == hoop.run_nm


@pytest.mark.parametrize("kind", ["rubber", "none"])
def test_only_iron_tyres_are_bent_of_bar(kind: str) -> None:
    assert tyre_of(replace(WHEEL, tyre=kind), {}, draw_nm=12 * MM) is None  # type: ignore[arg-type]


def band(name: str, seat_mm: int | None = None) -> Band:
    return Band(name, 25 * MM, 5 * MM, None if seat_mm is None else seat_mm * MM)


def test_bands_go_by_the_seat_as_made_then_the_make_ups_then_the_hub() -> None:
    wheel = replace(WHEEL, bands=(band("back band", 150), band("front band", 140), band("nose band", 120), band("x")))
    measured = {str(Measure.Kind.FRONT_SEAT): 138 * MM}
    back, front, nose, other = bands_of(wheel, measured, draw_nm=3 * MM)
    assert back.run == Taken(math.pi * 150 * MM, "make-up")
    assert front.run == Taken(math.pi * 138 * MM, "as made")
    assert nose.run == Taken(math.pi * 120 * MM, "make-up")
    assert other.run == Taken(math.pi * wheel.hub_diameter_nm, "the hub's diameter")
    assert front.draw == Taken(3 * MM, "given here")


def test_a_seat_that_two_bands_could_have_is_taken_for_neither() -> None:
    wheel = replace(WHEEL, bands=(band("front breast band", 150), band("front band", 140)))
    found = bands_of(wheel, {str(Measure.Kind.FRONT_SEAT): 138 * MM}, draw_nm=None)
    assert [one.run.origin for one in found] == ["make-up", "make-up"]


def test_bands_of_one_name_are_taken_for_neither() -> None:
    wheel = replace(WHEEL, bands=(band("back band", 150), band("back band", 150)))
    found = bands_of(wheel, {str(Measure.Kind.BACK_SEAT): 138 * MM}, draw_nm=None)
    assert [one.run.origin for one in found] == ["make-up", "make-up"]
