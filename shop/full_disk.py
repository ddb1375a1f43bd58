"""A full disk: how it is known, what people are told of it, and what keeps the pages readable meanwhile."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

# SQLite says FULL where the system says that there is no room. A quota, a limit on a file's size or the shared memory
# of the log come as these others, and want the same done about them.
SQLITE_CODES = frozenset(
    {sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_SHMSIZE}
)
# "disk_full", by the names of SQL's states that PostgreSQL gives.
SQLSTATE = "53100"
ERRNOS = frozenset({errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)})


def is_full_disk(error: BaseException | None) -> bool:
    """Whether an error, or one that it came of, says that a disk is full or can't be written to."""
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        if isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", None) in SQLITE_CODES:
            return True
        if getattr(error, "sqlstate", None) == SQLSTATE or (isinstance(error, OSError) and error.errno in ERRNOS):
            return True
        error = error.__cause__ or error.__context__
    return False


@contextmanager
def kept_open(database: Path) -> Iterator[None]:
    """Hold one connection to an SQLite database meanwhile, which reads and never writes.

    The first to open it needs room for the log's shared memory; so that pages can be read on a full disk, the first
    must be there already.
    """
    with closing(sqlite3.connect(database, check_same_thread=False)) as held:
        held.execute("SELECT count(*) FROM sqlite_master").fetchone()
        yield
