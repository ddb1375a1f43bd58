"""Outwork and materials: entered once, taken back by a row, shown on the cost page."""

import uuid
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Order, Wheel
from shop.charges import Charge, ChargeRefused, add_issue, take_back
from shop.models import Hand, Issue, Outwork
from tests.factories import NOW, fact, take_pair, task
from timing.facts import Yield
from timing.record import record


def answers(**changes: object) -> dict[str, object]:
    told = {"token": uuid.uuid4(), "what": "Ash plank", "amount": "12.50", "place": "order"}
    return told | {"on_day": "2", "on_month": "March", "on_year": "2026"} | changes


def wheel(order: Order) -> Wheel:
    return Wheel.objects.filter(lot__order=order)[0]


def charge(order: Order, by: Hand, **changes: object) -> Charge:
    told: dict[str, object] = {"token": uuid.uuid4(), "order": order, "what": "Oak", "amount_pence": 500}
    return Charge(**(told | {"on": date(2026, 3, 2), "by": by.user, "at": NOW} | changes))  # type: ignore[arg-type]


def test_materials_are_entered(owner: Client, order: Order) -> None:
    there = wheel(order)
    url = reverse("shop:issue-new", args=[order.number])
    response = owner.post(url, answers(place=f"wheel-{there.pk}"))
    assert response.headers["Location"] == reverse("shop:cost", args=[order.number])
    row = Issue.objects.get()
    assert (row.amount_pence, row.wheel, row.lot, row.on) == (1250, there, there.lot, date(2026, 3, 2))


def test_the_form_sent_twice_makes_one_row(owner: Client, order: Order) -> None:
    told = answers(trade="smith", to_whom="Bram")
    url = reverse("shop:outwork-new", args=[order.number])
    assert owner.post(url, told).status_code == owner.post(url, told).status_code == 302
    assert Outwork.objects.count() == 1


def test_the_same_token_with_another_amount_is_refused(owner: Client, order: Order) -> None:
    told = answers()
    url = reverse("shop:issue-new", args=[order.number])
    owner.post(url, told)
    response = owner.post(url, told | {"amount": "13"})
    assert response.status_code == 422
    assert "sent before with other content" in response.content.decode()
    assert Issue.objects.get().amount_pence == 1250


@pytest.mark.parametrize(
    ("field", "text", "sentence"),
    [
        ("amount", "12,5", "“12,5” is not an amount of money: write it as 12.50."),
        ("amount", "-3", "“-3” is less than nothing: write an amount from 0 up."),
        ("amount", "1.005", "“1.005” is too fine: GBP has no more than 2 figures after the point here."),
        ("on_year", "2190", "That day has not come yet."),
        ("place", "wheel-0", "That is not offered here: choose again."),
    ],
)
def test_bad_answers_get_one_sentence(owner: Client, order: Order, field: str, text: str, sentence: str) -> None:
    response = owner.post(reverse("shop:issue-new", args=[order.number]), answers(**{field: text}))
    assert response.status_code == 422
    page = response.content.decode()
    assert sentence in page
    assert "Ash plank" in page
    assert not Issue.objects.exists()


def test_a_row_is_taken_back_by_another(owner: Client, order: Order, wren: Hand) -> None:
    row = add_issue(charge(order, wren))
    url = reverse("shop:issue-take-back", args=[row.pk])
    told = {"token": uuid.uuid4(), "reason": "entered twice"}
    owner.post(url, told)
    owner.post(url, told | {"token": uuid.uuid4()})
    assert sorted(Issue.objects.values_list("amount_pence", flat=True)) == [-500, 500]
    page = owner.get(reverse("shop:cost", args=[order.number])).content.decode()
    assert "Taken back: entered twice" in page
    assert "has cost <b>£0.00</b>" in page


def test_what_takes_back_is_not_taken_back(order: Order, wren: Hand) -> None:
    contra = take_back(add_issue(charge(order, wren)), token=uuid.uuid4(), reason="x", by=wren.user, at=NOW)
    with pytest.raises(ChargeRefused, match="takes another back already"):
        take_back(contra, token=uuid.uuid4(), reason="x", by=wren.user, at=NOW)


def test_a_wheel_of_another_order_is_refused(order: Order, wren: Hand) -> None:
    other = wheel(take_pair())
    with pytest.raises(ChargeRefused, match="not of this order"):
        add_issue(charge(order, wren, wheel=other, lot=other.lot))
    assert not Issue.objects.exists()


def test_the_cost_page_opens_every_figure(owner: Client, order: Order, osk: Hand) -> None:
    hub = task(order, "turn-hub", wheel(order))
    record(fact(hub, osk, minutes=60), now=NOW)
    page = owner.get(reverse("shop:cost", args=[order.number])).content.decode()
    assert reverse("shop:task-facts", args=[hub.pk]) in page
    assert f"?open=wheel-{wheel(order).pk}#wheel-{wheel(order).pk}" in page
    assert "No cost rate for Osk" in page


def test_the_facts_of_a_task_name_what_is_missing(owner: Client, order: Order, osk: Hand) -> None:
    hub = task(order, "turn-hub", wheel(order))
    record(fact(hub, osk, minutes=60), now=NOW)
    page = owner.get(reverse("shop:task-facts", args=[hub.pk])).content.decode()
    assert "none for Osk" in page
    assert "2 March 2026, Osk" in page


@pytest.mark.parametrize(("lost", "said"), [(1, "1 unit lost"), (2, "2 units lost")])
def test_lost_units_are_told_by_their_number(owner: Client, order: Order, osk: Hand, lost: int, said: str) -> None:
    tongue = task(order, "tongue-spoke", wheel(order))
    spoiled = Yield(spoiled=2, lost=lost, reason="timber", wheel_id=tongue.wheel_id)
    record(fact(tongue, osk, yields=(spoiled,), confirmed=True), now=NOW)
    assert said in owner.get(reverse("shop:task-facts", args=[tongue.pk])).content.decode()


def test_a_carriage_keeps_the_letters_that_the_customer_gave_it(owner: Client, wren: Hand) -> None:
    order = take_pair(carriage="Mail van GR")
    first = wheel(order)
    issue = add_issue(charge(order, wren))
    there = [
        (reverse("shop:cost", args=[order.number]), "Cost of the set: Mail van GR"),
        (reverse("shop:issue-new", args=[order.number]), "Mail van GR, for"),
        (reverse("shop:issue-take-back", args=[issue.pk]), "Mail van GR, for"),
        (reverse("shop:task-facts", args=[task(order, "turn-hub", first).pk]), "Mail van GR, for"),
        (reverse("shop:as-made", args=[order.number, first.pk]), "Mail van GR, for"),
    ]
    for address, said in there:
        assert said in owner.get(address).content.decode(), address


def test_money_is_for_the_desk(client: Client, order: Order, osk: Hand, bram: Hand) -> None:
    for hand in (osk, bram):
        client.force_login(hand.user)
        for name in ("cost", "outwork-new", "issue-new"):
            assert client.get(reverse(f"shop:{name}", args=[order.number])).status_code == 403


def test_no_such_order(owner: Client) -> None:
    assert owner.get(reverse("shop:cost", args=[999])).status_code == 404
    assert owner.get(reverse("shop:task-facts", args=[999])).status_code == 404
