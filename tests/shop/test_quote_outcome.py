"""An order beside its quotation, and how the ranges of all that have ended held."""

import uuid
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from jobs.models import Order, Task
from shop.costing import order_cost
from shop.costs_at_once import spent_on
from shop.models import Hand, Quote, Revision
from shop.money import format_pence
from shop.quote_held import read_held
from shop.quote_outcome import Outcome, outcome_of
from shop.quoting.actions import accept, send
from shop.quoting.frozen import freeze, thaw
from shop.quoting.pricing import Cost
from tests.factories import NOW, fact, task
from tests.shop.test_alterations import changed
from tests.shop.test_quoting import TODAY, WORDS, quote, reckoned, sent, wren
from timing.moves import MoveWish, move_pieces
from timing.record import record

__all__ = ["wren"]


def accepted(by: Hand) -> Order:
    one = quote(by)
    return accept(one, sent(one, by), by=by.user, at=NOW, on=TODAY)


def of(order: Order) -> Outcome:
    found = outcome_of(order, words=WORDS, currency="GBP")
    assert found is not None
    return found


def work(order: Order, by: Hand, key: str, *, minutes: float, made: int = 1) -> None:
    record(fact(task(order, key), by, made=made, minutes=minutes, confirmed=True), now=NOW)


@pytest.mark.django_db
def test_each_part_stands_beside_what_was_quoted(wren: Hand, client: Client) -> None:
    order = accepted(wren)
    quoted = thaw(Revision.objects.get().frozen)
    work(order, wren, "shave-spoke", minutes=900, made=28)
    found = of(order)
    labour, overhead = found.parts[:2]
    # Fifteen hours of Wren's £30, and £9 of overhead each.
    assert (labour.actual, overhead.actual, labour.quoted) == (45_000, 13_500, quoted.labour)
    assert labour.more == 45_000 - quoted.labour.likely
    assert (found.actual, found.worked_seconds) == (58_500, 54_000)
    assert found.left == found.price - 58_500
    first = found.first_operations[0]
    assert (first.name, first.actual, first.is_over) == ("Shave spoke", 900, True)
    assert first.likely == pytest.approx(28 * 11, rel=0.05)
    nothing = next(row for row in found.operations if row.name.startswith("Drive"))
    assert (nothing.actual, nothing.is_over) == (0, False)
    client.force_login(wren.user)
    said = client.get(f"/orders/{order.number}/outcome/").text
    assert f"So far it has cost £585.00 of {format_pence(quoted.cost.spread.likely)} that were likely" in said
    Order.objects.update(state="paid", ended_on=date(2026, 4, 1))
    said = client.get(f"/orders/{order.number}/outcome/").text
    assert "It cost £585.00: cheaper than nearly all such orders would be." in said
    assert f"{format_pence(found.left)} was kept" in said.replace("\n", " ")


@pytest.mark.django_db
def test_alterations_that_were_accepted_count_and_are_named(wren: Hand, client: Client) -> None:
    order = accepted(wren)
    plain = of(order)
    one = changed(order, wren)
    draft = one.revisions.get()
    out = send(one, reckoned(draft), seen=draft.token, by=wren.user, at=NOW, on=TODAY)
    assert of(order).price == plain.price
    accept(one, out, by=wren.user, at=NOW, on=TODAY)
    found = of(order)
    assert found.price == plain.price + (out.price_pence or 0)
    off = found.parts[-1]
    assert (off.name, off.quoted.likely) == ("Not spent, by alterations", -thaw(out.frozen).taken_off_pence)
    whole = sum(row.quoted.likely for row in found.parts)
    assert found.quoted.spread.likely == pytest.approx(whole, rel=0.01)
    # Nothing was begun: hours and range are those of the new wheels, not of both.
    new = thaw(out.frozen)
    for part in ("low", "likely", "high"):
        assert getattr(found.hours, part) == pytest.approx(60 * getattr(new.hours, part), rel=0.02)
    wide = new.cost.spread.high - new.cost.spread.low
    assert found.quoted.spread.high - found.quoted.spread.low == pytest.approx(wide, rel=0.02)
    shaving = next(row for row in found.operations if row.name == "Shave spoke")
    assert shaving.likely == pytest.approx(next(row.likely for row in new.work if row.key == "shave-spoke"), rel=0.02)
    client.force_login(wren.user)
    assert f"alteration {one.number}, revision 1" in client.get(f"/orders/{order.number}/outcome/").text


