"""What is away: listed until it is back, and counted in pieces, whatever units the work on them is counted in."""

import uuid
from datetime import UTC, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Trip
from shop.asked import Asked
from shop.charges import Charge
from shop.costing import order_cost
from shop.models import Hand, Shop
from shop.order_page import OrderPage
from shop.pieces import pieces_with
from shop.trade_acts import Made, TradeRefused, bring_back, send
from shop.trades import read_list
from shop.waiting import trips_away
from tests.factories import NOW, fact, lot_of, task
from timing.facts import Cancel
from timing.models import Stretch
from timing.record import cancel, record


def go_away(one: Task, pieces: int | None = None, to_whom: str = "Bram") -> Trip:
    return send(one, token=uuid.uuid4(), to_whom=to_whom, expected_on=None, pieces=pieces, at=NOW)


@pytest.fixture
def hoop(order: Order) -> Task:
    """The first wheel's hoop."""
    return task(order, "weld-tyre", lot_of(order).wheels.get(number=1))


def drop_its_wheel(hoop: Task, osk: Hand) -> None:
    assert hoop.wheel
    drop_wheel(hoop.wheel, at=NOW)


def finish_at_the_bench(hoop: Task, osk: Hand) -> None:
    record(fact(hoop, osk, made=hoop.wanted), now=NOW)


@pytest.mark.parametrize(
    ("meanwhile", "why"), [(drop_its_wheel, "left out of the order"), (finish_at_the_bench, "all done")]
)
def test_what_is_away_is_listed_till_it_is_back(
    owner: Client, order: Order, osk: Hand, hoop: Task, meanwhile: object, why: str
) -> None:
    trip = go_away(hoop)
    meanwhile(hoop, osk)  # type: ignore[operator]
    listed = read_list("smith", now=NOW)
    assert (listed.away, [row.trip for row in listed.wanted if row.trip]) == (1, [trip])
    page = owner.get(reverse("shop:smith")).content.decode()
    assert reverse("shop:trade-back", args=[trip.pk]) in page
    assert "1 at the forge." in page
    assert why in page
    assert owner.get(reverse("shop:trade-piece", args=[hoop.pk])).status_code == 200
    assert owner.post(reverse("shop:trade-back", args=[trip.pk]), {"token": uuid.uuid4()}).status_code == 302
    assert trips_away([order])[order.pk] == []
    assert hoop.pk not in [row.task.pk for row in read_list("smith", now=NOW).rows]


def test_what_follows_stands_under_no_piece_that_was_left_out(order: Order, osk: Hand, hoop: Task) -> None:
    for one in Task.objects.filter(lot__order=order, operation__position__lt=hoop.operation.position):
        record(fact(one, osk, made=one.wanted, minutes=None), now=NOW)
    go_away(hoop)
    assert hoop.wheel
    drop_wheel(hoop.wheel, at=NOW)
    listed = read_list("smith", now=NOW)
    then = {
        row.wheel.number: [other.task.operation.key for other in listed.then(row)] for row in listed.wanted if row.wheel
    }
    assert then == {1: [], 2: ["fire", "shrink-tyre"]}


def test_a_wheel_left_out_with_nothing_away_is_not_listed(order: Order, hoop: Task) -> None:
    assert hoop.wheel
    drop_wheel(hoop.wheel, at=NOW)
    assert hoop.wheel_id not in [row.wheel.pk for row in read_list("smith", now=NOW).rows if row.wheel]


def test_two_trips_of_one_task_are_both_listed(owner: Client, order: Order) -> None:
    bands = task(order, "make-band")
    first, second = go_away(bands, 1, "Bram"), go_away(bands, 2, "Forge Lane")
    assert read_list("smith", now=NOW).away == 3
    page = owner.get(reverse("shop:smith")).content.decode()
    assert "to Bram; 2 sent" in page
    for trip in (first, second):
        page = owner.get(reverse("shop:smith")).content.decode()
        assert reverse("shop:trade-back", args=[trip.pk]) in page
        owner.post(reverse("shop:trade-back", args=[trip.pk]), {"token": uuid.uuid4()})
    assert read_list("smith", now=NOW).away == 0


@pytest.fixture
def coats(order: Order) -> Task:
    """Three coats for each of the two wheels."""
    return task(order, "coat")


@pytest.mark.parametrize(("left", "pieces"), [(0, 0), (1, 1), (2, 2), (3, 2), (6, 2)])
def test_units_that_are_left_may_be_on_every_piece(coats: Task, left: int, pieces: int) -> None:
    assert (coats.units, coats.wanted) == (3, 6)
    assert pieces_with(coats, left) == pieces


