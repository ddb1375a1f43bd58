"""One writer at a time, without a queue inside SQLite."""

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
