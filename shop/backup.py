"""Copies an SQLite shop while it runs, proves copies, and puts one back.

A copy is kept compressed, and proved as it lies on the disk: it is unpacked, opened, brought to this program's tables
where it is older, and its facts are counted again, all elsewhere, so that what is kept stays as it was written.
"""

import gzip
import hashlib
import io
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db.migrations.loader import MigrationLoader

from shop.environment import sqlite_url
from shop.full_disk import is_full_disk

SIDE_FILES = ("-wal", "-shm")
# What a shop is known by.
OURS = ("jobs", "timing", "shop")
STRETCHES = "timing_stretch"
APPLIED = "SELECT app, name FROM django_migrations"
GZIP_MAGIC = b"\x1f\x8b"
# Above 6 it takes much longer and saves next to nothing; a piece at a time, so that it fits into any memory.
LEVEL, CHUNK = 6, 1024 * 1024


class BackupRefused(RuntimeError):
    """A copy can't be made, proved or put back; the message is one sentence."""


def check_there(folder: Path) -> None:
    """Refuse a folder that is not there, where it isn't ours to make. Raises BackupRefused, OSError."""
    if not folder.is_dir():
        raise BackupRefused(f"{folder} is not there: is its disk mounted?")


@dataclass(frozen=True, slots=True)
class Backup:
    """A backup that was made and proved: its file, what recounting said of it, and the digest of its content."""

    file: Path
    said: str
    content: str


def back_up(database: Path, folder: Path, *, now: datetime, name: str = "shop") -> Backup:
    """Copy a database, in use or not, into `folder`, compressed, under a name and the moment.

    The file has its name only once it is whole and proved. Raises BackupRefused, OSError.
    """
    with _copied(database, folder, name) as copy:
        return _keep_copy(copy, folder / f"{name}-{now:%Y-%m-%d-%H%M%S}.sqlite3.gz", content_of(copy))


def back_up_changed(database: Path, folder: Path, *, now: datetime, name: str, held: str) -> Backup | None:
    """The same where the database holds anything else than content of the digest `held`; else None, and no file."""
    with _copied(database, folder, name) as copy:
        content = content_of(copy)
        if content == held:
            return None
        return _keep_copy(copy, folder / f"{name}-{now:%Y-%m-%d-%H%M%S}.sqlite3.gz", content)


def content_of(file: Path) -> str:
    """The digest of what a copy or a backup holds: equal where not a byte of the database is another.

    Raises BackupRefused where it can't be unpacked, OSError.
    """
    digest = hashlib.sha256()
    with _reading(file) as packed:
        while chunk := packed.read(CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


@contextmanager
def _copied(database: Path, folder: Path, name: str) -> Iterator[Path]:
    """A copy of a database as it is at this moment, in a folder of its own, where it may be used up."""
    if not database.is_file():
        raise BackupRefused(f"There is no database at {database}.")
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder, prefix=f".{name}-") as scratch:
        copy = Path(scratch) / "copy.sqlite3"
        copy_live(database, copy)
        yield copy


def _keep_copy(copy: Path, final: Path, content: str) -> Backup:
    """Compress a copy, which is used up, and give it its name once what was compressed is proved."""
    with named_once_whole(final) as (part, final):
        with copy.open("rb") as plain, part.open("wb") as raw, gzip.GzipFile("", "wb", LEVEL, raw) as packed:
            shutil.copyfileobj(plain, packed, CHUNK)
        copy.unlink()
        said = prove(part, copy)
    return Backup(final, said, content)


