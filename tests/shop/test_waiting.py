"""What an order waits for: the order book and the order's page say the same."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Hold, Order, Task, Trip
from jobs.orders import place_hold, set_state
from shop.models import Hand
from tests.factories import NOW, fact, take_pair, task
from tests.shop.waits import in_the_book, named, on_its_page
from timing.record import record


@pytest.mark.parametrize("state", Order.OPEN_STATES)
def test_they_say_the_same_in_every_state(owner: Client, order: Order, state: str) -> None:
    Order.objects.filter(pk=order.pk).update(state=state)
    assert in_the_book(owner)[order.number] == named(on_its_page(owner, order.number)) != ""
    place_hold(order, kind=Hold.Kind.CUSTOMER, what="which green", at=NOW, expected_on=date(2026, 3, 9))
    place_hold(order, kind=Hold.Kind.TIMBER, what="elm for 2 hubs", at=NOW)
    said = on_its_page(owner, order.number)
    assert in_the_book(owner)[order.number] == named(said)
    assert said[-2:] == ["The customer’s word, was expected 9 March", "Elm for 2 hubs"]


def test_pieces_that_went_together_are_one_thing(owner: Client, order: Order) -> None:
    near, off = order.lots.get().wheels.order_by("number")
    for place, wheel in enumerate((near, off)):
        weld = task(order, "weld-tyre", wheel)
        Trip.objects.create(task=weld, pieces=1, to_whom="Bram", sent_at=NOW, token=f"{place}" * 32)
    assert on_its_page(owner, order.number) == ["2 with Bram: bend and weld tyre"]
    page = owner.get(reverse("shop:order", args=[order.number])).content.decode()
    assert f"{near.label}, {off.label}, since Monday 2 March" in page


def test_a_closed_order_waits_for_nothing(owner: Client) -> None:
    order = take_pair()
    set_state(order, Order.State.PAID, on=NOW.date())
    assert on_its_page(owner, order.number) == []
    assert "Nothing: it is closed." in owner.get(reverse("shop:order", args=[order.number])).content.decode()


def test_an_order_that_waits_for_the_customer_is_not_said_to_be_done(owner: Client, osk: Hand, order: Order) -> None:
    """A repair that was looked over has no work left until the customer has said what is to be done."""
    for row in Task.objects.filter(lot__order=order):
        record(fact(row, osk, made=row.wanted), now=NOW)
    page = reverse("shop:order", args=[order.number])
    assert "All the work is done." in owner.get(page).content.decode()
    place_hold(order, kind=Hold.Kind.CUSTOMER, what="which felloes", at=NOW)
    said = owner.get(page).content.decode()
    assert "What is to be done next waits for the customer’s word." in said
    assert "All the work is done" not in said
    book = owner.get(reverse("shop:order-book")).content.decode()
    assert "not known yet" in book
    assert ">nothing<" not in book
