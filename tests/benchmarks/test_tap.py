"""The tap with its fragment, against the least signed-in view that saves a row: interleaved, at eight clients."""

import os
import random
import shutil
import sqlite3
import statistics
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shop.example import SIGN_IN
from tests.benchmarks.client import PlainClient, new_token
from tests.benchmarks.serving import served

CLIENTS = 8
ROUNDS = int(os.environ.get("BENCHMARK_ROUNDS", "9"))
LEAST_RATIO = 0.25
MOST_P99 = 4.0
PER_ROUND = 8  # requests of each kind, each client, each round


def loose_task(database: Path) -> tuple[int, int]:
    """Lot and operation of loose spokes in an order in hand."""
    connection = sqlite3.connect(database)
    found = connection.execute(
        "SELECT t.lot_id, t.operation_id FROM jobs_task t JOIN jobs_operation o ON o.id = t.operation_id "
        "JOIN jobs_lot l ON l.id = t.lot_id JOIN jobs_order r ON r.id = l.order_id "
        "WHERE o.key = 'shave-spoke' AND r.state = 'in_hand' AND t.dropped_at IS NULL ORDER BY t.wanted DESC, t.id"
    )
    lot, operation = found.fetchone()
    connection.close()
    return int(lot), int(operation)


def tap(client: PlainClient, lot: int, operation: int) -> float:
    now = datetime.now(UTC)
    form = {
        "token": new_token(),
        "lot": str(lot),
        "operation": str(operation),
        "made": "1",
        "started_at": (now - timedelta(seconds=11)).isoformat(),
        "done_at": now.isoformat(),
        "sent_at": now.isoformat(),
    }
    status, text, seconds = client.ask("POST", "/bench/fact/", form)
    assert status == 200, text[:300]
    return seconds


def least(client: PlainClient) -> float:
    status, text, seconds = client.ask("POST", "/least/", {})
    assert status == 200, text[:300]
    return seconds


def in_parallel(clients: list[PlainClient], act: Callable[[PlainClient], float]) -> tuple[float, list[float]]:
    """Seconds in all, and of each answer, of PER_ROUND acts by every client at once."""
    taken: list[float] = []
    faults: list[BaseException] = []

    def run(client: PlainClient) -> None:
        try:
            for _ in range(PER_ROUND):
                taken.append(act(client))
        except AssertionError as fault:
            faults.append(fault)

    threads = [threading.Thread(target=run, args=(client,)) for client in clients]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if faults:
        raise faults[0]
    return time.perf_counter() - begun, taken


@pytest.fixture(scope="module")
def database(example: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    copy = tmp_path_factory.mktemp("tap") / "shop.sqlite3"
    shutil.copy(example, copy)
    return copy


@dataclass(frozen=True)
class Measured:
    """One run: the tap's rate as a share of the least view's, and its slowest hundredth against its median."""

    ratio: float
    p99_of_median: float

    @property
    def is_quick(self) -> bool:
        return self.ratio >= LEAST_RATIO and self.p99_of_median <= MOST_P99


def measure(clients: list[PlainClient], acts: dict[str, Callable[[PlainClient], float]]) -> Measured:
    """Rounds of both views by all clients at once, in chance order."""
    tapped: list[float] = []
    rounds: list[dict[str, float]] = []
    for _ in range(ROUNDS):
        rounds.append({})
        for name in random.sample(sorted(acts), 2):
            rounds[-1][name], taken = in_parallel(clients, acts[name])
            if name == "tap":
                tapped += taken
    # The middle round, so that one in which the machine had other work does not speak for all.
    ratio = statistics.median(spent["least"] / spent["tap"] for spent in rounds)
    median = statistics.median(tapped)
    p99 = statistics.quantiles(tapped, n=100)[98]
    per_second = len(tapped) / sum(spent["tap"] for spent in rounds)
    print(
        f"tap {per_second:.0f}/s, {ratio:.2f} of the least view's rate; "
        f"median {median * 1000:.0f} ms, p99 {p99 / median:.1f} times that"
    )
    return Measured(ratio, p99 / median)


def test_a_tap_is_near_the_least_view(database: Path) -> None:
    lot, operation = loose_task(database)
    owner = SIGN_IN[0]
    acts: dict[str, Callable[[PlainClient], float]] = {
        "tap": lambda client: tap(client, lot, operation),
        "least": least,
    }
    with served(database) as port:
        first = PlainClient(port)
        first.sign_in("/sign-in/", owner.name, owner.secret)
        clients = [first, *(PlainClient(port, dict(first.cookies)) for _ in range(CLIENTS - 1))]
        for act in acts.values():
            in_parallel(clients, act)  # to warm up, uncounted
        # Other work on the machine can only make it look slower than it is: it is asked three times at most.
        for _ in range(3):
            measured = measure(clients, acts)
            if measured.is_quick:
                break
        for client in clients:
            client.connection.close()
    assert measured.ratio >= LEAST_RATIO
    assert measured.p99_of_median <= MOST_P99
