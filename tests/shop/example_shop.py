"""The example shop for the tests of one module: as it was loaded, and gone after the last of them.

On SQLite one process of a run loads it, and all others copy its file.
"""

import pickle
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path

import pytest
from django.db import connection, transaction
from pytest_django import DjangoDbBlocker

from shop.example import Loaded, load_example

# A Wednesday; London's clocks change between the first work and the last.
TODAY = date(2026, 3, 4)


@contextmanager
def held_alone(folder: Path) -> Iterator[None]:
    """One process of a run at a time; one that ends badly holds up no other."""
    with closing(sqlite3.connect(folder / "example.lock", timeout=300, isolation_level=None)) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        yield


def lay_example(folder: Path) -> Loaded:
    """Put the example as on `TODAY` into the empty test database, from its file in `folder` if it is there already."""
    database, told = folder / "example.sqlite3", folder / "example.pickle"
    connection.ensure_connection()
    with held_alone(folder):
        if told.exists():
            with closing(sqlite3.connect(database)) as file:
                file.backup(connection.connection)
            return pickle.loads(told.read_bytes())  # noqa: S301 - written below
        loaded = load_example(TODAY)
        with closing(sqlite3.connect(database)) as file:
            connection.connection.backup(file)
        told.write_bytes(pickle.dumps(loaded))
    return loaded


@pytest.fixture(scope="module")
def example(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory, worker_id: str
) -> Iterator[Loaded]:
    """The example as on `TODAY`. Each test of the module has `django_db` too, and rolls back what it changes."""
    folder = tmp_path_factory.getbasetemp()
    with django_db_blocker.unblock():
        if connection.vendor != "sqlite":
            with transaction.atomic():
                yield load_example(TODAY)
                transaction.set_rollback(True)
            return
        connection.ensure_connection()
        with closing(sqlite3.connect(":memory:")) as empty:
            connection.connection.backup(empty)
            yield lay_example(folder if worker_id == "master" else folder.parent)
            empty.backup(connection.connection)
