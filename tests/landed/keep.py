"""Keeps a shop as this version's tables hold it: `python -m tests.landed.keep 2026-11-first`.

It writes the database, compressed, and beside it as JSON what this version reads of it.
"""

import argparse
import gzip
import json
import os
import re
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path
from typing import Any

from tests.commands import ROOT, lay_new_shop, surroundings

FOLDER = Path(__file__).resolve().parent
TELL = "import django; django.setup(); from tests.landed.story import tell; tell()"


def python(database: Path, *words: str) -> str:
    """Run Python on a database, in a process of its own whatever the caller is set up for; returns what it printed."""
    # The hasher of a real shop, and static files that nobody has collected.
    changes = {
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "SHOP_DEBUG": "True",
        "DATABASE_URL": f"sqlite:///{database}",
    }
    done = subprocess.run(
        [sys.executable, *words],
        env=surroundings(database.parent, **changes),
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    if done.returncode:
        raise RuntimeError(done.stderr)
    return done.stdout


def told(folder: Path) -> Path:
    """The story told anew into an empty folder; returns its database, in one file."""
    database = lay_new_shop(folder)
    python(database, "-c", TELL)
    with closing(sqlite3.connect(database)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("VACUUM")
    return database


def read(database: Path) -> Any:
    """What this version reads of a database that has its tables."""
    return json.loads(python(database, "-m", "tests.landed.reading"))


def read_and_open(database: Path) -> tuple[Any, dict[str, int]]:
    """What this version reads of a database that has its tables, and how its pages answer."""
    found = json.loads(python(database, "-m", "tests.landed.reading", "pages"))
    return found["said"], found["pages"]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("name", help="the year, the month and a word, for example 2026-11-first")
    name = asked.parse_args().name
    if not re.fullmatch(r"\d{4}-\d{2}-[a-z-]+", name):
        sys.exit(f"“{name}” is no such name: write the year, the month and a word, for example 2026-11-first.")
    if list(FOLDER.glob(f"{name}.*")):
        sys.exit(f"{name} is kept already, and no kept database is written over.")
    os.umask(0o022)
    with tempfile.TemporaryDirectory() as folder:
        database = told(Path(folder))
        content = database.read_bytes()
        said = python(database, "-m", "tests.landed.reading")
    (FOLDER / f"{name}.sqlite3.gz").write_bytes(gzip.compress(content, mtime=0))
    (FOLDER / f"{name}.json").write_text(said, encoding="utf-8")
    print(f"{name}: {(FOLDER / f'{name}.sqlite3.gz').stat().st_size} bytes compressed.")


if __name__ == "__main__":
    main()
