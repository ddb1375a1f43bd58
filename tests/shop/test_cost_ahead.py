"""What an order will have cost when it is done: cost so far and what is to come, on its cost page."""

import uuid
from datetime import UTC, datetime

import pytest
from django.test import Client

from jobs.models import Order, Trip
from shop.cost_ahead import Ahead, cost_ahead
from shop.cost_facts import read_cost_facts
from shop.costing import OrderCost, cost_of
from shop.models import Hand, Issue, Material, Quote, Rate, Revision, Shop
from shop.money import format_pence
from shop.quoting.completion import Listed, yet_to_give
from shop.quoting.frozen import thaw
from shop.rates import RateBook
from shop.stores.actions import Entry, Much, Place, buy, issue
from tests.factories import NOW, take_away, task
from tests.shop.test_quote_outcome import accepted, work
from tests.shop.test_quoting import TODAY, WORDS, wren

__all__ = ["wren"]


def ahead(order: Order) -> tuple[OrderCost, Ahead]:
    order.refresh_from_db()
    facts, rates = read_cost_facts(order), RateBook.load()
    cost = cost_of(facts, rates, WORDS)
    found = cost_ahead(facts, cost, rates, Shop.objects.get(), on=TODAY, words=WORDS, unit="mm")
    assert found is not None
    return cost, found


@pytest.mark.django_db
def test_what_is_to_come_shrinks_as_it_is_done(wren: Hand, client: Client) -> None:
    order = accepted(wren)
    quoted = thaw(Revision.objects.get().frozen or {})
    _, fresh = ahead(order)
    # Nothing done yet, the same rates, prices and usual times: what was quoted, to the penny.
    assert fresh.to_come.spread == quoted.cost.spread
    assert (fresh.to_come.labour, fresh.missing) == (quoted.labour, ())

    work(order, wren, "shave-spoke", minutes=150, made=14)
    Issue.objects.create(
        order=order,
        what="Oak",
        amount_pence=2000,
        on=TODAY,
        recorded_at=NOW,
        recorded_by=wren.user,
        token=uuid.uuid4(),
    )
    cost, half = ahead(order)
    assert half.to_come.material == fresh.to_come.material - 2000
    assert half.units_left == fresh.units_left - 14
    saved = fresh.to_come.labour.likely - half.to_come.labour.likely
    # Of 28 at the book's 11 minutes and £25 an hour, 14 are done: more than half of it is saved, the setting-up too.
    assert 14 * 11 * 2500 / 60 < saved < 28 * 11 * 2500 / 60
    work_likely = half.to_come.spread.likely - half.to_come.sure
    assert sum(half.by_wheel.values()) == pytest.approx(work_likely, abs=2)
    assert cost.set.pence == 150 * 3900 // 60 + 2000

    client.force_login(wren.user)
    page = client.get(f"/orders/{order.number}/cost/").text
    whole = half.to_come.at_completion(cost.set.total).spread
    price = Revision.objects.get().price_pence or 0
    said = f"When it is done it will likely have cost {format_pence(whole.likely)}"
    assert said in page
    assert (
        f"The price is {format_pence(price)} before tax: {format_pence(price - whole.likely)} of it likely left" in page
    )
    assert 'id="at-completion-rule-title"' in page

    Order.objects.filter(pk=order.pk).update(state="fetched", ended_on=TODAY)
    assert "When it is done" not in client.get(f"/orders/{order.number}/cost/").text


@pytest.mark.django_db
def test_what_is_not_known_is_told_and_counts_as_nothing(wren: Hand) -> None:
    order = accepted(wren)
    _, fresh = ahead(order)
    tyre = task(order, "weld-tyre")
    Trip.objects.create(task=tyre, to_whom="forge", sent_at=datetime(2026, 3, 1, tzinfo=UTC), token=uuid.uuid4())
    _, away = ahead(order)
    assert away.units_left == fresh.units_left - 1
    assert away.missing == ("What will be asked for what is away now: “Bend and weld tyre”.",)
    # The smith does it outside, at a price that nobody has told.
    Revision.objects.update(outside=["smith"])
    _, outside = ahead(order)
    assert outside.to_come.labour.likely < away.to_come.labour.likely
    assert "The smith’s work is done outside, and no price of it stands here yet." in outside.missing
    # Without its quotation it is all the shop's again; and a painter without a rate is named.
    Quote.objects.update(order=None)
    take_away(Rate.objects.filter(hand__username="Ann"))
    _, alone = ahead(order)
    assert alone.quoted is None
    painter = "No cost of an hour is kept for a painter hand on 2 March 2026: write it down in Rates."
    assert painter in alone.missing


@pytest.mark.django_db
def test_what_the_rack_gave_is_not_to_come_again(wren: Hand) -> None:
    """By how much of it was given, and not by what that cost: here a third of today's price."""
    order = accepted(wren)
    _, fresh = ahead(order)
    timber = thaw(Revision.objects.get().frozen or {}).timber
    material = Material.objects.get(pk=next(row.material_id for row in timber if row.pence))
    rows = [row for row in timber if row.material_id == material.pk]
    amount, pence = sum(row.bought_millionths for row in rows), sum(row.pence or 0 for row in rows)
    place = Place(order)
    buy(Much(material, amount), Entry(uuid.uuid4(), TODAY, wren.user, NOW), paid_pence=pence // 3)
    issue(Much(material, amount // 2), Entry(uuid.uuid4(), TODAY, wren.user, NOW), place=place)
    cost, half = ahead(order)
    assert half.to_come.material == pytest.approx(fresh.to_come.material - pence / 2, abs=1)
    assert cost.set.materials_pence == pytest.approx(pence / 6, abs=1)
    # The rest, and one piece in ten too many: nothing more of it is to come, and nothing else is wanted less.
    issue(Much(material, amount * 6 // 10), Entry(uuid.uuid4(), TODAY, wren.user, NOW), place=place)
    _, whole = ahead(order)
    assert whole.to_come.material == fresh.to_come.material - pence


def test_less_is_to_come_as_more_was_given() -> None:
    listed = [Listed(1, 10, 100), Listed(1, 20, 230), Listed(None, 0, 50)]
    told = [yet_to_give(listed, given) for given in ({}, {1: 15}, {1: 40}, {1: -5, 2: 9})]
    assert told == [380, 165 + 50, 50, 380]
