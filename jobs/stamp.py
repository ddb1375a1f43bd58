"""Tells whether anything was saved since, without reading what was: a stamp of the database as it stands."""

import atexit
import sqlite3
import threading
import uuid
from dataclasses import dataclass
from pathlib import Path

from django.db import connection

_turn = threading.Lock()


@dataclass(frozen=True, slots=True)
class _Watch:
    """A connection that saves nothing, with a name of its own: each begins its count anew.

    `file` says on which file it was opened, for another may be put in its place.
    """

    name: str
    file: tuple[str, int, int]
    connection: sqlite3.Connection


_watch: _Watch | None = None


def stamp_of_all() -> str | None:
    """A text that is another whenever a transaction that wrote anything has ended since; None where nobody can tell.

    Take it before anything is read: what is read afterwards is then as new as the stamp, or newer. Inside a
    transaction there is none, for what is read there is not what others have saved.
    """
    if connection.in_atomic_block:
        return None
    if connection.vendor == "sqlite":
        return _commits_seen(Path(connection.settings_dict["NAME"]))
    # A transaction stands in the snapshot as running or to come until it has ended, and in no later one.
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_postmaster_start_time()::text || ' ' || pg_current_snapshot()::text")
        return str(cursor.fetchone()[0])


def _commits_seen(database: Path) -> str | None:
    """SQLite's count of the commits that one connection has seen others make: only that one may be asked."""
    global _watch
    with _turn:
        try:
            found = database.stat()
            file = (str(database), found.st_dev, found.st_ino)
            if _watch is None or _watch.file != file:
                _stop_watching()
                _watch = _Watch(uuid.uuid4().hex, file, _open(database))
            version = _watch.connection.execute("PRAGMA data_version").fetchone()[0]
        except (OSError, sqlite3.Error):
            # A database in memory, or one that another process has to itself just now.
            _stop_watching()
            return None
        return f"{_watch.name} {version}"


def _open(database: Path) -> sqlite3.Connection:
    uri = f"{database.resolve().as_uri()}?mode=rw"
    opened = sqlite3.connect(uri, uri=True, timeout=0, isolation_level=None, check_same_thread=False)
    opened.execute("PRAGMA query_only=ON")
    return opened


def _stop_watching() -> None:
    """The last connection to go folds the log of writes into the database: then its file alone is the whole shop."""
    global _watch
    if _watch is not None:
        _watch.connection.close()
        _watch = None


atexit.register(_stop_watching)