@contextmanager
def named_once_whole(final: Path) -> Iterator[tuple[Path, Path]]:
    """A file to be written, and the name that it gets afterwards if nothing goes wrong; else it is removed."""
    part = final.with_name(f"{final.name}.part")
    try:
        # For the owner's eyes only, and never another backup's: two in the same second would share the name.
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    except FileExistsError:
        raise BackupRefused(f"Another backup is being written to {part}.") from None
    try:
        if final.exists():
            raise BackupRefused(f"{final} is there already, and no backup is written over.")
        yield part, final
        _to_disk(part)
        part.rename(final)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def _reading(file: Path) -> Iterator[gzip.GzipFile | io.BufferedReader]:
    """A file's content, unpacked where it is compressed. Raises BackupRefused where that can't be done to its end."""
    with file.open("rb") as raw:
        packed = raw.peek(2)[:2] == GZIP_MAGIC
        try:
            yield gzip.GzipFile(fileobj=raw, mode="rb") if packed else raw
        except (gzip.BadGzipFile, EOFError, zlib.error) as error:
            raise BackupRefused(f"{file} is no whole compressed file: {error}.") from error


def copy_live(database: Path, target: Path) -> None:
    """SQLite's own copy of a database, as it is at one moment, into one file without side files."""
    try:
        with closing(_opened(database)) as source, closing(sqlite3.connect(target)) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.DatabaseError as error:
        if is_full_disk(error):
            raise BackupRefused(f"There is no room for a copy of the shop in {target.parent.parent}.") from error
        raise BackupRefused(f"{database} can't be copied: {error}.") from error


def prove(file: Path, scratch: Path) -> str:
    """Prove that a file holds a whole shop, on a copy at `scratch`, which is left there ready for use.

    Returns what recounting said. Raises BackupRefused with the first thing that is wrong.
    """
    with _reading(file) as content, scratch.open("wb") as target:
        shutil.copyfileobj(content, target, CHUNK)
    if Path(f"{file}-wal").exists():
        shutil.copyfile(f"{file}-wal", f"{scratch}-wal")
    try:
        with closing(sqlite3.connect(scratch)) as copy:
            is_older = _check_whole(copy, file)
    except sqlite3.DatabaseError as error:
        raise BackupRefused(f"{file} is no whole database: {error}.") from error
    if is_older:
        manage(sqlite_url(scratch), scratch.name, *BRING_UP)
    return recount(scratch)


def restore(
    file: Path, database: Path, *, now: datetime, last_check: Callable[[Path], str] | None = None
) -> Path | None:
    """Put a backup in the place of `database`; returns what it replaced, which is kept beside it, or None.

    The caller holds the lock of the database. The file is proved before anything is touched. `last_check` (recount)
    judges the database in its place: where it raises BackupRefused, the old one is put back.
    """
    if not file.is_file():
        raise BackupRefused(f"There is no file {file}.")
    if database.exists() and file.samefile(database):
        raise BackupRefused(f"{file} is the shop's own database, not a backup of it.")
    with tempfile.TemporaryDirectory(dir=database.parent, prefix=".restoring-") as scratch:
        incoming = Path(scratch) / database.name
        prove(file, incoming)
        _settle(incoming)
        kept = _keep(database, now) if database.exists() else None
        _swap(incoming, database)
    try:
        (last_check or recount)(database)
    except BackupRefused as error:
        if kept is None:
            _remove(database)
            raise
        _swap(kept, database)
        raise BackupRefused(f"{error} The shop is as it was before.") from error
    return kept


def recount(database: Path) -> str:
    """What `manage.py recount` says of a database. Raises BackupRefused where counters and facts differ."""
    return manage(sqlite_url(database), database.name, "recount")


# Without the checks of pages and settings: a fault in a page must not stand between a shop and its backup.
BRING_UP = ("migrate", "--no-input", "--no-backup", "--verbosity=0", "--skip-checks")


def manage(url: str, name: str, *words: str) -> str:
    """Run one of our own commands on another database, as a process of its own; returns what it printed."""
    surroundings = os.environ | {
        "DATABASE_URL": url,
        "SHOP_SECRET_KEY": settings.SECRET_KEY,  # else a key would be made beside the copy
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONIOENCODING": "utf-8",
    }
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), *words]
    done = subprocess.run(command, env=surroundings, capture_output=True, text=True, encoding="utf-8", check=False)  # noqa: S603
    if done.returncode:
        last = (done.stderr.strip() or "it said nothing").splitlines()[-1]
        raise BackupRefused(f"{name} does not pass “{words[0]}”: {last}")
    return done.stdout.strip()


