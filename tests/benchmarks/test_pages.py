"""Pages with a hundred times the closed orders and stretches, against the example's own: side by side in one run.

BENCHMARK_TIMES=100 is the full size; CI multiplies by ten.
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

from tests.benchmarks.multiply import multiply_closed
from tests.benchmarks.serving import ROOT, environment

TIMES = int(os.environ.get("BENCHMARK_TIMES", "10"))
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

    def seconds(self, path: str) -> float:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(path + "\n")
        self.process.stdin.flush()
        seconds, status, _ = self.process.stdout.readline().split()
        assert status == "200", f"{path} answered {status}"
        return float(seconds)

    def close(self) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(10)
        self.process.stdout.close()


@pytest.fixture(scope="module")
def both(example: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Pages]]:
    """The example, and the example with its closed orders multiplied."""
    big = tmp_path_factory.mktemp("big") / "shop.sqlite3"
    shutil.copy(example, big)
    multiply_closed(big, TIMES - 1)
    opened = [Pages(example), Pages(big)]
    yield opened
    for pages in opened:
        pages.close()


def open_order(database: Path) -> str:
    connection = sqlite3.connect(database)
    rows = connection.execute("SELECT number FROM jobs_order WHERE state = 'in_hand' ORDER BY number")
    number = rows.fetchone()[0]
    connection.close()
    return f"/orders/{number}/"


@pytest.mark.parametrize(
    "path",
    ["/orders/", "{order}", "{order}cost/", "/bench/jobs/", "/smith/", "/day-book/", "/orders/closed/", "/make-ups/"],
)
def test_a_page_stays_as_quick(both: list[Pages], example: Path, path: str) -> None:
    path = path.format(order=open_order(example))
    for pages in both:
        pages.seconds(path)
    # Other work on the machine can only make it look slower than it is: it is asked three times at most.
    for _ in range(3):
        taken = [[pages.seconds(path) for pages in both] for _ in range(ROUNDS)]
        small, big = (statistics.median(column) for column in zip(*taken, strict=True))
        print(f"{path}: {small * 1000:.1f} ms, with {TIMES} times the closed work {big * 1000:.1f}: {big / small:.2f}")
        if big / small <= MOST:
            break
    assert big / small <= MOST
