"""No page asks the database more often because there are more orders, or more wheels in one."""

import uuid
from collections.abc import Sequence
from datetime import date, timedelta

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from jobs.models import Order
from jobs.writing import tell_sizes
from shop.attendance import Told, row_of
from shop.models import Attendance, Bonus, Hand, PayRun, PaySheet, PayTerms, Quote, Rate, Shop
from shop.passing import pass_stretches
from shop.pay_reckoned import Settings
from shop.pay_seen import count_facts
from shop.quoting.actions import start_quote
from tests import factories
from tests.factories import fact, makeup, task
from timing.models import Stretch
from timing.record import record

LISTS = (
    "/orders/",
    "/orders/?q=wagonette",
    "/orders/closed/",
    "/bench/jobs/",
    "/smith/",
    "/smith/hot-day/",
    "/trades/painter/",
    "/quotes/",
    "/day-book/",
    "/costs/?from=2026-03-01&to=2026-03-31",
    "/costs/work-in-progress/",
    "/stores/",
    "/quotes/held/",
    "/make-ups/",
    "/times/",
    "/times/rough-spoke/",
    "/times/rough-spoke/?by=hand",
    "/pay/hours/?first=2026-02-10&last=2026-03-09",
    "/pay/bonuses/",
    "/pay/passing/",
    "/pay/runs/",
    "/pay/piece-rates/rough-spoke/?hour=15",
    "/pay/piece-rates/rough-spoke/output/",
    "/bench/pay/",
    "/bench/pay/told/",
    "/bench/here/",
    "/settings/operations/",
    "/settings/records/",
    "/settings/records/customers/",
    "/pay/inspector/?first=2026-02-10&last=2026-03-09",
)
# What has to show what `pay_for` made, or it would grow with nothing.
PAY = ("/pay/hours/?first=2026-02-10&last=2026-03-09", "/pay/bonuses/", "/pay/passing/", "/pay/runs/")

PAIR = factories.WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"])


