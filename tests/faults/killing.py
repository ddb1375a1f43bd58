"""Posts bench facts from several clients while the server is killed again and again, and counts what became of them.

    python -m tests.faults.killing --facts 20000 --kills 10
    python -m tests.faults.killing --facts 20000 --kills 10 --database-url postgres://…/an_empty_database

Every tenth fact is sent twice, and at every twentieth the client gives up before the answer and sends it again later.
A fact counts as acknowledged once its answer was 2xx. It prints what is missing, doubled or miscounted: 0 each.
"""

import argparse
import csv
import http.client
import itertools
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.benchmarks.client import PlainClient, new_token
from tests.commands import free_port, manage
from tests.started import Served, serve

CLIENTS = 8
TWICE, GIVEN_UP = 10, 20
# The example's owner: not by import, which would want a configured Django.
OWNER = ("Wren", "example-owner")
# What a client meets while the server is down or dies under it.
DOWN = (OSError, http.client.HTTPException)


@dataclass(frozen=True)
class Told:
    """A fact as a device keeps it: the same form at every sending, but for `sent_at`."""

    token: str
    operation: str
    lot: str
    made: int
    done_at: datetime

    def form(self) -> dict[str, str]:
        return {
            "token": self.token,
            "operation": self.operation,
            "lot": self.lot,
            "made": str(self.made),
            "started_at": (self.done_at - timedelta(seconds=40)).isoformat(),
            "done_at": self.done_at.isoformat(),
            "sent_at": datetime.now(UTC).isoformat(),
        }


@dataclass
class Report:
    """How it went. All but the first three must be 0, and `whole` empty."""

    acknowledged: int
    kills: int
    sendings: int
    missing: int
    doubled: int
    strangers: int
    miscounted: int
    whole: str = ""
    refused: list[str] = field(default_factory=list)

    @property
    def is_well(self) -> bool:
        return not (self.missing or self.doubled or self.strangers or self.miscounted or self.whole or self.refused)


class Shop:
    """A shop that can be killed and comes up again on the same port."""

    def __init__(self, data: Path, database_url: str = "", **more: str) -> None:
        """Serve the SQLite shop that is in place, or else the example."""
        self.data = data
        self.port = free_port()
        self.more = more | ({"DATABASE_URL": database_url} if database_url else {})
        self.kills = 0
        self.benches: list[Bench] = []
        options = [] if self.database and self.database.exists() else ["--example"]
        self.served: Served = serve(data, *options, port=self.port, **self.more)

    @property
    def database(self) -> Path | None:
        """The SQLite file, if it is on one."""
        scheme, _, path = self.more.get("DATABASE_URL", f"sqlite:///{self.data}/shop.sqlite3").partition(":///")
        return Path(path) if scheme == "sqlite" else None

    def kill_and_start(self) -> None:
        self.served.kill()
        self.kills += 1
        self.served = serve(self.data, port=self.port, **self.more)

    def manage(self, *words: object) -> "subprocess.CompletedProcess[str]":
        return manage(self.data, *words, **self.more)

    def rows(self, folder: Path, name: str) -> Iterator[dict[str, str]]:
        with (folder / f"{name}.csv").open(newline="", encoding="utf-8-sig") as file:
            yield from csv.DictReader(file)


class Bench:
    """One client, and what it has been told of its facts."""

    def __init__(self, port: int, cookies: dict[str, str], facts: list[Told]) -> None:
        self.client = PlainClient(port, dict(cookies))
        self.facts = facts
        self.acknowledged: list[str] = []
        self.refused: list[str] = []
        self.sendings = 0

    def work(self) -> None:
        try:
            self.tell_all()
        finally:
            self.client.connection.close()

    def tell_all(self) -> None:
        for number, fact in enumerate(self.facts, 1):
            if number % GIVEN_UP == 0:
                self.send_and_give_up(fact)
            for _ in range(2 if number % TWICE == 0 else 1):
                if not self.send_until_answered(fact):
                    return

    def send_and_give_up(self, fact: Told) -> None:
        """The server may have it or not: nobody waits to hear."""
        self.sendings += 1
        try:
            self.client.send("/bench/fact/", fact.form())
        except DOWN:
            time.sleep(0.05)
        finally:
            self.client.connection.close()

    def send_until_answered(self, fact: Told) -> bool:
        while True:
            self.sendings += 1
            try:
                status, text, _ = self.client.ask("POST", "/bench/fact/", fact.form())
            except DOWN:
                self.client.connection.close()
                time.sleep(0.1)
                continue
            if status == 200:
                self.acknowledged.append(fact.token)
                return True
            self.refused.append(f"{status}: {text[:200]}")
            return False