@pytest.mark.django_db
def test_ranges_are_judged_over_all_that_have_ended(wren: Hand, client: Client) -> None:
    client.force_login(wren.user)
    assert "No order that came from a quotation has ended yet" in client.get("/quotes/held/").text
    right, dear, open_still = accepted(wren), accepted(wren), accepted(wren)
    quoted = thaw(Revision.objects.filter(quote__order=right).get().frozen)
    charged = {right: quoted.cost.spread.likely, dear: 2 * quoted.cost.spread.likely}
    for order, pence in charged.items():
        # £39 an hour, all of it work.
        work(order, wren, "rough-spoke", minutes=float(Fraction(pence, 3900) * 60))
    Order.objects.exclude(pk=open_still.pk).update(state="fetched", ended_on=date(2026, 4, 1))
    found = {one.order.number: one for one in read_held().orders}
    assert set(found) == {right.number, dear.number}
    assert found[right.number].cost == pytest.approx(0.5, abs=0.01)
    assert found[dear.number].cost > 0.9
    said = client.get("/quotes/held/").text
    assert "1 of 2 held; with so few, 0 to 2 would be as expected." in said
    assert f"Order {dear.number}, Wagonette" in said
    assert said.count('class="held-dot"') == 1
    assert said.count('class="held-dot held-out"') == 1
    # What was sure had no range to hold: it is no miss.
    sure = freeze(replace(quoted, minutes=None, work=(), cost=Cost(None, quoted.cost.sure)))
    Revision.objects.filter(quote__order=dear).update(frozen=sure)
    assert [one.order for one in read_held().orders] == [right]
    assert of(dear).fell.endswith(" more than was known")
    Revision.objects.filter(quote__order=dear).update(frozen=freeze(quoted))
    with CaptureQueriesContext(connection) as asked:
        read_held()
    another = accepted(wren)
    work(another, wren, "rough-spoke", minutes=60)
    Order.objects.filter(pk=another.pk).update(state="paid", ended_on=date(2026, 5, 1))
    with CaptureQueriesContext(connection) as again:
        assert len(read_held().orders) == 3
    assert len(again) == len(asked)


@pytest.mark.django_db
def test_costs_of_many_orders_at_once_are_those_of_each(wren: Hand, client: Client) -> None:
    orders = [accepted(wren), accepted(wren)]
    for minutes, order in zip((77, 131), orders, strict=True):
        work(order, wren, "shave-spoke", minutes=minutes, made=5)
    move_some(orders, wren)
    told = spent_on([order.pk for order in orders])
    assert [told[order.pk].pence for order in orders] == [order_cost(order).set.total for order in orders]
    assert [told[order.pk].minutes for order in orders] == [77, 131]
    client.force_login(wren.user)
    plain = Order.objects.get(pk=orders[0].pk)
    Quote.objects.filter(order=plain).update(order=None)
    assert "This order came from no quotation" in client.get(f"/orders/{plain.number}/outcome/").text


def move_some(orders: list[Order], by: Hand) -> None:
    """Two shaved spokes go from the first to the second, with what they cost."""
    source, target = (Task.objects.get(lot__order=order, operation__key="shave-spoke") for order in orders)
    move_pieces(MoveWish(uuid.uuid4(), source.pk, target.pk, 2, "fits", by.user_id, NOW), now=NOW)
