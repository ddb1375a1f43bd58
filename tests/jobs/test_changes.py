"""Changing a taken order: wheels dropped, make-ups changed, parts made anew, spares, and what is found."""

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.changes import (
    add_found,
    change_details,
    change_makeup,
    drop_task,
    drop_wheel,
    renew_parts,
    set_spares,
    take_back_renewal,
)
from jobs.found import Found, found_so_far, leave_found_out, list_found
from jobs.models import Customer, Hold, Lot, Order, Part, Task, Wheel
from jobs.models.operations import PartKind, Work
from jobs.orders import OrderRefused, WheelRow, lift_hold, place_hold
from jobs.work import load_work
from shop.models import Hand, Shop
from tests.conftest import operation
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.facts import Yield
from timing.record import record

LATER = NOW + timedelta(days=1)


def wheels(order: Order) -> list[Wheel]:
    return list(Wheel.objects.filter(lot__order=order, dropped_at=None).select_related("lot__order"))


def do(order: Order, hand: Hand, key: str, made: int, wheel: Wheel | None = None) -> None:
    record(fact(task(order, key, wheel), hand, made=made), now=NOW)


def left(order: Order, key: str) -> int:
    work = load_work([order], now=NOW)
    return sum(work.left(one) for one in work.tasks(order=order) if one.operation.key == key)


def test_a_dropped_wheel_lowers_what_the_lot_wants(order: Order) -> None:
    near, off = wheels(order)
    drop_wheel(off, at=NOW)
    assert (left(order, "rough-spoke"), left(order, "saw-felloe"), left(order, "coat")) == (14, 7, 3)
    assert left(order, "fire") == 1
    assert {one.wheel_id for one in Task.objects.live().filter(lot=near.lot)} == {None, near.pk}


def test_a_dropped_wheel_keeps_its_facts(order: Order, osk: Hand) -> None:
    off = wheels(order)[1]
    do(order, osk, "chop-mortise", 5, off)
    drop_wheel(off, at=NOW)
    kept = Task.objects.get(wheel=off, operation__key="chop-mortise")
    assert (kept.made, kept.seconds, kept.dropped_at) == (5, 600, NOW)


def test_spokes_driven_into_a_dropped_wheel_are_gone(order: Order, osk: Hand) -> None:
    off = wheels(order)[1]
    for key in ("rough-spoke", "cut-foot", "shave-spoke"):
        do(order, osk, key, 10)
    do(order, osk, "drive-spoke", 10, off)
    drop_wheel(off, at=NOW)
    assert left(order, "shave-spoke") == 14
    assert left(order, "drive-spoke") == 14


def spoil(order: Order, hand: Hand, key: str, pieces: int, wheel: Wheel) -> None:
    there = task(order, key, wheel)
    record(fact(there, hand, made=0, yields=(Yield(task_id=there.pk, spoiled=pieces, reason="timber"),)), now=NOW)


def wanted(order: Order, key: str) -> int:
    return Task.objects.live().get(lot__order=order, operation__key=key).wanted


def test_spokes_spoiled_in_a_dropped_wheel_are_not_made_for_it_again(order: Order, osk: Hand) -> None:
    off = wheels(order)[1]
    do(order, osk, "shave-spoke", 28)
    do(order, osk, "drive-spoke", 14, off)
    spoil(order, osk, "tongue-spoke", 2, off)
    drop_wheel(off, at=NOW)
    assert (wanted(order, "shave-spoke"), left(order, "shave-spoke")) == (26, 0)


def test_spokes_spoiled_in_a_dropped_pressed_hub_are_not_made_for_it_again(shop: Shop, osk: Hand) -> None:
    order = take_pair(rows=[WheelRow(makeup(hub="bolted", bands=(), box="none"), "pair", ["near", "off"])])
    off = wheels(order)[1]
    do(order, osk, "shave-spoke", 28)
    do(order, osk, "press-hub", 1, off)
    spoil(order, osk, "tongue-spoke", 3, off)
    drop_wheel(off, at=NOW)
    assert (wanted(order, "shave-spoke"), left(order, "shave-spoke")) == (25, 0)


def test_spokes_pressed_into_a_dropped_wheel_are_gone(shop: Shop, osk: Hand) -> None:
    row = WheelRow(makeup(hub="bolted", bands=(), box="none"), "pair", ["near", "off"])
    order = take_pair(rows=[row])
    off = wheels(order)[1]
    do(order, osk, "shave-spoke", 20)
    do(order, osk, "press-hub", 1, off)
    drop_wheel(off, at=NOW)
    assert left(order, "shave-spoke") == 8


