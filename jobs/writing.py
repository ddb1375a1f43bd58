"""One writer at a time, without a queue inside SQLite; and reading all as it is at one moment."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction

# SQLite lets one connection write; the others sleep and retry, and whoever wakes first wins. Threads of this
# process wait here instead, in turn, so that a tap behind ten others waits for ten taps and no longer.
_sqlite_writer = threading.RLock()


@contextmanager
def writing() -> Iterator[None]:
    """A short write: everything inside is saved together or not at all.

    Slow work (parsing, rendering, files) belongs before or after it: others wait meanwhile.
    """
    if connection.vendor == "sqlite":
        with _sqlite_writer, transaction.atomic():
            yield
    else:
        with transaction.atomic():
            yield


@contextmanager
def one_snapshot() -> Iterator[None]:
    """Every query inside sees the database as it was at the first, and holds no writer up."""
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        # Not atomic(): our transactions begin IMMEDIATE, which would keep the bench waiting until the last file.
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
        return
    outermost = not connection.in_atomic_block
    with transaction.atomic():
        if outermost:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


def tell_sizes() -> None:
    """Let PostgreSQL count the tables anew after very many rows were written at once.

    It does so by itself some minutes later; until then it plans as if they were small, and may take minutes over a
    query of milliseconds. SQLite's plans go by no sizes unless it is asked to.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
