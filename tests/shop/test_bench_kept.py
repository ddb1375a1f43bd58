"""What a device keeps of the bench, to go on without the network."""

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Order
from jobs.orders import WheelRow
from shop.bench_jobs import ORDERS_A_PAGE
from shop.bench_kept import MOST_KEPT
from shop.models import Hand
from tests.factories import fact, makeup, take_pair, task
from tests.shop.benching import Bench, Wall
from tests.shop.test_weight import weight
from timing.record import record

KEPT = reverse("shop:bench-kept")


@pytest.fixture
def bench(osk: Hand, monkeypatch: pytest.MonkeyPatch) -> Bench:
    Wall(monkeypatch)
    return Bench(osk).come_in()


def templates(bench: Bench) -> list[str]:
    return re.findall(r'data-kept="([^"]+)"', bench.client.get(KEPT).content.decode())


def test_it_holds_the_list_each_job_and_each_kind(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke").pk
    kept = templates(bench)
    assert {"jobs", f"job-{rough}", f"number-{rough}", f"spoiled-{rough}"} <= set(kept)
    assert {"kind-shop", "kind-waiting", "kind-training", "kind-break"} <= set(kept)
    assert len(kept) == len(set(kept))


def test_only_what_is_ready_is_kept(order: Order, bench: Bench, osk: Hand) -> None:
    shave = task(order, "shave-spoke")
    assert f"job-{shave.pk}" not in templates(bench)
    for key in ("rough-spoke", "cut-foot"):
        record(fact(task(order, key), osk, made=4))
    assert f"job-{shave.pk}" in templates(bench)


def test_the_job_in_hand_is_kept_first(bench: Bench) -> None:
    orders = [take_pair(carriage=f"Gig {number}") for number in range(6)]
    last = task(orders[-1], "saw-felloe")
    bench.start(last)
    assert next(key for key in templates(bench) if key.startswith("job-")) == f"job-{last.pk}"


def first_kept(bench: Bench) -> str:
    return next(key for key in templates(bench) if key.startswith("job-"))


def test_the_job_in_hand_is_kept_though_it_is_a_late_wheel_of_many(bench: Bench) -> None:
    set_of_wheels = take_pair(rows=[WheelRow(makeup(), "set", [""] * 24)])
    hub = task(set_of_wheels, "turn-hub", set_of_wheels.lots.get().wheels.all()[16])
    assert f"job-{hub.pk}" not in templates(bench)
    bench.start(hub)
    assert first_kept(bench) == f"job-{hub.pk}"


def test_the_job_in_hand_is_kept_though_it_is_not_ready(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    bench.start(shave)
    assert first_kept(bench) == f"job-{shave.pk}"


def test_the_job_in_hand_is_kept_beyond_the_first_page_and_once(bench: Bench) -> None:
    orders = [take_pair(carriage=f"Gig {number}") for number in range(ORDERS_A_PAGE + 2)]
    last = task(orders[-1], "saw-felloe")
    with CaptureQueriesContext(connection) as before:
        templates(bench)
    bench.start(last)
    with CaptureQueriesContext(connection) as after:
        kept = templates(bench)
    jobs = [key for key in kept if key.startswith("job-")]
    assert jobs[0] == f"job-{last.pk}"
    assert len(jobs) == len(set(jobs)) == MOST_KEPT
    # The lot of the job in hand, and what the hand did last on it.
    assert len(after) <= len(before) + 3


def test_in_a_busy_shop_it_stays_small(bench: Bench) -> None:
    for number in range(8):
        take_pair(carriage=f"Gig {number}")
    jobs = [key for key in templates(bench) if key.startswith("job-")]
    assert len(jobs) == MOST_KEPT
    assert weight(bench.client.get(KEPT).content) < 40_000


def test_the_queries_grow_with_the_jobs_kept_alone(order: Order, bench: Bench) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            bench.client.get(KEPT)
        return len(queries)

    for number in range(8):
        take_pair(carriage=f"Gig {number}")
    full = asked()
    for number in range(8):
        take_pair(carriage=f"Cart {number}")
    assert asked() <= full + 2


def test_a_browser_keeps_the_bench_s_pages_to_go_back_to(order: Order, bench: Bench) -> None:
    """Going back needs no network; asked for again they come from the shop."""
    bench.start(task(order, "rough-spoke"))
    for page in ("bench-job", "bench-jobs", "bench-number", "bench-spoiled"):
        told = bench.client.get(reverse(f"shop:{page}"))["Cache-Control"]
        assert "no-store" not in told
        assert {"private", "no-cache"} <= set(told.replace(" ", "").split(","))


def test_the_worker_comes_from_where_it_may_answer_for_the_bench(client: Client, osk: Hand) -> None:
    answer = client.get(reverse("shop:bench-worker"))
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/javascript")
    assert reverse("shop:bench-worker").startswith(reverse("shop:bench"))
    assert b'"/bench/kept/"' in answer.content
