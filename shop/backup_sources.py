"""The shop's own database, whichever it is, as something to back up."""

import os
import platform
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import ClassVar, Protocol

from django.conf import settings

from shop import backup
from shop.backup import Backup


class Source(Protocol):
    """What the clock, the command and a migration need of a database."""

    suffix: ClassVar[str]
    # How each is proved, for whoever reads the page of backups.
    proof: ClassVar[str]

    @property
    def identity(self) -> str:
        """What tells this shop's backups from another's."""
        ...

    def back_up(self, folder: Path, *, now: datetime, name: str) -> Backup:
        """Make and prove a backup. Raises BackupRefused, OSError."""
        ...

    def back_up_changed(self, folder: Path, *, now: datetime, name: str, held: str) -> Backup | None:
        """The same unless what the database holds is `held`, as a backup's `content` or `content_of` says it."""
        ...

    def content_of(self, file: Path) -> str:
        """What a backup holds, to be told from other content; "" where only the next can tell."""
        ...

    def clear_up(self) -> None:
        """Remove what a proof that was broken off left outside the folder of backups. Raises BackupRefused."""
        ...

    def is_on_disk_of(self, folder: Path) -> bool:
        """Whether one broken disk would take the database and the folder; False where that can't be known."""
        ...


@dataclass(frozen=True, slots=True)
class SqliteSource:
    """An SQLite file."""

    database: Path
    suffix: ClassVar[str] = "sqlite3.gz"
    proof: ClassVar[str] = "unpacked, opened and counted again"

    @property
    def identity(self) -> str:
        # Two machines may keep their shops at the same path and their backups in the same folder.
        return f"{platform.node()}:{self.database.resolve()}"

    def back_up(self, folder: Path, *, now: datetime, name: str) -> Backup:
        return backup.back_up(self.database, folder, now=now, name=name)

    def back_up_changed(self, folder: Path, *, now: datetime, name: str, held: str) -> Backup | None:
        return backup.back_up_changed(self.database, folder, now=now, name=name, held=held)

    def content_of(self, file: Path) -> str:
        return backup.content_of(file)

    def clear_up(self) -> None:
        pass  # all of it lies in the folder

    def is_on_disk_of(self, folder: Path) -> bool:
        try:
            there = next((one for one in (folder, *folder.parents) if one.exists()), None)
            return there is not None and os.stat(there).st_dev == os.stat(self.database).st_dev
        except OSError:  # a disk that has failed, just when the page is wanted
            return False


def own_source() -> Source:
    """The database of the settings."""
    if settings.ON_SQLITE:
        return SqliteSource(Path(str(settings.DATABASES["default"]["NAME"])))
    # PostgreSQL's driver takes a tenth of a command's start: only who uses it waits for it.
    from shop.backup_postgres import PostgresSource

    return PostgresSource()
