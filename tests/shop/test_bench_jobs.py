"""What is ready to go on with."""

from datetime import date

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Operation, Order
from jobs.orders import place_hold
from shop.models import Hand
from tests.factories import NOW, fact, take_pair, task
from tests.shop.benching import Bench, Wall, text_of
from timing.record import record

JOBS = reverse("shop:bench-jobs")


@pytest.fixture
def bench(osk: Hand, monkeypatch: pytest.MonkeyPatch) -> Bench:
    Wall(monkeypatch)
    return Bench(osk).come_in()


def page(bench: Bench, **asked: object) -> str:
    return text_of(bench.client.get(JOBS, asked))


def test_it_works(order: Order, bench: Bench) -> None:
    shown = page(bench)
    assert "Wagonette" in shown
    assert "Corbel Hall stables, due Fri 20 March" in shown
    assert "Rough out spoke" in shown
    assert "hind pair: 28 ready" in shown


def test_the_most_urgent_order_stands_first(order: Order, bench: Bench) -> None:
    take_pair(carriage="Tip cart", due_on=None)
    take_pair(carriage="Gig", due_on=date(2026, 3, 5))
    shown = page(bench)
    assert shown.index("Gig") < shown.index("Wagonette") < shown.index("Tip cart")


def test_what_is_not_ready_says_why_in_one_order(order: Order, bench: Bench) -> None:
    take_pair()
    assert "waits for" not in page(bench)
    assert "not ready yet" in page(bench)
    shown = page(bench, find=str(order.number))
    assert "Not ready yet" in shown
    assert "waits for “rough out spoke”, 0 of 28" in shown


def test_what_is_held_is_not_ready(order: Order, bench: Bench) -> None:
    place_hold(order, kind="timber", what="ash", at=NOW)
    shown = page(bench, find=str(order.number))
    assert "on hold" in shown
    assert "28 ready" not in shown


def test_each_trade_has_its_own_and_the_others_folded(order: Order, bench: Bench, bram: Hand) -> None:
    for hub in ("get-out-hub", "turn-hub", "strike-out-hub"):
        for row in order.lots.get().tasks.filter(operation__key=hub):
            record(fact(row, bench.hand, made=row.wanted))
    shown = page(bench)
    assert shown.index("Other trades’ work") < shown.index("Make band")
    smith = page(Bench(bram, "forge").come_in())
    assert "Smith work" in smith
    assert smith.index("Make band") < smith.index("Other trades’ work") < smith.index("Rough out spoke")


@pytest.mark.parametrize(("find", "found"), [("2", ["Gig"]), ("wagon", ["Wagonette"]), ("mill", ["Gig"]), ("zz", [])])
def test_orders_are_found_by_number_or_words(order: Order, bench: Bench, find: str, found: list[str]) -> None:
    take_pair(carriage="Gig", customer="Teasel Mill")
    shown = page(bench, find=find)
    assert [name for name in ("Wagonette", "Gig") if f"{name} " in shown] == found


def test_orders_not_at_work_are_left_out(order: Order, bench: Bench) -> None:
    Order.objects.filter(pk=order.pk).update(state=Order.State.DROPPED)
    assert "Nothing is left for your trade here" in page(bench)


def test_an_order_with_nothing_left_for_the_trade_is_left_out(order: Order, bench: Bench) -> None:
    bench_work = Operation.objects.filter(trade="bench")
    for row in order.lots.get().tasks.filter(operation__in=bench_work):
        record(fact(row, bench.hand, made=row.wanted, minutes=None))
    assert "Wagonette" not in page(bench)


def test_what_one_was_last_at_stands_on_top(order: Order, bench: Bench) -> None:
    record(fact(task(order, "saw-felloe"), bench.hand))
    shown = page(bench)
    assert "You were last at Saw felloe hind pair, wagonette 1" in shown


def test_pages_by_orders(order: Order, bench: Bench) -> None:
    for _ in range(7):
        take_pair(due_on=date(2026, 4, 1))
    first, second = page(bench), page(bench, page=2)
    assert "Wagonette 1 " in first
    assert "Wagonette 8 " not in first
    assert "Wagonette 8 " in second
    assert "Less urgent" in first
    assert "More urgent" in second


def test_as_many_queries_for_ten_orders_as_for_forty(order: Order, bench: Bench) -> None:
    counted = []
    for wanted in (10, 40):
        while Order.objects.count() < wanted:
            take_pair()
        with CaptureQueriesContext(connection) as queries:
            page(bench)
        counted.append(len(queries))
    assert counted[0] == counted[1]
    assert counted[0] <= 24


def test_a_nul_in_what_is_looked_for_is_left_out(owner: Client, order: Order) -> None:
    page = owner.get("/bench/jobs/", {"find": f"{order.carriage}\0"})
    assert page.status_code == 200
    assert order.carriage in page.content.decode()