def queries(client: Client, path: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert client.get(path).status_code == 200
    return len(asked)


def take_worked(osk: Hand, *, count: int, **changes: object) -> list[Order]:
    """Orders, each with a stretch on it and what is paid for it, every third of them closed."""
    orders = []
    for number in range(count):
        order = factories.take_pair(**changes)
        record(fact(task(order, "rough-spoke"), osk), now=factories.NOW)
        if number % 3 == 0:
            order.state = Order.State.PAID
            order.ended_on = factories.NOW.date()
            order.save(update_fields=["state", "ended_on"])
        orders.append(order)
    pay_for(osk, orders)
    # A database that was filled over months knows how big its tables are; without that PostgreSQL plans for none.
    tell_sizes()
    return orders


def pay_for(osk: Hand, orders: list[Order]) -> None:
    """For each order a coming and a going, a bonus and pieces, every third of them passed, all in the open period; and
    a week before it that is closed, with a sheet for every hand."""
    by, told = osk.user, {"recorded_at": factories.NOW}
    begins = date(2026, 2, 10)
    Shop.objects.update(pay_period="month", pay_first_on=begins)
    shop = Shop.objects.get()
    PayTerms.objects.get_or_create(hand=by, by_pieces=True, from_on=begins, defaults=told)
    rough = task(orders[0], "rough-spoke").operation
    Rate.objects.get_or_create(kind="piece", operation=rough, from_on=begins, defaults=told | {"amount_millipence": 1})
    Rate.objects.get_or_create(kind="wage", hand=by, from_on=begins, defaults=told | {"amount_millipence": 1_000_000})
    made = Stretch.objects.filter(passed=None, tallies__task__lot__order__in=orders).order_by("id")
    pass_stretches(list(made.values_list("pk", flat=True)[::3]), by=by, at=factories.NOW)
    there, closed = Attendance.objects.count() // 2, PayRun.objects.count()
    touches, bonuses, runs = [], [], []
    for number in range(len(orders)):
        came = factories.NOW - timedelta(hours=2 * (there + number + 1))
        for kind, at in (("came", came), ("went", came + timedelta(hours=1))):
            touches.append(row_of(Told(uuid.uuid4(), by.pk, kind, at), shop, factories.NOW))
        bonus = {"hand": by, "what": "Fair", "amount_pence": 100, "on": factories.NOW.date(), "recorded_by": by}
        bonuses.append(Bonus(**bonus, **told, token=uuid.uuid4()))
    weeks = [begins - timedelta(weeks=closed + number + 1) for number in range(len(orders))]
    days = [(first, first + timedelta(days=6)) for first in weeks]
    told = {"settings": Settings.of(shop).written(), "closed_at": factories.NOW, "closed_by": by}
    for (first, last), counts in zip(days, count_facts(days), strict=True):
        seen = {"own": list(counts)}
        runs.append(PayRun(first_on=first, last_on=last, token=uuid.uuid4(), seen=seen, **told))
    Attendance.objects.bulk_create(touches)
    Bonus.objects.bulk_create(bonuses)
    PayRun.objects.bulk_create(runs)
    hands = Hand.objects.values_list("user_id", flat=True)
    paid = {"own_pence": 0, "gross_pence": 0, "told": {"currency": "GBP"}}
    PaySheet.objects.bulk_create(PaySheet(run=run, hand_id=pk, **paid) for run in runs for pk in hands)


def begin_quotes(osk: Hand, *, count: int, rows: Sequence[factories.WheelRow] = (PAIR,)) -> Quote:
    """Quotations that are drafts, and the last of them."""
    for _ in range(count):
        told = {"token": uuid.uuid4(), "customer": "Lettice Orme", "carriage": "gig", "rows": rows}
        quote = start_quote(**told, by=osk.user, at=factories.NOW)
    return quote


def test_two_hundred_orders_cost_no_more_than_ten(owner: Client, osk: Hand) -> None:
    take_worked(osk, count=10)
    begin_quotes(osk, count=10)
    few = {path: queries(owner, path) for path in LISTS}
    assert all("Osk" in owner.get(path).content.decode() for path in PAY)
    take_worked(osk, count=190)
    begin_quotes(osk, count=30)
    # The order book asks once more where its first page has room for orders without a day.
    many = {path: queries(owner, path) for path in LISTS}
    assert {path: count for path, count in many.items() if count > few[path]} == {}


def test_two_wheels_and_twelve_and_two_hundred_cost_the_same(owner: Client, osk: Hand) -> None:
    asked = []
    for wheels in (2, 12, 200):
        row = factories.WheelRow(makeup(), "loose wheels", ["loose"] * wheels)
        order = take_worked(osk, count=2, rows=[row])[1]
        wheel = order.lots.get().wheels.all()[0]
        shave = task(order, "rough-spoke")
        quote = begin_quotes(osk, count=1, rows=[row])
        paths = (
            f"/orders/{order.number}/",
            f"/orders/{order.number}/?lot={wheel.lot_id}&after=48",
            f"/orders/{order.number}/cost/",
            f"/orders/{order.number}/iron/",
            f"/orders/{order.number}/cutting/",
            f"/orders/{order.number}/timber/",
            f"/orders/{order.number}/alterations/",
            f"/orders/{order.number}/outcome/",
            f"/orders/{order.number}/wheels/{wheel.pk}/",
            f"/orders/{order.number}/lots/{wheel.lot_id}/",
            f"/orders/{order.number}/lots/{wheel.lot_id}/pace/",
            f"/orders/{order.number}/details/",
            f"/orders/{order.number}/move/",
            f"/quotes/{quote.number}/",
            f"/quotes/{quote.number}/what-if/",
            f"/tasks/{shave.pk}/facts/",
            "/smith/",
            "/smith/hot-day/",
            "/bench/jobs/",
            f"/bench/jobs/?lot={wheel.lot_id}&operation={task(order, 'turn-hub', wheel).operation_id}",
        )
        asked.append([queries(owner, path) for path in paths])
    assert asked[0] == asked[1] == asked[2]
