"""Tells whether the shop runs on an SQLite database: a lock on a file beside it, which ends with its process."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.files import locks


class AlreadyRunning(RuntimeError):
    """Another process serves or restores this database; the message is one sentence."""


def lock_path(database: Path) -> Path:
    return database.with_name(f"{database.name}.running")


@contextmanager
def only_one(database: Path) -> Iterator[None]:
    """Hold the lock of this database; raises AlreadyRunning where another process holds it.

    The operating system holds it, not the file's being there: a killed server or a power cut leaves the file
    and no lock. The number of the process is written into it only to be told.
    """
    path = lock_path(database)
    with path.open("a+") as file:
        if not locks.lock(file, locks.LOCK_EX | locks.LOCK_NB):
            raise AlreadyRunning(f"The shop runs already on {database} ({_holder(path)}): stop it first.")
        file.truncate(0)
        file.write(f"{os.getpid()}\n")
        file.flush()
        try:
            yield
        finally:
            file.truncate(0)
            locks.unlock(file)


def _holder(path: Path) -> str:
    try:
        number = path.read_text().strip()
    except OSError:  # Windows lets nobody read a locked file
        number = ""
    return f"process {number}" if number else "another process"
