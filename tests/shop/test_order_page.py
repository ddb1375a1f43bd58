"""The page of an order: how far it is, its ledger, what it waits for, its state."""

import re
import uuid
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from jobs.changes import drop_wheel
from jobs.models import Order, Task
from jobs.orders import WheelRow
from shop.asked import Asked
from shop.models import Hand, Shop
from shop.order_page import LedgerRow, OrderPage
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.clock import set_clock
from timing.facts import Cancel, Yield
from timing.moves import MoveWish, move_pieces
from timing.record import cancel, record


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def url(name: str, order: Order, **others: int) -> str:
    return reverse(f"shop:{name}", kwargs={"number": order.number, **others})


def page_of(order: Order, shop: Shop) -> OrderPage:
    order = Order.objects.select_related("customer").get(pk=order.pk)
    return OrderPage(order, Asked(shop, shop.words, "mm", shop.zone, NOW, is_desk=True))


def row(order: Order, shop: Shop, name: str) -> LedgerRow:
    return next(row for part in page_of(order, shop).ledger for row in part.rows if row.name == name)


def test_it_works(desk: Client, order: Order, osk: Hand) -> None:
    record(fact(task(order, "rough-spoke"), osk, made=3, minutes=30), now=NOW)
    page = desk.get(url("order", order)).content.decode()
    for said in ("Wagonette, hind pair", "Just begun:", "Due Friday 20 March", "3 of 28", "near hind", "Cost so far"):
        assert said in page


def test_minutes_stand_against_book_time_and_untimed_pieces_are_named(order: Order, osk: Hand, shop: Shop) -> None:
    rough = task(order, "rough-spoke")
    record(fact(rough, osk, made=4, minutes=44), now=NOW)
    record(fact(rough, osk, made=6, minutes=None), now=NOW)
    found = row(order, shop, "Rough out spoke")
    assert (found.seconds, found.each_seconds, found.over_minutes, found.untimed) == (44 * 60, 660, 20, 6)


def test_timed_pieces_from_another_lot_are_not_untimed(order: Order, osk: Hand, shop: Shop) -> None:
    here, other = task(order, "rough-spoke"), take_pair()
    there = task(other, "rough-spoke")
    record(fact(here, osk, made=6, minutes=60), now=NOW)
    record(fact(there, osk, made=2, minutes=None), now=NOW)
    move_pieces(MoveWish(uuid.uuid4(), here.pk, there.pk, 6, "wanted sooner", osk.user_id, NOW), now=NOW)
    found = row(other, shop, "Rough out spoke")
    assert (found.cells[0].made, found.untimed) == (8, 2)
    assert row(order, shop, "Rough out spoke").untimed == 0


def test_what_was_undone_is_not_untimed(order: Order, osk: Hand, shop: Shop) -> None:
    told = fact(task(order, "rough-spoke"), osk, made=6, minutes=None)
    record(told, now=NOW)
    cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    assert row(order, shop, "Rough out spoke").untimed == 0


def test_unfinished_time_counts_in_the_pace(order: Order, osk: Hand, shop: Shop) -> None:
    rough = task(order, "rough-spoke")
    record(fact(rough, osk, made=2, minutes=10), now=NOW)
    record(fact(rough, osk, made=0, minutes=4), now=NOW)
    assert row(order, shop, "Rough out spoke").each_seconds == 7 * 60


def test_spoiled_is_said_and_made_again(order: Order, osk: Hand, shop: Shop) -> None:
    rough, foot = task(order, "rough-spoke"), task(order, "cut-foot")
    record(fact(rough, osk, made=10), now=NOW)
    record(fact(foot, osk, yields=(Yield(made=4, spoiled=2, reason="timber", lot_id=foot.lot_id),)), now=NOW)
    assert row(order, shop, "Cut foot").cells[0].spoiled == "2 spoiled"
    assert (row(order, shop, "Rough out spoke").cells[0].made, row(order, shop, "Rough out spoke").left) == (8, 20)


def test_how_it_stands_is_said(order: Order, osk: Hand, shop: Shop) -> None:
    rough = task(order, "rough-spoke")
    assert row(order, shop, "Rough out spoke").stands == "28 ready to go on"
    assert row(order, shop, "True and face wheel").stands == "Waits for “drive spoke to the dish gauge”"
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=rough)
    assert row(order, shop, "Rough out spoke").stands == "Under way: Osk; 28 ready to go on"
    record(fact(rough, osk, made=28), now=NOW)
    found = row(order, shop, "Rough out spoke")
    assert (found.stands, found.is_done, found.is_folded) == ("done", True, True)


def test_what_comes_before_another_reason_is_not_said(order: Order, shop: Shop) -> None:
    assert row(order, shop, "Clean off, true the sole").stands == "Waits for “wedge tongue”"


def test_the_shops_own_words_stand(desk: Client, order: Order, shop: Shop) -> None:
    Shop.objects.update(word_hub="nave", word_hubs="naves", word_felloe="felly", word_felloes="fellies")
    page = desk.get(url("order", order)).content.decode()
    assert "Turn nave" in page
    assert "7 fellies" in page
    assert "hub" not in page.split("<main", 1)[1].replace("w-hub", "").replace("--hub", "")


def test_a_set_of_four_is_called_so(shop: Shop) -> None:
    fore = WheelRow(makeup(spokes=12, felloes=6), "fore pair", ["near_fore", "off_fore"])
    hind = WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"])
    assert page_of(take_pair(rows=[fore, hind]), shop).title == "Wagonette, set of four"
    assert page_of(take_pair(rows=[fore]), shop).title == "Wagonette, fore pair"


