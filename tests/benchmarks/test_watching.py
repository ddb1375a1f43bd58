"""Pages that stay open ask again and again: what a 304 costs beside its page, and what it costs those who tap."""

import random
import shutil
import statistics
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from itertools import cycle
from pathlib import Path

import pytest

from shop.example import SIGN_IN
from tests.benchmarks.client import PlainClient
from tests.benchmarks.serving import served
from tests.benchmarks.test_pages import in_hand
from tests.benchmarks.test_tap import CLIENTS, ROUNDS, in_parallel, loose_task, tap

PAGES = ("/orders/", "{order}", "{order}cost/", "/smith/", "/day-book/")
MOST_OF_THE_PAGE = 0.35
WATCHING, EVERY_SECONDS = 20, 15.0
MOST_SLOWED = 1.5


@pytest.fixture(scope="module")
def database(example: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    copy = tmp_path_factory.mktemp("watching") / "shop.sqlite3"
    shutil.copy(example, copy)
    return copy


def signed_in(port: int) -> PlainClient:
    client = PlainClient(port)
    client.sign_in("/sign-in/", SIGN_IN[0].name, SIGN_IN[0].secret)
    return client


def page_and_304(client: PlainClient, path: str) -> tuple[float, float]:
    """Seconds of the page, and of the answer that it is still so; a minute that ends between them is no answer."""
    while True:
        status, text, whole = client.ask("GET", path)
        assert status == 200, text[:300]
        status, _, again = client.ask("GET", path, seen=client.tag)
        if status == 304:
            return whole, again


@pytest.fixture(scope="module")
def first(database: Path) -> Iterator[PlainClient]:
    """The owner at a server of their own."""
    with served(database) as port:
        client = signed_in(port)
        yield client
        client.connection.close()


@pytest.mark.parametrize("path", PAGES)
def test_a_304_costs_a_part_of_its_page(first: PlainClient, database: Path, path: str) -> None:
    path = path.format(order=f"/orders/{in_hand(database)['order']}/")
    page_and_304(first, path)  # to warm up, uncounted
    # Other work on the machine can only make it look slower than it is: it is asked three times at most.
    for _ in range(3):
        taken = [page_and_304(first, path) for _ in range(ROUNDS)]
        whole, again = (statistics.median(column) for column in zip(*taken, strict=True))
        print(f"{path}: page {whole * 1000:.1f} ms, 304 {again * 1000:.1f} ms: {again / whole:.2f}")
        if again / whole <= MOST_OF_THE_PAGE:
            break
    assert again / whole <= MOST_OF_THE_PAGE


@contextmanager
def watched(clients: list[PlainClient], path: str) -> Iterator[list[int]]:
    """Meanwhile each client asks for the page as often as an open page does; the statuses of the answers."""
    answered: list[int] = []
    over = threading.Event()

    def watch() -> None:
        for client in cycle(clients):
            if over.wait(EVERY_SECONDS / len(clients)):
                return
            answered.append(client.ask("GET", path, seen=client.tag)[0])

    thread = threading.Thread(target=watch)
    thread.start()
    yield answered
    over.set()
    thread.join()


def test_who_watches_does_not_hold_up_who_taps(first: PlainClient, database: Path) -> None:
    """At its worst: with every tap the page that is watched is another, and is drawn again for each who asks."""
    lot, operation = loose_task(database)
    path = f"/orders/{in_hand(database)['order']}/"
    others = [PlainClient(first.port, dict(first.cookies)) for _ in range(CLIENTS - 1 + WATCHING)]
    clients, watchers = [first, *others[WATCHING:]], others[:WATCHING]
    in_parallel(clients, lambda client: tap(client, lot, operation))  # to warm up, uncounted
    for _ in range(3):
        rounds: list[dict[str, float]] = []
        statuses: list[int] = []
        for _ in range(ROUNDS // 2 + 1):
            rounds.append({})
            for name in random.sample(["quiet", "watched"], 2):
                with watched(watchers, path) if name == "watched" else nullcontext(statuses) as answered:
                    rounds[-1][name], _ = in_parallel(clients, lambda client: tap(client, lot, operation))
                statuses += answered if name == "watched" else []
        slowed = statistics.median(spent["watched"] / spent["quiet"] for spent in rounds)
        print(f"{len(statuses)} answers to {WATCHING} who watch; the taps took {slowed:.2f} times as long")
        if slowed <= MOST_SLOWED:
            break
    for client in others:
        client.connection.close()
    assert set(statuses) <= {200, 304}
    assert statuses
    assert slowed <= MOST_SLOWED