def facts_of(shop: Shop, folder: Path, number: int) -> list[Told]:
    """Facts over the loose pieces of the orders in hand."""
    orders = {row["id"] for row in shop.rows(folder, "jobs_order") if row["state"] == "in_hand"}
    lots = {row["id"] for row in shop.rows(folder, "jobs_lot") if row["order_id"] in orders}
    tasks = [
        (row["operation_id"], row["lot_id"])
        for row in shop.rows(folder, "jobs_task")
        if row["lot_id"] in lots and not row["wheel_id"] and not row["dropped_at"]
    ]
    at = datetime.now(UTC)
    places = itertools.islice(itertools.cycle(tasks), number)
    return [Told(new_token(), *place, 1 + n % 3, at - timedelta(seconds=n)) for n, place in enumerate(places)]


@dataclass
class Run:
    """What was done: the shop as it was before, what was told to it, and by whom."""

    shop: Shop
    before: Path
    told: list[Told]
    benches: list[Bench]


def run(shop: Shop, *, facts: int, kills: int) -> Run:
    """Do it to a shop that is served and has nothing but the example; it is stopped afterwards."""
    try:
        before = shop.data / "before"
        shop.manage("export", before)
        told = facts_of(shop, before, facts)
        owner = PlainClient(shop.port)
        owner.sign_in("/sign-in/", *OWNER)
        owner.connection.close()
        benches = [Bench(shop.port, owner.cookies, told[place::CLIENTS]) for place in range(CLIENTS)]
        shop.benches = benches
        threads = [threading.Thread(target=bench.work) for bench in benches]
        for thread in threads:
            thread.start()
        for number in range(1, kills + 1):
            # Spread over the whole run: each kill meets clients at work.
            while sum(len(bench.acknowledged) for bench in benches) < facts * number / (kills + 1):
                if not any(thread.is_alive() for thread in threads):
                    break
                time.sleep(0.01)
            shop.kill_and_start()
        for thread in threads:
            thread.join()
    finally:
        shop.served.stop()
    return Run(shop, before, told, benches)


def count_up(done: Run) -> Report:
    """Compare what the clients were told with what the database holds."""
    shop, before, benches = done.shop, done.before, done.benches
    after = shop.data / "after"
    exported = shop.manage("export", after)
    acknowledged = {token for bench in benches for token in bench.acknowledged}
    stood = {row["token"] for row in shop.rows(before, "timing_stretch")}
    stretches = [row for row in shop.rows(after, "timing_stretch") if row["token"] not in stood]
    there = Counter(row["token"] for row in stretches)
    made: Counter[tuple[str, str]] = Counter()
    for fact in done.told:
        made[fact.operation, fact.lot] += fact.made if fact.token in there else 0
    counted = Counter(_counted(shop, after))
    counted.subtract(_counted(shop, before))
    recount = shop.manage("recount")
    whole = [text for run in (exported, recount) if run.returncode for text in (run.stdout + run.stderr,)]
    return Report(
        acknowledged=len(acknowledged),
        kills=shop.kills,
        sendings=sum(bench.sendings for bench in benches),
        missing=len(acknowledged - set(there)),
        doubled=sum(number - 1 for number in there.values()),
        strangers=len(set(there) - {fact.token for fact in done.told}),
        miscounted=sum(counted[place] != made[place] for place in counted.keys() | made.keys()),
        whole="\n".join([*whole, *_integrity(shop)]),
        refused=[text for bench in benches for text in bench.refused],
    )


def _counted(shop: Shop, folder: Path) -> Counter[tuple[str, str]]:
    """What the counters of loose pieces say was made, by operation and lot."""
    sums: Counter[tuple[str, str]] = Counter()
    for row in shop.rows(folder, "jobs_task"):
        if not row["wheel_id"]:
            sums[row["operation_id"], row["lot_id"]] += int(row["made"])
    return sums


def _integrity(shop: Shop) -> list[str]:
    if shop.database is None:
        return []
    connection = sqlite3.connect(shop.database)
    found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check")]
    connection.close()
    return [] if found == ["ok"] else found


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--facts", type=int, default=20_000)
    asked.add_argument("--kills", type=int, default=10)
    asked.add_argument("--database-url", default="")
    chosen = asked.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        done = run(Shop(Path(folder), chosen.database_url), facts=chosen.facts, kills=chosen.kills)
        found = count_up(done)
    print(f"{found}\n{time.monotonic() - begun:.0f} s")
    sys.exit(0 if found.is_well and (found.acknowledged, found.kills) == (chosen.facts, chosen.kills) else 1)


if __name__ == "__main__":
    main()