def test_dropping_twice_changes_nothing(order: Order) -> None:
    off = wheels(order)[1]
    drop_wheel(off, at=NOW)
    drop_wheel(off, at=LATER)
    assert left(order, "rough-spoke") == 14
    assert Wheel.objects.get(pk=off.pk).dropped_at == NOW


def test_the_last_wheel_dropped_drops_the_lot_and_its_holds(order: Order) -> None:
    lot = order.lots.get()
    for wheel in wheels(order):
        place_hold(order, kind=Hold.Kind.OTHER, what=wheel.label, at=NOW, wheel=wheel)
        drop_wheel(wheel, at=LATER)
    lot.refresh_from_db()
    assert lot.dropped_at == LATER
    assert not Task.objects.live().filter(lot=lot).exists()
    assert not Hold.objects.filter(lifted_at=None).exists()


def test_a_hold_placed_while_the_drop_is_on_its_way_is_lifted(order: Order) -> None:
    placed_at = NOW + timedelta(milliseconds=5)
    for wheel in wheels(order):
        place_hold(order, kind=Hold.Kind.OTHER, what=wheel.label, at=placed_at, wheel=wheel)
    place_hold(order, kind=Hold.Kind.OTHER, what="elm", at=placed_at, lot=order.lots.get())
    for wheel in wheels(order):
        drop_wheel(wheel, at=NOW)
    assert set(Hold.objects.values_list("lifted_at", flat=True)) == {placed_at}


def test_a_changed_make_up_is_a_new_lot_at_the_same_places(order: Order, osk: Hand) -> None:
    do(order, osk, "rough-spoke", 9)
    old = order.lots.get()
    lot = change_makeup(wheels(order), makeup(spokes=12, felloes=6), name="lighter pair", at=NOW)
    assert [(wheel.place, wheel.number) for wheel in lot.wheels.all()] == [("near_hind", 1), ("off_hind", 2)]
    assert (lot.replaces, lot.spokes) == (old, 12)
    assert Task.objects.get(lot=lot, operation__key="rough-spoke").wanted == 24
    assert Task.objects.get(lot=old, operation__key="rough-spoke").made == 9
    assert left(order, "rough-spoke") == 24


def test_one_wheel_of_a_pair_may_change_alone(order: Order) -> None:
    set_spares(order.lots.get(), spokes=2, felloes=1)
    lot = change_makeup(wheels(order)[1:], makeup(spokes=12, felloes=6), name="odd one", at=NOW)
    assert [wheel.label for wheel in wheels(order)] == ["near hind", "off hind"]
    assert (lot.spare_spokes, lot.spare_felloes) == (0, 0)
    assert left(order, "rough-spoke") == 14 + 2 + 12


def test_the_same_change_sent_twice_is_one_change(order: Order) -> None:
    both = wheels(order)
    lots = [change_makeup(both, makeup(spokes=12, felloes=6), name="lighter", at=NOW) for _ in range(2)]
    assert lots[0] == lots[1]
    assert order.lots.count() == 2


def test_a_wheel_dropped_meanwhile_is_told(order: Order) -> None:
    both = wheels(order)
    drop_wheel(both[0], at=NOW)
    with pytest.raises(OrderRefused, match="near hind wheel was changed or dropped meanwhile"):
        change_makeup(both, makeup(spokes=12, felloes=6), name="lighter", at=NOW)
    assert order.lots.count() == 1


def test_a_make_up_that_cannot_be_made_changes_nothing(order: Order) -> None:
    with pytest.raises(OrderRefused, match="13 spokes is odd"):
        change_makeup(wheels(order), makeup(spokes=13), name="odd", at=NOW)
    assert len(wheels(order)) == 2


def test_a_hub_made_anew_has_its_tasks_afresh(order: Order, osk: Hand) -> None:
    near = wheels(order)[0]
    do(order, osk, "chop-mortise", 14, near)
    (part,) = renew_parts(near, [PartKind.HUB], at=NOW)
    fresh = Task.objects.get(part=part, operation__key="chop-mortise")
    assert (fresh.wanted, fresh.made, fresh.origin) == (14, 0, Task.Origin.REWORK)
    assert Task.objects.get(part=part.replaces, operation__key="chop-mortise").made == 14
    assert left(order, "chop-mortise") == 28


