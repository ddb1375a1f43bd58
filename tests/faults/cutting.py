"""Posts bench facts while the shop's machine loses its power again and again, and counts what became of them.

    python -m tests.faults.cutting --cuts 20 --facts 4000
    python -m tests.faults.cutting --cuts 3 --facts 600 --synchronous NORMAL    # must find facts that are lost

The power is cut by a log of every write and sync (watch.c, which needs gcc): the server is killed, and its database's
folder is put together anew from what had been synced and a chance part of what had not (disk.py), several times over.
Each such outcome must be a whole database with every fact that was acknowledged by then; one of them must recount
clean, and the shop must start on it and go on. With `--synchronous` the database is opened with less care than the
shop takes. SQLite only: PostgreSQL's own care for its disk is not ours to test.
"""

import argparse
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.commands import manage
from tests.faults.disk import Disk
from tests.faults.killing import Report, Shop, count_up, run
from tests.started import serve

SOURCE = Path(__file__).with_name("watch.c")


@dataclass
class Cuts:
    """What the cuts left: `lost` acknowledged facts, and what else was wrong, over all outcomes."""

    cuts: int = 0
    outcomes: int = 0
    outcomes_with_losses: int = 0
    lost: int = 0
    unsynced: int = 0  # writes, lengths and names that were still at the mercy of chance, in all cuts
    wrong: list[str] = field(default_factory=list)

    @property
    def is_well(self) -> bool:
        return not (self.lost or self.wrong)

    def __str__(self) -> str:
        said = (
            f"{self.cuts} cuts with {self.outcomes} outcomes, {self.unsynced} steps not yet synced: {self.lost} "
            f"acknowledged facts lost, in {self.outcomes_with_losses} outcomes; {len(self.wrong)} other faults"
        )
        if self.is_well and self.cuts:
            # The rule of three: what was never seen in n tries happens in less than 3/n of them, at 95 %.
            said += f". By the rule of three fewer than {min(100.0, 300 / self.cuts):.0f} % of cuts lose any"
        return "\n".join([said, *self.wrong])


def built(folder: Path) -> Path:
    """The watcher, compiled. Raises FileNotFoundError where there is no gcc."""
    made = folder / "watch.so"
    command = ["gcc", "-shared", "-fPIC", "-O2", "-Wall", "-Wextra", "-Werror", "-o", made, SOURCE, "-ldl", "-pthread"]
    subprocess.run(command, check=True)
    return made


class CutShop(Shop):
    """A shop whose power is cut instead of its server being killed alone."""

    def __init__(
        self, data: Path, *, outcomes: int, synchronous: str = "", seed: int | None = None, example: Path | None = None
    ) -> None:
        self.folder = data / "database"
        self.folder.mkdir()
        if example:
            shutil.copy(example, self.folder / "shop.sqlite3")
        self.outcomes, self.cuts = outcomes, Cuts()
        self.chance = random.Random(seed)
        log = data / "cut-0.log"
        careless = {"DJANGO_SETTINGS_MODULE": "tests.faults.careless", "CARELESS": synchronous} if synchronous else {}
        watched = {"LD_PRELOAD": str(built(data)), "WATCHED": str(self.folder), "WATCHED_LOG": str(log)}
        self.disk = Disk(self.folder, log)
        url = f"sqlite:///{self.folder}/shop.sqlite3"
        super().__init__(data, url, **watched, **careless)

    def kill_and_start(self) -> None:
        self.served.kill()
        self.kills += 1
        acknowledged = {token for bench in self.benches for token in bench.acknowledged}
        self.disk.read()
        self.disk.check()
        self.cuts.cuts += 1
        self.cuts.unsynced += self.disk.unsynced
        for number in range(self.outcomes):
            left = self.data / f"left-{self.kills}-{number}"
            left.mkdir(mode=0o700)
            self.disk.leave(left, self.chance)
            if self.judge(left, acknowledged, recounting=number == 0) and number == 0:
                # The run goes on from a whole one; else from the folder as if no power had been cut.
                shutil.rmtree(self.folder)
                shutil.copytree(left, self.folder)
            shutil.rmtree(left)
        self.disk.log.unlink()
        self.disk = Disk(self.folder, self.data / f"cut-{self.kills}.log")
        self.more["WATCHED_LOG"] = str(self.disk.log)
        self.served = serve(self.data, port=self.port, **self.more)

    def judge(self, left: Path, acknowledged: set[str], *, recounting: bool) -> bool:
        """Look at a copy of an outcome, so that it stays as the cut left it; whether all is well with it."""
        self.cuts.outcomes += 1
        copy = self.data / "looked-at"
        shutil.copytree(left, copy)
        database = copy / "shop.sqlite3"
        try:
            lost = acknowledged - _tokens(database)
            wrong = ""
            if recounting:
                done = manage(copy, "recount", DATABASE_URL=f"sqlite:///{database}")
                wrong = (done.stdout + done.stderr).strip() if done.returncode else ""
        except sqlite3.DatabaseError as error:
            lost, wrong = set(), str(error)
        shutil.rmtree(copy)
        self.cuts.lost += len(lost)
        self.cuts.outcomes_with_losses += bool(lost)
        if wrong:
            self.cuts.wrong.append(f"Cut {self.kills}: {wrong}")
        return not (lost or wrong)


def _tokens(database: Path) -> set[str]:
    """The tokens of a whole database. Raises sqlite3.DatabaseError where it is damaged."""
    with closing(sqlite3.connect(database)) as connection:
        found = [row[0] for row in connection.execute("PRAGMA integrity_check(1)")]
        if found != ["ok"]:
            raise sqlite3.DatabaseError(found[0])
        plain = [row[0] for row in connection.execute("SELECT token FROM timing_stretch")]
    return {f"{one[:8]}-{one[8:12]}-{one[12:16]}-{one[16:20]}-{one[20:]}" for one in plain}


def cut(shop: CutShop, *, facts: int, cuts: int) -> tuple[Cuts, Report]:
    """What the cuts left, and how all of it was counted in the end."""
    done = run(shop, facts=facts, kills=cuts)
    return shop.cuts, count_up(done)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--facts", type=int, default=4000)
    asked.add_argument("--cuts", type=int, default=20)
    asked.add_argument("--outcomes", type=int, default=10)
    asked.add_argument("--synchronous", default="", choices=("", "OFF", "NORMAL"))
    asked.add_argument("--example", type=Path, help="an SQLite file with the example shop, loaded before")
    asked.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(4)))
    chosen = asked.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        given = vars(chosen)
        facts, number = given.pop("facts"), given.pop("cuts")
        cuts, report = cut(CutShop(Path(folder), **given), facts=facts, cuts=number)
    print(f"seed {given['seed']}: {cuts}\n{report}\n{time.monotonic() - begun:.0f} s")
    sys.exit(0 if cuts.is_well and report.is_well and cuts.cuts == number else 1)


if __name__ == "__main__":
    main()
