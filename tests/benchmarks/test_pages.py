"""Pages and taps with a hundred times the closed orders and stretches: side by side in one run.

    BENCHMARK_TALLIES=5000000 BENCHMARK_FOLDER=/somewhere/large pytest -n 0 -s tests/benchmarks/test_pages.py

compares five million tallies of closed orders with fifty thousand (2.7 GB, made in some minutes and kept in the
folder); CI compares forty times the example's own with the example.
"""

import os
import shutil
import sqlite3
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.benchmarks.multiply import closed_tallies, multiply_closed
from tests.benchmarks.serving import ROOT, environment

TALLIES = int(os.environ.get("BENCHMARK_TALLIES", "0"))
FOLDER = os.environ.get("BENCHMARK_FOLDER", "")
TIMES = 40
ROUNDS = 15
MOST = 1.3


class Pages:
    """One process that answers how long each page takes on one database."""

    def __init__(self, database: Path) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.benchmarks.page_worker"],
            cwd=ROOT,
            env=environment(database),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def seconds(self, request: str) -> float:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(request + "\n")
        self.process.stdin.flush()
        seconds, status, _ = self.process.stdout.readline().split()
        assert status == "200", f"{request} answered {status}"
        return float(seconds)

    def close(self) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(10)
        self.process.stdout.close()


@pytest.fixture(scope="module")
def databases(example: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The example, or what is a hundredth of TALLIES; and the same with its closed orders multiplied."""
    folder = Path(FOLDER) if FOLDER else tmp_path_factory.mktemp("big")
    if not TALLIES:
        return example, multiplied(example, folder / "big.sqlite3", TIMES)
    times = TALLIES / closed_tallies(example)
    small = multiplied(example, folder / f"{TALLIES // 100}.sqlite3", max(1, round(times / 100)))
    return small, multiplied(example, folder / f"{TALLIES}.sqlite3", round(times))


def multiplied(example: Path, target: Path, times: int) -> Path:
    """The example with so many times its closed orders; one that was kept is taken as it is."""
    if not target.exists():
        part = target.with_suffix(".part")
        shutil.copy(example, part)
        multiply_closed(part, times - 1)
        part.rename(target)
    return target


@pytest.fixture(scope="module")
def both(databases: tuple[Path, Path]) -> Iterator[list[Pages]]:
    opened = [Pages(database) for database in databases]
    yield opened
    for pages in opened:
        pages.close()


def in_hand(database: Path) -> dict[str, object]:
    """An order in hand, and the lot and operation of loose spokes in it."""
    connection = sqlite3.connect(database)
    found = connection.execute(
        "SELECT r.number, t.lot_id, t.operation_id FROM jobs_task t JOIN jobs_operation o ON o.id = t.operation_id "
        "JOIN jobs_lot l ON l.id = t.lot_id JOIN jobs_order r ON r.id = l.order_id "
        "WHERE o.key = 'shave-spoke' AND r.state = 'in_hand' AND t.dropped_at IS NULL ORDER BY r.number, t.id"
    ).fetchone()
    connection.close()
    return dict(zip(("order", "lot", "operation"), found, strict=True))


def ratio(both: list[Pages], request: str) -> float:
    """How many times as long it takes in the larger shop; the least of three tries."""
    least = float("inf")
    for pages in both:
        pages.seconds(request)
    # Other work on the machine can only make it look slower than it is: it is asked three times at most.
    for _ in range(3):
        taken = [[pages.seconds(request) for pages in both] for _ in range(ROUNDS)]
        small, big = (statistics.median(column) for column in zip(*taken, strict=True))
        print(
            f"{request.partition(' ')[0]}: {small * 1000:.1f} ms, with more closed {big * 1000:.1f}: {big / small:.2f}"
        )
        least = min(least, big / small)
        if least <= MOST:
            break
    return least


PATHS = (
    *("/orders/", "/orders/{order}/", "/orders/{order}/cost/", "/orders/new/", "/orders/closed/"),
    *("/bench/jobs/", "/smith/", "/day-book/", "/make-ups/"),
)
JOB = "lot={lot}&operation={operation}"
MOMENTS = "token={{token}}&made=1&started_at={{began}}&done_at={{now}}&sent_at={{now}}"


@pytest.mark.parametrize("path", PATHS)
def test_a_page_stays_as_quick(both: list[Pages], example: Path, path: str) -> None:
    assert ratio(both, path.format(**in_hand(example))) <= MOST


def test_a_tap_stays_as_quick(both: list[Pages], example: Path) -> None:
    assert ratio(both, f"/bench/fact/ {JOB}&{MOMENTS}".format(**in_hand(example))) <= MOST


def test_growth_is_seen(both: list[Pages], databases: tuple[Path, Path], tmp_path: Path) -> None:
    """The check itself: without the index by which a task finds its tallies, costs are slow in a large shop."""
    if TALLIES:
        pytest.skip("A copy of a database of this size takes long; without BENCHMARK_TALLIES it is tried.")
    worse = tmp_path / "worse.sqlite3"
    shutil.copy(databases[1], worse)
    connection = sqlite3.connect(worse)
    for (name,) in connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'index' AND tbl_name = 'timing_tally' AND sql LIKE '%task_id%'"
    ).fetchall():
        connection.execute(f'DROP INDEX "{name}"')
    connection.close()
    slow = Pages(worse)
    try:
        assert ratio([both[0], slow], "/orders/{order}/cost/".format(**in_hand(databases[0]))) > MOST
    finally:
        slow.close()
