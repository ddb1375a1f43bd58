"""From a make-up to parts and tasks: how many of each."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.layout import pieces_in_a_wheel
from jobs.makeup import Band, MakeUp, usual_felloes
from jobs.models import Lot, Order, Part, Task
from jobs.models.operations import PartKind, Work
from jobs.orders import WheelRow
from shop.models import Shop
from tests.factories import IN, makeup, take_pair


def take(made: MakeUp, *, work: str = Work.NEW, places: tuple[str, ...] = ("near", "off"), **spares: int) -> Lot:
    return take_pair(rows=[WheelRow(made, "pair", places, work=work, **spares)]).lots.get()


def wanted(lot: Lot) -> dict[str, int]:
    """Units wanted of each operation over the whole lot."""
    found: dict[str, int] = {}
    for task in Task.objects.filter(lot=lot).select_related("operation"):
        found[task.operation.key] = found.get(task.operation.key, 0) + task.wanted
    return found


@pytest.mark.parametrize("spokes", [8, 12, 14, 16])
def test_an_n_spoke_wheel_has_n_of_each(shop: Shop, spokes: int) -> None:
    lot = take(makeup(spokes=spokes, felloes=usual_felloes(spokes, "sawn")), places=("near",))
    found = wanted(lot)
    of_spokes = (
        "chop-mortise",
        "trim-mortise",
        "rough-spoke",
        "cut-foot",
        "shave-spoke",
        "drive-spoke",
        "tongue-spoke",
        "bore-tongue-hole",
        "wedge-tongue",
    )
    of_felloes = (
        "saw-felloe",
        "plane-felloe",
        "offer-up-felloe",
        "cut-joint",
        "dowel-joint",
        "put-on-rim",
        "bolt-tyre",
    )
    assert {found[key] for key in of_spokes} == {spokes}
    assert {found[key] for key in of_felloes} == {spokes // 2}
    assert {found[key] for key in ("get-out-hub", "turn-hub", "weld-tyre", "shrink-tyre", "fit-box")} == {1}
    assert {found[key] for key in ("make-band", "shrink-band")} == {2}


def test_loose_pieces_are_made_for_the_set_and_the_rest_in_each_wheel(order: Order) -> None:
    lot = order.lots.get()
    assert Task.objects.filter(lot=lot, operation__key="rough-spoke").count() == 1
    assert Task.objects.filter(lot=lot, operation__key="drive-spoke").count() == 2
    assert {task.wanted for task in Task.objects.filter(lot=lot, operation__key="drive-spoke")} == {14}
    assert wanted(lot)["rough-spoke"] == 28


def test_spares_raise_what_the_lot_wants_and_no_wheel(shop: Shop) -> None:
    lot = take(makeup(), spare_spokes=2, spare_felloes=1)
    found = wanted(lot)
    assert {found[key] for key in ("rough-spoke", "cut-foot", "shave-spoke")} == {30}
    assert {found[key] for key in ("saw-felloe", "plane-felloe")} == {15}
    assert (found["drive-spoke"], found["offer-up-felloe"]) == (28, 14)
    assert Part.objects.get(lot=lot, wheel=None, kind=PartKind.SPOKE).pieces == 30


def test_one_fire_serves_the_lot(shop: Shop) -> None:
    assert wanted(take(makeup(), places=("loose",) * 6))["fire"] == 1


def test_coats_are_counted_over_all_wheels(shop: Shop) -> None:
    assert wanted(take(makeup(coats=5, lined=True)))["coat"] == 10
    assert wanted(take(makeup(coats=5, lined=True)))["line"] == 2


def test_nothing_is_asked_for_that_the_make_up_leaves_out(shop: Shop) -> None:
    bare = makeup(coats=0, lined=False, bands=(), box="none", tyre="none", fastening="plain", tyre_width_nm=0)
    found = wanted(take(bare))
    left_out = ("coat", "line", "make-band", "shrink-band", "fit-box", "fire", "weld-tyre", "shrink-tyre", "bolt-tyre")
    assert not set(found) & set(left_out)


def test_a_bent_rim_has_two_halves_and_no_sawing(shop: Shop) -> None:
    found = wanted(take(makeup(rim="bent", felloes=2, spokes=16), places=("near",)))
    assert (found["trim-half-rim"], found["bore-half-rim"], found["plate-joint"], found["rivet-rim"]) == (2, 16, 2, 16)
    assert not {"saw-felloe", "offer-up-felloe", "cut-joint", "put-on-rim"} & set(found)


def test_a_bolted_hub_is_pressed_and_has_no_mortises(shop: Shop) -> None:
    found = wanted(take(makeup(hub="bolted", bands=(), box="none"), places=("near",)))
    assert (found["mitre-foot"], found["press-hub"], found["bolt-flange"]) == (14, 1, 14)
    assert not {"chop-mortise", "turn-hub", "drive-spoke", "cut-foot", "fit-box"} & set(found)


def test_a_rubber_tyre_has_a_channel_and_no_bolts(shop: Shop) -> None:
    found = wanted(take(makeup(tyre="rubber", tyre_thickness_nm=IN), places=("near",)))
    assert (found["weld-channel"], found["fit-rubber"], found["shrink-tyre"]) == (1, 1, 1)
    assert not {"weld-tyre", "bolt-tyre"} & set(found)


def test_a_square_tongue_takes_its_own_operation(shop: Shop) -> None:
    found = wanted(take(makeup(tongue="square"), places=("near",)))
    assert found["square-tongue-spoke"] == 14
    assert "tongue-spoke" not in found


@pytest.mark.parametrize("work", [Work.RETYRE, Work.CUT_AND_SHUT, Work.NEW_FELLOES, Work.NEW_SPOKES, Work.NEW_HUB])
def test_a_repair_begins_with_looking(shop: Shop, work: str) -> None:
    assert wanted(take(makeup(), work=work)) == {"take-in": 2, "strip": 2, "look-over": 2}


def test_a_new_box_needs_no_stripping(shop: Shop) -> None:
    assert wanted(take(makeup(), work=Work.NEW_BOX)) == {"take-in": 2, "draw-box": 2, "fit-box": 2}


def test_a_spoiled_piece_takes_its_units_with_it(order: Order) -> None:
    units = dict(Task.objects.filter(lot__order=order).values_list("operation__key", "units"))
    assert (units["chop-mortise"], units["rough-spoke"], units["bore-tongue-hole"], units["cut-joint"]) == (14, 1, 2, 1)


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    half=st.integers(2, 8),
    bands=st.integers(0, 4),
    wheels=st.integers(1, 4),
    spares=st.integers(0, 5),
)
def test_counts_follow_the_make_up_whatever_it_is(shop: Shop, half: int, bands: int, wheels: int, spares: int) -> None:
    made = makeup(spokes=2 * half, felloes=half, bands=tuple(Band(f"band {n}", IN, IN // 4) for n in range(bands)))
    lot = take(made, places=("loose",) * wheels, spare_spokes=spares)
    found = wanted(lot)
    assert found["rough-spoke"] == 2 * half * wheels + spares
    assert found["drive-spoke"] == found["chop-mortise"] == 2 * half * wheels
    assert found["cut-joint"] == half * wheels
    assert found.get("shrink-band", 0) == bands * wheels
    assert pieces_in_a_wheel(PartKind.FELLOE, made) == half
