"""One sheet for a hot day: which wheels are on it, in which order, and what it says to mind."""

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Measure, Order, Trip, Wheel
from shop.models import Hand, Shop
from tests.factories import NOW, WheelRow, fact, makeup, take_pair, task
from tests.shop.test_growth import queries
from tests.shop.test_order_iron import give_draw, words_of
from tests.shop.test_trades import finish_up_to
from timing.record import record

MM = 1_000_000
IN = 25_400_000


def look(client: Client, *, status: int = 200, **asked: str) -> str:
    answer = client.get(reverse("shop:hot-day"), asked)
    assert answer.status_code == status
    return words_of(answer.content.decode())


@pytest.fixture
def ready(order: Order, osk: Hand) -> Order:
    """Both wheels are ready for their tyres, with a draw of half an inch."""
    finish_up_to(order, "weld-tyre", osk)
    give_draw(order)
    return order


def test_a_fresh_order_is_not_on_it(owner: Client, order: Order) -> None:
    assert "No wheel is ready for its hoop, or nearly." in look(owner)


def test_wheels_ready_for_tyring_with_what_is_still_to_do(owner: Client, ready: Order) -> None:
    page = look(owner)
    assert "Ready now 2 wheels" in page
    assert "Tyre, 2 alike near hind, off hind, hind pair, Wagonette 1 still: Bend and weld tyre, then Shrink on" in page
    assert "about 455 °C" in page


def test_a_wheel_whose_hoop_is_made_stands_apart_and_goes_when_it_is_on(owner: Client, ready: Order, osk: Hand) -> None:
    first = Wheel.objects.filter(lot__order=ready).order_by("number")[0]
    record(fact(task(ready, "weld-tyre", first), osk), now=NOW)
    page = look(owner)
    assert "near hind, hind pair, Wagonette 1 still: Shrink on tyre, quench" in page
    assert "off hind, hind pair, Wagonette 1 still: Bend and weld tyre, then Shrink on" in page
    record(fact(task(ready, "fire"), osk), now=NOW)
    record(fact(task(ready, "shrink-tyre", first), osk), now=NOW)
    page = look(owner)
    assert "near hind" not in page
    assert "Ready now 1 wheel" in page


def test_wheels_that_the_bench_ends_first_are_apart(owner: Client, order: Order, osk: Hand) -> None:
    finish_up_to(order, "run-wheel", osk)
    page = look(owner)
    assert "Ready if the bench ends first 2 wheels" in page
    assert "Ready now" not in page


def test_the_measures_as_made_are_taken(owner: Client, ready: Order, osk: Hand) -> None:
    for wheel in Wheel.objects.filter(lot__order=ready):
        values = {Measure.Kind.RUN: 3675 * MM, Measure.Kind.DRAW: 10 * MM}
        for kind, value in values.items():
            Measure.objects.create(wheel=wheel, kind=kind, value_nm=value, taken_at=NOW, taken_by=osk.user)
    assert "run 3675 mm as made less 10 mm draw as made" in look(owner)


def test_by_bar_and_then_by_heat(owner: Client, ready: Order, osk: Hand) -> None:
    light = makeup(tyre_thickness_nm=3 * IN // 8)
    for carriage, made, draw in (("Gig", makeup(), 6 * MM), ("Trap", light, 12 * MM), ("Dray", makeup(), 18 * MM)):
        other = take_pair(carriage=carriage, rows=[WheelRow(made, "pair", ["near", "off"])])
        finish_up_to(other, "weld-tyre", osk)
        give_draw(other, draw)
    page = look(owner)
    places = [page.index(f"{name} ") for name in ("Trap", "Gig", "Wagonette", "Dray")]
    assert places == sorted(places)


def test_a_wheel_without_a_draw_stands_last_and_says_so(owner: Client, ready: Order, osk: Hand) -> None:
    other = take_pair(carriage="Gig")
    finish_up_to(other, "weld-tyre", osk)
    page = look(owner)
    assert page.index("Wagonette 1") < page.index("Gig 2")
    assert "No draw is told. Give it in the make-up" in page
    assert "without 2 whose draw is missing or wrong" in page


def test_a_hoop_that_is_away_is_told(owner: Client, ready: Order) -> None:
    hoop = task(ready, "weld-tyre", Wheel.objects.filter(lot__order=ready).order_by("number")[0])
    Trip.objects.create(task=hoop, to_whom="Ford Lane forge", sent_at=NOW, token=uuid.uuid4())
    assert (
        "near hind, hind pair, Wagonette 1 still: Bend and weld tyre, then Shrink on tyre, quench; away at Ford Lane"
        in look(owner)
    )


def test_five_orders_cost_no_more_queries_than_one(owner: Client, ready: Order, osk: Hand) -> None:
    look(owner)
    few = queries(owner, "/smith/hot-day/")
    for carriage in ("Gig", "Trap", "Dray", "Brake"):
        other = take_pair(carriage=carriage)
        finish_up_to(other, "weld-tyre", osk)
    assert "Ready now 10 wheels" in look(owner)
    assert queries(owner, "/smith/hot-day/") == few


def test_what_to_mind(owner: Client, ready: Order) -> None:
    page = look(owner)
    assert "within 10.7 m of the fire" in page
    assert "60 minutes after the last heat (NFPA 51B, 2019" in page
    assert "Your local rules, your permit and your insurer come before this sheet." in page


def test_clear_ground_in_feet(owner: Client, ready: Order, shop: Shop) -> None:
    shop.units = "in"
    shop.save(update_fields=["units"])
    assert "within 35 ft of the fire" in look(owner)


@pytest.mark.parametrize(
    ("watch", "says"),
    [("59", "59 minutes is under the 60 that NFPA 51B"), ("20", "under the 30 that United States rules ask for")],
)
def test_a_short_fire_watch_is_warned_of(owner: Client, ready: Order, watch: str, says: str) -> None:
    assert says in look(owner, watch=watch)


@pytest.mark.parametrize("watch", ["-1", "2000", "long"])
def test_a_fire_watch_that_cannot_be(owner: Client, ready: Order, watch: str) -> None:
    assert "Fire watch, minutes: Write" in look(owner, status=422, watch=watch)


def test_the_smith_s_list_leads_to_it(client: Client, ready: Order, bram: Hand) -> None:
    client.force_login(bram.user)
    assert reverse("shop:hot-day") in client.get(reverse("shop:smith")).content.decode()
    assert "Ready now 2 wheels" in look(client)


def test_rubber_in_a_channel_is_named_without_a_bar(owner: Client, shop: Shop, osk: Hand) -> None:
    gig = take_pair(
        carriage="Gig", rows=[WheelRow(makeup(tyre="rubber", fastening="plain"), "gig pair", ["near", "off"])]
    )
    finish_up_to(gig, "weld-channel", osk)
    page = look(owner)
    assert "Rubber tyres, whose make-ups keep no measures of the channel: near, Gig 1; off, Gig 1." in page
    assert "Ready now 2 wheels" in page
