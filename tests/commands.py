"""Runs the shop's commands as a person does: as processes of their own, each on its own SQLite file."""

import atexit
import os
import shutil
import socket
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

FILL = """
import django
django.setup()
from jobs.starting import start_operations
from tests import factories
from timing.record import record
start_operations()
factories.ShopFactory.create()
osk = factories.HandFactory.create(name="Osk")
order = factories.take_pair()
task = factories.task(order, "shave-spoke")
for made in (1, 2, 3):
    record(factories.fact(task, osk, made=made))
"""


def surroundings(data: Path, **changes: str) -> dict[str, str]:
    """The environment of a shop whose files are in `data`, and nothing of the suite's own settings."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith(("SHOP_", "DJANGO_", "DATABASE"))}
    return plain | {"SHOP_DATA": str(data), "PYTHONIOENCODING": "utf-8"} | changes


def manage(data: Path, *words: object, **changes: str) -> subprocess.CompletedProcess[str]:
    """Run `manage.py` to its end on the shop in `data`."""
    command = [sys.executable, str(ROOT / "manage.py"), *map(str, words)]
    return subprocess.run(
        command, env=surroundings(data, **changes), capture_output=True, text=True, encoding="utf-8", timeout=60
    )


def refusal(data: Path, *words: object, **changes: str) -> str:
    """What a command that must fail says: one line, with a status that is not 0."""
    done = manage(data, *words, **changes)
    assert done.returncode != 0, done.stdout
    (line,) = done.stderr.strip().splitlines()
    return line


def free_port() -> int:
    """A port that nothing listened at a moment ago."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


@cache
def _new_shop_folder() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="new-shop-"))
    atexit.register(shutil.rmtree, folder)
    return folder


def keep_new_shop(connection: sqlite3.Connection) -> None:
    """Keep the empty tables of a test database, so that the commands of tests need not make them again."""
    with closing(sqlite3.connect(_new_shop_folder() / "shop.sqlite3")) as file:
        connection.backup(file)


def _new_shop() -> Path:
    """The database of a shop that was never opened, with all its tables: made once for all tests of a process."""
    database = _new_shop_folder() / "shop.sqlite3"
    if not database.exists():
        made = manage(database.parent, "migrate", "--verbosity=0")
        if made.returncode:
            raise RuntimeError(made.stderr)
    return database


def lay_new_shop(data: Path) -> Path:
    """Put a shop that was never opened into a folder, for what is not about the making of its tables."""
    data.mkdir(exist_ok=True)
    return Path(shutil.copy(_new_shop(), data / "shop.sqlite3"))


def fill(data: Path, **changes: str) -> Path:
    """Make a shop with a pair of wheels and three stretches of spokes (six made); returns its database.

    With DATABASE_URL given it is that database which is filled: one that has its tables and nothing else.
    """
    database = data / "shop.sqlite3"
    if "DATABASE_URL" not in changes:
        lay_new_shop(data)
    told = {"DJANGO_SETTINGS_MODULE": "tests.settings", "DATABASE_URL": f"sqlite:///{database}"} | changes
    subprocess.run([sys.executable, "-c", FILL], env=surroundings(data, **told), cwd=ROOT, check=True, timeout=60)
    return database
