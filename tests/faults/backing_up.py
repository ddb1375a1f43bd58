"""Takes backups while several clients post bench facts, by command and by the clock, and restores each elsewhere.

    python -m tests.faults.backing_up --facts 20000 --backups 20

Whatever was acknowledged before a backup was begun must be in it, and each must recount. It prints what is missing or
miscounted, 0 each, and how long posts took while a backup was made and while none was.
"""

import argparse
import statistics
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.client import PlainClient
from tests.commands import manage
from tests.faults.killing import CLIENTS, OWNER, Bench, Shop, facts_of

LONGEST_WAIT_S = 300


@dataclass(frozen=True)
class Taken:
    """A backup, when its making began and ended (`time.monotonic`), and what had been acknowledged before."""

    file: Path
    by: str
    began: float
    ended: float
    acknowledged: frozenset[str]


class TimedBench(Bench):
    """A client that notes when each fact was begun and how long its answer took, in seconds."""

    def __init__(self, port: int, cookies: dict[str, str], facts: list) -> None:
        super().__init__(port, cookies, facts)
        self.took: list[tuple[float, float]] = []

    def tell_all(self) -> None:
        for fact in self.facts:
            began = time.monotonic()
            if not self.send_until_answered(fact):
                return
            self.took.append((began, time.monotonic() - began))


@dataclass(frozen=True)
class Restored:
    """What stood in a backup that was put back elsewhere, and what went wrong with that ("" if nothing did)."""

    tokens: frozenset[str]
    fault: str = ""


@dataclass
class Report:
    """How it went. `missing`, `strangers` and `faults` must be 0 or empty."""

    acknowledged: int
    by_command: int
    by_clock: int
    missing: int
    strangers: int
    median_ms: tuple[float, float]
    slowest_ms: tuple[float, float]
    faults: list[str] = field(default_factory=list)

    @property
    def is_well(self) -> bool:
        return not (self.missing or self.strangers or self.faults)


@dataclass
class Run:
    shop: Shop
    told: frozenset[str]
    stood: frozenset[str]
    benches: list[TimedBench]
    taken: list[Taken]


def run(data: Path, *, facts: int, backups: int) -> Run:
    """Do it in a folder of its own, on the shop in it or else the example; the shop is stopped afterwards."""
    shop = Shop(data)
    taken = []
    try:
        before = data / "before"
        shop.manage("export", before)
        told = facts_of(shop, before, facts)
        owner = PlainClient(shop.port)
        owner.sign_in("/sign-in/", *OWNER)
        benches = [TimedBench(shop.port, owner.cookies, told[place::CLIENTS]) for place in range(CLIENTS)]
        threads = [threading.Thread(target=bench.work) for bench in benches]
        for thread in threads:
            thread.start()
        for number in range(backups):
            # Spread over the whole run: each is made while clients are at work.
            while sum(len(bench.acknowledged) for bench in benches) < facts * (number + 0.5) / (backups + 1):
                if not any(thread.is_alive() for thread in threads):
                    break
                time.sleep(0.01)
            take = by_clock if number % 2 else by_command
            taken.append(take(shop, owner, benches))
        for thread in threads:
            thread.join()
        owner.connection.close()
    finally:
        shop.served.stop()
    stood = frozenset(row["token"] for row in shop.rows(before, "timing_stretch"))
    return Run(shop, frozenset(fact.token for fact in told), stood, benches, taken)


def acknowledged_by(benches: list[TimedBench]) -> frozenset[str]:
    return frozenset(token for bench in benches for token in tuple(bench.acknowledged))


def by_command(shop: Shop, owner: PlainClient, benches: list[TimedBench]) -> Taken:
    acknowledged, began = acknowledged_by(benches), time.monotonic()
    done = shop.manage("backup", shop.data / "safe")
    if done.returncode:
        raise RuntimeError(done.stderr)
    return Taken(Path(done.stdout.splitlines()[0]), "command", began, time.monotonic(), acknowledged)


def by_clock(shop: Shop, owner: PlainClient, benches: list[TimedBench]) -> Taken:
    """As the owner has the clock make one now, from the page of backups."""
    folder = shop.data / "backups"
    there = set(folder.glob("timed-*.gz"))
    acknowledged, began = acknowledged_by(benches), time.monotonic()
    status, text, _ = owner.ask("POST", "/settings/backups/now/", {})
    if status != 302:
        raise RuntimeError(f"{status}: {text[:200]}")
    while time.monotonic() - began < LONGEST_WAIT_S:
        for file in set(folder.glob("timed-*.gz")) - there:
            return Taken(file, "clock", began, time.monotonic(), acknowledged)
        time.sleep(0.02)
    raise RuntimeError(f"The clock made no backup within {LONGEST_WAIT_S} s.")


def restored(done: Run) -> list[Restored]:
    """Restore each backup into a folder of its own, recount it there, and see what is in it."""
    found = []
    for number, one in enumerate(done.taken):
        place = done.shop.data / f"restored-{number}"
        place.mkdir()
        for words in (["restore", one.file], ["recount"], ["export", place / "csv"]):
            ran = manage(place, *words)
            if ran.returncode:
                found.append(Restored(frozenset(), f"{one.by} {number}: {ran.stdout}{ran.stderr}"))
                break
        else:
            rows = done.shop.rows(place / "csv", "timing_stretch")
            found.append(Restored(frozenset(row["token"] for row in rows)))
    return found


def count_up(done: Run, there: list[Restored]) -> Report:
    """Compare each backup with what the clients had been told."""
    missing = strangers = 0
    faults = [text for bench in done.benches for text in bench.refused]
    faults += [one.fault for one in there if one.fault]
    for one, found in zip(done.taken, there, strict=True):
        if not found.fault:
            missing += len((one.acknowledged | done.stood) - found.tokens)
            strangers += len(found.tokens - done.stood - done.told)
    during, between = _times(done)
    return Report(
        acknowledged=len(acknowledged_by(done.benches)),
        by_command=sum(one.by == "command" for one in done.taken),
        by_clock=sum(one.by == "clock" for one in done.taken),
        missing=missing,
        strangers=strangers,
        median_ms=(_ms(statistics.median(during or [0])), _ms(statistics.median(between or [0]))),
        slowest_ms=(_ms(max(during, default=0)), _ms(max(between, default=0))),
        faults=faults,
    )


def _ms(seconds: float) -> float:
    return round(seconds * 1000, 1)


def _times(done: Run) -> tuple[list[float], list[float]]:
    """How long posts took that were begun while a backup was made, and others."""
    during, between = [], []
    for bench in done.benches:
        for began, took in bench.took:
            meanwhile = any(one.began <= began <= one.ended for one in done.taken)
            (during if meanwhile else between).append(took)
    return during, between


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--facts", type=int, default=20_000)
    asked.add_argument("--backups", type=int, default=20)
    chosen = asked.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        done = run(Path(folder), facts=chosen.facts, backups=chosen.backups)
        found = count_up(done, restored(done))
    print(f"{found}\nmedian and slowest: while a backup was made, and while none was\n{time.monotonic() - begun:.0f} s")
    sys.exit(0 if found.is_well and found.acknowledged == chosen.facts else 1)


if __name__ == "__main__":
    main()