def test_two_wheels_that_go_for_three_coats_are_two(owner: Client, order: Order, coats: Task) -> None:
    assert go_away(coats, to_whom="Pip").pieces == 2
    page = owner.get(reverse("shop:order", args=[order.number])).content.decode()
    assert "2 with Pip" in page
    assert "6 with Pip" not in page
    assert read_list("painter", now=NOW).away == 2
    page = owner.get(reverse("shop:trade", args=["painter"])).content.decode()
    assert "2 away." in page
    assert "2 sent" in page
    page = owner.get(reverse("shop:trade-piece", args=[coats.pk])).content.decode()
    assert "2 sent to Pip" in page
    assert "Say what is made" not in page


def test_no_more_pieces_go_away_than_there_are(coats: Task, osk: Hand) -> None:
    with pytest.raises(TradeRefused, match="Of it only 2 is here to send"):
        go_away(coats, 3)
    go_away(coats, 1)
    record(fact(coats, osk, made=4), now=NOW)
    assert go_away(coats).pieces == 1
    with pytest.raises(TradeRefused, match="away already"):
        go_away(coats)


def test_the_page_of_a_piece_offers_pieces(owner: Client, order: Order, coats: Task, hoop: Task) -> None:
    response = owner.get(reverse("shop:trade-piece", args=[coats.pk]))
    assert response.context["send_form"].initial["pieces"] == 2
    assert f"Counted in pieces: 3 {coats.operation.done_word} on each." in response.content.decode()
    assert "Counted in pieces" not in owner.get(reverse("shop:trade-piece", args=[hoop.pk])).content.decode()
    go_away(coats, 1)
    assert "Say what is made" in owner.get(reverse("shop:trade-piece", args=[coats.pk])).content.decode()


def test_a_piece_away_takes_its_units_with_it(order: Order, osk: Hand, shop: Shop, coats: Task) -> None:
    for one in Task.objects.filter(lot__order=order, operation__position__lt=coats.operation.position):
        record(fact(one, osk, made=one.wanted, minutes=None), now=NOW)
    assert stands(order, shop, coats) == "6 ready to go on"
    go_away(coats, 1, to_whom="Pip")
    assert stands(order, shop, coats) == "1 with Pip; 3 ready to go on"


def stands(order: Order, shop: Shop, one: Task) -> str:
    page = OrderPage(order, Asked(shop, shop.words, "mm", shop.zone, NOW + timedelta(days=3), is_desk=True))
    return next(row for part in page.ledger for row in part.rows if row.operation == one.operation).stands


def priced(hand: Hand, trip: Trip, units: int | None) -> None:
    """It is back, so many units made, with its price."""
    token, lot = uuid.uuid4(), trip.task.lot
    price = Charge(token, lot.order, "coats", 500, NOW.date(), hand.user, NOW, lot=lot, wheel=trip.task.wheel)
    made = Made(token, trip.task, units, None, hand, hand.user, NOW) if units else None
    bring_back(trip, at=NOW, made=made, price=price, trade="painter", zone=UTC)


@pytest.mark.parametrize("units", [1, 2, 3])
def test_a_price_covers_the_units_that_came_back_with_it(order: Order, osk: Hand, coats: Task, units: int) -> None:
    """One coat that was paid for does not hide two that nobody timed."""
    priced(osk, go_away(coats, 1), units)
    record(fact(coats, osk, made=2, minutes=None), now=NOW)
    assert untimed(order, coats) == [f"Made but not timed, so at no cost here: 2 of “{coats.operation.name}”."]


def test_a_price_alone_covers_the_pieces_that_went(order: Order, osk: Hand, coats: Task) -> None:
    priced(osk, go_away(coats, 1), None)
    record(fact(coats, osk, made=5, minutes=None), now=NOW)
    assert untimed(order, coats) == [f"Made but not timed, so at no cost here: 2 of “{coats.operation.name}”."]


def untimed(order: Order, one: Task) -> list[str]:
    return [note for note in order_cost(order).notes if one.operation.name in note]


def test_units_undone_leave_their_price_for_the_pieces_that_went(order: Order, osk: Hand, coats: Task) -> None:
    priced(osk, go_away(coats, 1), 1)
    told = Stretch.objects.get()
    cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    record(fact(coats, osk, made=3, minutes=None), now=NOW)
    assert untimed(order, coats) == []
