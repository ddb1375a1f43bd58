"""What must be true of SQLite before the shop is served: its settings are easily set in a place without effect."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import CheckMessage, Error, Tags, register
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

FULL = 2
LEAST_WAIT_MS = 1000


@register(Tags.database)
def check_databases(*, databases: Sequence[str] | None = None, **_: Any) -> list[CheckMessage]:
    """One error for each setting of a SQLite database that would lose facts or hold up writers."""
    return [
        Error(sentence, id="shop.E001")
        for alias in databases or ()
        if connections[alias].vendor == "sqlite"
        for sentence in sqlite_faults(connections[alias])
    ]


def sqlite_faults(connection: BaseDatabaseWrapper) -> list[str]:
    """What is wrong with an SQLite connection, a sentence each; asks the database, not the settings."""
    journal = _pragma(connection, "journal_mode")
    synchronous = _pragma(connection, "synchronous")
    wait_ms = _pragma(connection, "busy_timeout")
    mode = getattr(connection, "transaction_mode", None)
    faults = []
    if journal != "wal":
        faults.append(f"The database's journal mode is {journal}, not wal: readers would wait for every writer.")
    if synchronous != FULL:
        faults.append(
            f"The database's synchronous is {synchronous}, not FULL ({FULL}): a power cut could lose saved facts."
        )
    if not isinstance(wait_ms, int) or wait_ms < LEAST_WAIT_MS:
        faults.append(f"The database's busy timeout is {wait_ms} ms: writers must wait {LEAST_WAIT_MS} ms or more.")
    if mode != "IMMEDIATE":
        faults.append(f"The database's transaction mode is {mode}, not IMMEDIATE: writers would fail each other.")
    if _pragma(connection, "foreign_keys") != 1:
        faults.append("The database's foreign keys are off: rows could point at nothing.")
    return faults


def _pragma(connection: BaseDatabaseWrapper, name: str) -> object:
    with connection.cursor() as cursor:
        row = cursor.execute(f"PRAGMA {name}").fetchone()
    return row[0] if row else None