def test_dropped_work_is_shown_apart(desk: Client, order: Order, osk: Hand, shop: Shop) -> None:
    off = order.lots.get().wheels.get(number=2)
    record(fact(task(order, "turn-hub", off), osk, minutes=65), now=NOW)
    drop_wheel(off, at=NOW)
    assert page_of(order, shop).left_out == [(off, 65 * 60)]
    page = desk.get(url("order", order)).content.decode()
    assert "Dropped or changed" in page
    assert "1 h 05 worked on it" in page


def test_a_hand_sees_the_work_and_no_cost(client: Client, osk: Hand, order: Order) -> None:
    client.force_login(osk.user)
    page = client.get(url("order", order)).content.decode()
    assert "Rough out spoke" in page
    for hidden in ("Cost so far", "Change the order", "Promised", "£"):
        assert hidden not in page


def test_a_missing_order_is_not_found(desk: Client) -> None:
    assert desk.get(reverse("shop:order", args=[999])).status_code == 404


def test_an_order_without_wheels_has_its_page(desk: Client) -> None:
    answer = desk.get(url("order", take_pair(rows=[])))
    assert "No wheels in this order yet." in answer.content.decode()


def test_queries_do_not_grow_with_wheels(desk: Client, django_assert_max_num_queries: DjangoAssertNumQueries) -> None:
    few = take_pair()
    many = take_pair(rows=[WheelRow(makeup(), "loose", ["loose"] * 12), WheelRow(makeup(), "pair", ["near", "off"])])
    with django_assert_max_num_queries(40) as counted:
        desk.get(url("order", few))
    with django_assert_max_num_queries(len(counted)):
        desk.get(url("order", many))


def test_an_order_goes_on_in_its_life(desk: Client, order: Order) -> None:
    for seen, state in (("taken", "in_hand"), ("in_hand", "ready"), ("ready", "fetched"), ("fetched", "paid")):
        assert desk.post(url("order-state", order), {"seen": seen, "state": state}).status_code == 302
    order.refresh_from_db()
    assert order.state == Order.State.PAID
    assert order.ended_on is not None


def test_ready_is_led_with_only_once_the_work_is_done(desk: Client, order: Order, osk: Hand) -> None:
    Order.objects.update(state=Order.State.IN_HAND)
    record(fact(task(order, "rough-spoke"), osk, made=5), now=NOW)
    page = desk.get(url("order", order)).content.decode()
    assert "Say it is ready" not in page.partition("<h2>Change the order</h2>")[0]
    assert "Say it is ready, though work is left" in page.partition("<h2>Change the order</h2>")[2]
    for row in Task.objects.filter(lot__order=order):
        record(fact(row, osk, made=row.wanted), now=NOW)
    head, _, rest = desk.get(url("order", order)).content.decode().partition("<h2>Change the order</h2>")
    assert '<button class="act" name="state" value="ready">Say it is ready</button>' in head
    assert "Say it is ready" not in rest


def test_no_line_ends_between_a_number_and_its_unit(desk: Client, order: Order) -> None:
    page = desk.get(url("order", order)).content.decode()
    sentence = page.partition('<p class="sentence">')[2].partition("</p>")[0]
    assert re.search("[0-9]\N{NO-BREAK SPACE}h\N{NO-BREAK SPACE}[0-9]{2} of", sentence)
    assert not re.search(r"\d h", sentence)
    assert re.search("Hind pair, [0-9.]+\N{NO-BREAK SPACE}mm", page)


def test_an_order_moved_meanwhile_is_shown_as_it_is(desk: Client, order: Order) -> None:
    Order.objects.update(state=Order.State.DROPPED)
    answer = desk.post(url("order-state", order), {"seen": "taken", "state": "in_hand"})
    assert answer.status_code == 409
    assert "This order was put to “dropped” meanwhile" in answer.content.decode()
    assert Order.objects.get().state == Order.State.DROPPED


@pytest.mark.parametrize("state", ["", "nonsense"])
def test_no_such_state_is_told(desk: Client, order: Order, state: str) -> None:
    answer = desk.post(url("order-state", order), {"seen": "taken", "state": state})
    assert answer.status_code == 409
    assert "There is no such state of an order." in answer.content.decode()


def test_dropping_asks_first_and_keeps_the_work(desk: Client, order: Order, osk: Hand) -> None:
    record(fact(task(order, "rough-spoke"), osk, minutes=90), now=NOW)
    assert "1 h 30 of work" in desk.get(url("order-drop", order)).content.decode()
    assert Order.objects.get().state == Order.State.TAKEN
    for _ in range(2):
        assert desk.post(url("order-drop", order), {"seen": "taken"}).status_code == 302
    assert Order.objects.get().state == Order.State.DROPPED
    assert "1 h 30" in desk.get(url("order", order)).content.decode()


def test_late_is_said_in_words(shop: Shop) -> None:
    assert page_of(take_pair(due_on=NOW.date() - timedelta(days=1)), shop).late == "1 day late"
    assert page_of(take_pair(due_on=date(2026, 3, 20)), shop).late == ""


@pytest.mark.parametrize(("state", "offered"), [("in_hand", True), ("paid", False)])
def test_only_an_open_order_can_wait_for_something(owner: Client, order: Order, state: str, offered: bool) -> None:
    Order.objects.filter(pk=order.pk).update(state=state)
    assert ("It waits for something" in owner.get(f"/orders/{order.number}/").content.decode()) is offered