def test_a_renewal_is_taken_back_only_while_nothing_is_done(order: Order, osk: Hand) -> None:
    near = wheels(order)[0]
    (part,) = renew_parts(near, [PartKind.HUB], at=NOW)
    assert take_back_renewal(part, at=LATER)
    assert Part.objects.get(wheel=near, kind=PartKind.HUB, dropped_at=None) == part.replaces
    assert left(order, "chop-mortise") == 28
    (again,) = renew_parts(near, [PartKind.HUB], at=LATER)
    do(order, osk, "turn-hub", 1, near)
    assert not take_back_renewal(again, at=LATER)


def test_spares_may_be_raised_and_lowered(order: Order) -> None:
    lot = order.lots.get()
    set_spares(lot, spokes=3, felloes=1)
    assert (left(order, "shave-spoke"), left(order, "plane-felloe")) == (31, 15)
    set_spares(lot, spokes=1, felloes=1)
    set_spares(lot, spokes=1, felloes=1)
    assert (left(order, "shave-spoke"), left(order, "plane-felloe"), left(order, "drive-spoke")) == (29, 15, 28)
    assert Part.objects.get(lot=lot, wheel=None, kind=PartKind.SPOKE).pieces == 29


def details(order: Order, **told: str) -> None:
    """Send the form of a page on which no more than this was changed."""
    shown = {"customer": order.customer.name, "contact": order.customer.contact, "note": order.note}
    change_details(order, carriage="Gig", **{**shown, **told})
    order.refresh_from_db()


@pytest.mark.parametrize(
    ("known", "typed", "kept"),
    [("tel 2", "tel 1", "tel 2"), ("tel 2", "tel 3", "tel 2"), ("", "tel 1", ""), ("", "tel 3", "tel 3")],
)
def test_another_known_customer_is_reached_as_before(order: Order, known: str, typed: str, kept: str) -> None:
    """The form comes with the first customer's contact, which is not the other's."""
    take_pair(customer="Bob Tarrant", contact=known)
    details(order, contact="tel 1")
    details(order, customer="bob tarrant", contact=typed)
    assert (order.customer.name, order.customer.contact) == ("Bob Tarrant", kept)
    assert Customer.objects.get(name="Corbel Hall stables").contact == "tel 1"


def test_a_contact_is_put_right_and_taken_away(order: Order) -> None:
    for contact in ("tel 1", "tel 4", ""):
        details(order, contact=contact)
        assert order.customer.contact == contact


def test_details_sent_twice_are_kept_once(order: Order) -> None:
    for _ in range(2):
        details(order, note="by rail\r\non Friday")
    assert order.note == "by rail\r\non Friday"


def test_details_are_put_right(order: Order) -> None:
    details(order, customer="Hob Larkin", contact="the ford", note="by rail")
    assert (order.customer.name, order.customer.contact) == ("Hob Larkin", "the ford")
    assert (order.carriage, order.note) == ("Gig", "by rail")
    assert Customer.objects.filter(name="Corbel Hall stables").exists()


def repair(work: str = Work.NEW_FELLOES) -> Order:
    return take_pair(rows=[WheelRow(makeup(), "old pair", ["near", "off"], work=work)])


def test_found_work_is_marked_and_asked_for_again_adds(shop: Shop) -> None:
    order = repair()
    near = wheels(order)[0]
    saw = operation("saw-felloe")
    add_found(near.lot, saw, wanted=2, wheel=near)
    found = add_found(near.lot, saw, wanted=1, wheel=near)
    assert (found.wanted, found.origin, found.wheel, found.part.kind) == (3, Task.Origin.FOUND, None, PartKind.FELLOE)


def test_found_work_of_a_wheel_stays_with_it(shop: Shop) -> None:
    order = repair()
    near = wheels(order)[0]
    found = add_found(near.lot, operation("offer-up-felloe"), wanted=2, wheel=near)
    assert (found.wheel, found.wanted, found.units) == (near, 2, 1)
    assert add_found(near.lot, operation("tighten-rim"), wanted=1, wheel=near).units == 1


def test_found_work_left_out_and_listed_again_begins_afresh(shop: Shop) -> None:
    order = repair()
    near = wheels(order)[0]
    saw = operation("saw-felloe")
    drop_task(add_found(near.lot, saw, wanted=3, wheel=near), at=NOW)
    assert add_found(near.lot, saw, wanted=2, wheel=near).wanted == 2
    assert left(order, "saw-felloe") == 2