def _check_whole(copy: sqlite3.Connection, file: Path) -> bool:
    """Whether a copy, which is whole, is older than this program's tables. Raises BackupRefused, DatabaseError."""
    faults = [str(row[0]) for row in copy.execute("PRAGMA integrity_check(1)")]
    if faults != ["ok"]:
        raise BackupRefused(f"{file} is damaged: {faults[0]}.")
    pointing = copy.execute("PRAGMA foreign_key_check").fetchone()
    if pointing:
        raise BackupRefused(f"{file} is damaged: row {pointing[1]} of {pointing[0]} points at a missing {pointing[2]}.")
    tables = {row[0] for row in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return check_is_shop(file, tables, lambda: copy.execute(APPLIED))


def check_is_shop(file: Path, tables: set[str], applied: Callable[[], Iterable[tuple[str, str]]]) -> bool:
    """Refuse what is another program's, or a newer version's of this; `applied` asks the copy for APPLIED.

    Returns whether it is to be brought to this program's tables. Raises BackupRefused.
    """
    if not {"django_migrations", STRETCHES} <= tables:
        raise BackupRefused(f"{file} holds no shop: it has no table of stretches.")
    theirs, known = set(applied()), set(MigrationLoader(None).disk_migrations)
    unknown = sorted((app, name) for app, name in theirs - known if app in OURS)
    if unknown:
        raise BackupRefused(
            f"{file} was made by a newer version of this program ({'.'.join(unknown[0])}): update first."
        )
    return not known <= theirs


def _opened(database: Path) -> sqlite3.Connection:
    """A connection that makes no new file of its own; one for reading only would leave side files behind."""
    return sqlite3.connect(f"{database.absolute().as_uri()}?mode=rw", uri=True, timeout=5)


def _settle(database: Path) -> None:
    """Fold the write-ahead file into the database; fails where another connection has the database open."""
    with closing(sqlite3.connect(database, timeout=1)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")


def _keep(database: Path, now: datetime) -> Path:
    """Copy what is to be replaced, damaged or not, under a name of its own."""
    kept = database.with_name(f"{database.stem}-replaced-{now:%Y-%m-%d-%H%M%S}{database.suffix}")
    if kept.exists():
        raise BackupRefused(f"{kept} is there already: try again in a second.")
    # As the files lie, before SQLite opens them: from a damaged database it may throw the side files away.
    try:
        _copy_files(database, kept, ("", *SIDE_FILES))
        try:
            _settle(database)
        except sqlite3.OperationalError as error:
            if is_full_disk(error):
                raise BackupRefused(f"There is no room in {database.parent} to keep what stands there.") from error
            raise BackupRefused(f"Something still has {database} open ({error}): stop it first.") from error
        except sqlite3.DatabaseError:
            pass  # damaged, which may be why a backup is put back: the files are kept as they lay
        else:
            _remove(kept)
            _copy_files(database, kept, ("",))
        _to_disk(kept)
    except (BackupRefused, OSError):
        _remove(kept)
        raise
    return kept


def _copy_files(database: Path, target: Path, endings: tuple[str, ...]) -> None:
    for ending in endings:
        if Path(f"{database}{ending}").exists():
            shutil.copy2(f"{database}{ending}", f"{target}{ending}")


def _swap(new: Path, database: Path) -> None:
    """Put `new` in the place of `database` in one step, and away with side files that belonged to the old."""
    _to_disk(new)
    for ending in SIDE_FILES:
        Path(f"{database}{ending}").unlink(missing_ok=True)
    os.replace(new, database)
    for ending in SIDE_FILES:
        if Path(f"{new}{ending}").exists():
            os.replace(f"{new}{ending}", f"{database}{ending}")


def _remove(database: Path) -> None:
    for ending in ("", *SIDE_FILES):
        Path(f"{database}{ending}").unlink(missing_ok=True)


def _to_disk(path: Path) -> None:
    with path.open("r+b") as file:
        os.fsync(file.fileno())
