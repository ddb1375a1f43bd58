"""The work of an order as pages ask for it: counts, racks, pictures and words."""

from datetime import UTC, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from jobs.models import Hold, Order
from jobs.orders import WheelRow, place_hold
from jobs.work import Work, load_lot, load_work
from shop.models import Hand, Shop
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.record import record
from timing.standing import last_done


def make(order: Order, osk: Hand, key: str, made: int, *, wheel: int | None = None) -> None:
    at = order.lots.get().wheels.get(number=wheel) if wheel else None
    record(fact(task(order, key, at), osk, made=made), now=NOW)


def read(order: Order) -> Work:
    return load_work([order], now=NOW, last_done=last_done([order]))


def test_it_works(order: Order) -> None:
    work = read(order)
    lot = work.lots(order)[0]
    near = work.wheels(lot)[0]
    rough = work.loose_tasks(lot)[2]
    assert (rough.operation.key, rough.wanted, work.left(rough)) == ("rough-spoke", 28, 28)
    assert work.progress(near, lot).spokes == (0.0,) * 14
    assert work.rack(lot).spokes_wanted == 28
    assert work.rack(lot).felloes_wanted == 14


def test_queries_do_not_grow_with_orders(shop: Shop, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    for _ in range(2):
        take_pair()
    with django_assert_num_queries(7):
        load_work(Order.objects.all(), now=NOW)
    take_pair()
    with django_assert_num_queries(7):
        load_work(Order.objects.all(), now=NOW)


def test_one_lot_costs_two_queries(order: Order, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    lot_id = order.lots.get().pk
    with django_assert_num_queries(2):
        lot, work = load_lot(lot_id)
        tasks = work.tasks(lot=lot)
    assert tasks == read(order).tasks(order=order)


def test_rack_holds_loose_pieces_by_how_far_they_are(order: Order, osk: Hand) -> None:
    make(order, osk, "rough-spoke", 5)
    make(order, osk, "cut-foot", 3)
    make(order, osk, "shave-spoke", 2)
    rack = read(order).rack(order.lots.get())
    assert [number for _, number in rack.spokes] == [2, 1, 2]
    assert rack.spokes[0][0] == 1.0
    assert rack.spokes[2][0] == pytest.approx(6 / 23)


def test_driven_spokes_leave_the_rack_for_the_wheel(order: Order, osk: Hand) -> None:
    for key in ("rough-spoke", "cut-foot", "shave-spoke"):
        make(order, osk, key, 14)
    make(order, osk, "drive-spoke", 4, wheel=1)
    work = read(order)
    lot = work.lots(order)[0]
    near, off = work.wheels(lot)
    assert work.rack(lot).spokes == ((1.0, 10),)
    assert work.rack(lot).spokes_wanted == 24
    shares = work.progress(near, lot).spokes
    assert shares[:5] == (pytest.approx(29 / 35), *(pytest.approx(29 / 35),) * 3, 0.0)
    assert not any(work.progress(off, lot).spokes)


def test_a_piece_is_as_far_as_its_last_operation(order: Order, osk: Hand) -> None:
    make(order, osk, "rough-spoke", 5)
    make(order, osk, "shave-spoke", 9)
    assert [number for _, number in read(order).rack(order.lots.get()).spokes] == [9]


def test_a_pressed_hub_takes_its_spokes_from_the_rack(shop: Shop, osk: Hand) -> None:
    row = WheelRow(makeup(hub="bolted", bands=(), box="none"), "pair", ["near", "off"])
    order = take_pair(rows=[row])
    make(order, osk, "shave-spoke", 28)
    make(order, osk, "press-hub", 1, wheel=1)
    work = read(order)
    lot = work.lots(order)[0]
    assert work.rack(lot).spokes == ((1.0, 14),)
    assert work.progress(work.wheels(lot)[0], lot).spokes == (1.0,) * 14


def test_iron_goes_from_made_to_on(order: Order, osk: Hand) -> None:
    lot = order.lots.get()
    near = lot.wheels.get(number=1)
    make(order, osk, "weld-tyre", 1, wheel=1)
    make(order, osk, "make-band", 2)
    progress = read(order).progress(near, lot)
    assert progress.tyre == "made"
    assert progress.bands == ("made", "made")
    make(order, osk, "shrink-tyre", 1, wheel=1)
    make(order, osk, "shrink-band", 2, wheel=1)
    progress = read(order).progress(near, lot)
    assert progress.tyre == "on"
    assert progress.bands == ("on", "on")


def test_what_a_task_waits_for_is_said_in_words(order: Order, osk: Hand, shop: Shop) -> None:
    work = read(order)
    turn = next(task for task in work.tasks(order=order) if task.operation.key == "turn-hub")
    assert work.waiting_for(turn, {"hub": "nave"}, UTC) == ["waits for “get out nave, bore pilot”"]


def test_bands_stand_before_spokes_are_driven(order: Order, osk: Hand) -> None:
    for key, made in (("get-out-hub", 2), ("make-band", 2), ("rough-spoke", 28), ("cut-foot", 28), ("shave-spoke", 28)):
        make(order, osk, key, made)
    for key, made in (("turn-hub", 1), ("strike-out-hub", 1), ("chop-mortise", 14), ("trim-mortise", 14)):
        make(order, osk, key, made, wheel=1)
    make(order, osk, "shrink-band", 2, wheel=1)
    drive = task(order, "drive-spoke", order.lots.get().wheels.get(number=1))
    early = read(order)
    assert early.ready(drive).units == 0
    assert early.waiting_for(drive, {}, UTC) == ["stands after “shrink on band” until 10.30 on 2 March"]
    later = load_work([order], now=NOW + timedelta(minutes=31), last_done=last_done([order]))
    assert later.ready(drive).units == 14


def test_a_hold_stops_what_it_names(order: Order) -> None:
    place_hold(order, kind=Hold.Kind.TIMBER, what="elm for two hubs", at=NOW)
    work = read(order)
    assert all(work.ready(row).units == 0 for row in work.tasks(order=order))
    assert work.holds(order)[0].what == "elm for two hubs"


def test_content_counts_by_book_time(order: Order, osk: Hand) -> None:
    before = read(order).content(order)
    make(order, osk, "rough-spoke", 28)
    after = read(order).content(order)
    assert after.wanted_seconds == before.wanted_seconds
    assert after.done_seconds - before.done_seconds == 28 * 6 * 60
    assert 0 < after.per_cent < 100