def list_felloes(wheel: Wheel, number: int) -> Hold:
    told = {operation("saw-felloe"): number, operation("offer-up-felloe"): number}
    return list_found(Found(wheel, told, f"{wheel.label}: {number}"), seen=found_so_far(wheel.lot), at=NOW)


def found_in(lot: Lot) -> dict[tuple[str, int | None], int]:
    rows = Task.objects.live().filter(lot=lot, origin=Task.Origin.FOUND).select_related("operation", "wheel")
    return {(row.operation.key, row.wheel.number if row.wheel else None): row.wanted for row in rows}


def test_what_was_found_is_still_wanted_of_a_changed_make_up(shop: Shop) -> None:
    order = repair()
    near, off = wheels(order)
    lift_hold(list_felloes(near, 2), at=NOW)
    asked = list_felloes(off, 3)
    lot = change_makeup([near, off], makeup(coats=4), name="old pair", at=LATER)
    assert found_in(lot) == {("saw-felloe", None): 5, ("offer-up-felloe", 1): 2, ("offer-up-felloe", 2): 3}
    assert Hold.objects.get(lifted_at=None).lot == lot
    leave_found_out(asked, at=LATER)
    assert found_in(lot) == {("saw-felloe", None): 2, ("offer-up-felloe", 1): 2}


def test_what_was_found_goes_with_the_wheel_that_is_changed(shop: Shop) -> None:
    order = repair()
    near, off = wheels(order)
    holds = [list_felloes(near, 2), list_felloes(off, 3)]
    lot = change_makeup([off], makeup(coats=4), name="off", at=LATER)
    assert found_in(near.lot) == {("saw-felloe", None): 2, ("offer-up-felloe", 1): 2}
    assert found_in(lot) == {("saw-felloe", None): 3, ("offer-up-felloe", 2): 3}
    assert [Hold.objects.get(pk=hold.pk, lifted_at=None).lot for hold in holds] == [near.lot, lot]
    leave_found_out(holds[1], at=LATER)
    assert (found_in(lot), len(found_in(near.lot))) == ({}, 2)


@pytest.mark.parametrize("count", [1, 2])
def test_what_was_found_before_it_was_listed_by_the_wheel_is_shared_out(shop: Shop, count: int) -> None:
    order = repair()
    both = wheels(order)
    add_found(both[0].lot, operation("saw-felloe"), wanted=4)
    lot = change_makeup(both[:count], makeup(coats=4), name="old pair", at=LATER)
    assert found_in(lot) == {("saw-felloe", None): 2 * count}
    assert left(order, "saw-felloe") == 4


def test_what_wheels_wait_for_their_successors_wait_for(order: Order) -> None:
    near, off = wheels(order)
    place_hold(order, kind=Hold.Kind.TIMBER, what="elm", at=NOW, wheel=off)
    place_hold(order, kind=Hold.Kind.GOODS, what="boxes", at=NOW, lot=near.lot)
    place_hold(order, kind=Hold.Kind.OTHER, what="room", at=NOW)
    one = change_makeup([off], makeup(coats=4), name="off", at=LATER)
    open_holds = Hold.objects.filter(lifted_at=None).order_by("what", "lot")
    told = [(hold.what, hold.lot, hold.wheel and hold.wheel.lot) for hold in open_holds]
    assert told == [("boxes", near.lot, None), ("boxes", one, None), ("elm", one, one), ("room", None, None)]
    other = change_makeup([near], makeup(coats=4), name="near", at=LATER)
    assert set(open_holds.filter(what="boxes").values_list("lot", flat=True)) == {one.pk, other.pk}
    assert not Hold.objects.exclude(lifted_at=None).exists()


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(shaved=st.integers(0, 28), driven=st.integers(0, 14), spares=st.integers(0, 4))
def test_after_a_drop_there_are_enough_spokes_for_the_other(
    shop: Shop, osk: Hand, shaved: int, driven: int, spares: int
) -> None:
    """Whatever was made and driven, what is left to shave fills the wheel that stays, and the spares."""
    row = WheelRow(makeup(), "pair", ["near", "off"], spare_spokes=spares)
    order = take_pair(rows=[row])
    driven = min(shaved, driven)
    off = wheels(order)[1]
    if shaved:
        do(order, osk, "shave-spoke", shaved)
    if driven:
        do(order, osk, "drive-spoke", driven, off)
    drop_wheel(off, at=NOW)
    assert left(order, "shave-spoke") == max(0, 14 + spares - (shaved - driven))
