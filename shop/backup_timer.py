"""Backs the shop up by the clock while `start` serves it, in a thread of its own, and tells how that goes.

The folder is all that is remembered: which backups there are, when, and of which shop, stands in their names.
"""

import hashlib
import logging
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.db import DatabaseError
from django.utils import timezone

from shop.apart import ends_well
from shop.backup import BackupRefused, check_there
from shop.backup_sources import Source, own_source
from shop.keeping import to_remove

log = logging.getLogger(__name__)

# Whoever starts the shop wants its pages first.
FIRST_AFTER = timedelta(minutes=1)
RETRY_AFTER = timedelta(minutes=5)
# The owner is told in the order book once what no backup holds may be older than this, or than two rounds of the clock.
LATE_AFTER = timedelta(days=1)
# How long a round may take before its silence means that it fails.
LONGEST_ROUND = timedelta(minutes=15)
# A moment that lies further ahead than this was told by a clock that has been put back since.
AHEAD_AT_MOST = timedelta(minutes=1)
UNEXPECTED = "It broke off with an error that is written in the program's log."


@dataclass(frozen=True, slots=True)
class Good:
    """A backup that was made and proved by the clock."""

    file: Path
    at: datetime
    size: int


@dataclass(frozen=True, slots=True)
class Failure:
    """A try that failed: when it was begun, and why, in a sentence."""

    at: datetime
    sentence: str


class BackupTimer:
    """The clock that backs one database up into one folder."""

    def __init__(
        self,
        source: Source,
        folder: Path,
        *,
        every: timedelta,
        makes_folder: bool = True,
        clock: Callable[[], datetime] = timezone.now,
    ) -> None:
        self.source, self.folder, self.every, self.clock = source, folder, every, clock
        self.makes_folder = makes_folder
        # Two shops may share a folder: neither is to thin out the other's.
        self.name = f"timed-{hashlib.sha256(source.identity.encode()).hexdigest()[:6]}"
        self.begun_at = clock()
        self.good: Good | None = None
        self.kept = self.kept_bytes = 0
        # What its proof said of the last that this clock made; "" until then.
        self.said = ""
        # Up to when the newest good backup is known to hold everything.
        self.held_at: datetime | None = None
        self.failure: Failure | None = None
        # Old ones that can't be removed cost room, and not the new one: no failure of a backup.
        self.not_thinned: Failure | None = None
        # The digest of what was made last, and the file that holds it: the one says nothing without the other.
        self._content = ""
        self._holder: Path | None = None
        self._wake = threading.Event()
        self._stopping = False
        self._thread = threading.Thread(target=self._run, name="backups", daemon=True)

    def begin(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """End the clock. A round that is under way is let go: what it leaves is cleared away at the next start."""
        self._stopping = True
        self._wake.set()
        self._thread.join(1)

    def make_now(self) -> None:
        """Begin a round now, if none is under way."""
        self._wake.set()

    @property
    def late_after(self) -> timedelta:
        return max(LATE_AFTER, 2 * self.every)

    def is_late(self, now: datetime) -> bool:
        """Whether what no backup holds may be older than stated: a shop that has just been opened is given time."""
        since = now - self.begun_at
        if self.failure is None and -AHEAD_AT_MOST <= since < FIRST_AFTER + LONGEST_ROUND:
            return False
        return self.held_at is None or self.is_ahead(now) or now - self.held_at > self.late_after

    def is_ahead(self, now: datetime) -> bool:
        """Whether the clock was put back since the last good round, so that nobody knows how long ago that was."""
        return self.held_at is not None and self.held_at - now > AHEAD_AT_MOST

    def look_round(self) -> None:
        """See which backups are there, and clear away what a round left that was broken off.

        Raises OSError, and BackupRefused where something was left that can't be cleared away.
        """
        if self.folder.is_dir():
            for left in [*self.folder.glob(f".{self.name}-*"), *self.folder.glob(f"{self.name}-*.part")]:
                shutil.rmtree(left) if left.is_dir() else left.unlink()
            self._count(self._there(), self.clock())
            if self.good:
                self.held_at = self.good.at
        self.source.clear_up()

    def round(self) -> None:
        """Make a backup where anything has changed, and thin out the old ones; a failure is noted, not raised."""
        begun_at = self.clock()
        try:
            self.make(begun_at)
        except BackupRefused as error:
            self._fail(begun_at, str(error))
        except OSError as error:
            self._fail(begun_at, f"{error.filename or self.folder} can't be used: {error.strerror or error}.")
        except DatabaseError as error:
            self._fail(begun_at, f"The database can't be read: {error}.")
        else:
            self.failure = None
            self._thin_out_or_tell(begun_at)

    def make(self, now: datetime) -> None:
        """Back up, unless the newest holds everything already. Raises BackupRefused, OSError."""
        if not self.makes_folder:
            check_there(self.folder)
        if self.folder.is_dir():
            self._count(self._there(), now)
        # A holder that is not the newest was made by a clock that has been put right since, and may be thinned out.
        held = self._content if self.good and self.good.file == self._holder and self._holder.is_file() else ""
        made = self.source.back_up_changed(self.folder, now=now, name=self.name, held=held)
        if made:
            self._content, self._holder, self.said = made.content, made.file, made.said
        self.held_at = now
        self._count(self._there(), now)

    def thin_out(self, now: datetime) -> None:
        """Remove what the rule no longer keeps, of the files that this clock made. Raises OSError."""
        there = self._there()
        for moment in to_remove(there.keys(), now=now):
            there.pop(moment).unlink()
        self._count(there, now)

    def _thin_out_or_tell(self, now: datetime) -> None:
        try:
            self.thin_out(now)
        except OSError as error:
            sentence = f"{error.filename or self.folder} can't be removed: {error.strerror or error}."
            self.not_thinned = Failure(now, sentence)
            log.error("Old backups stay: %s", sentence)
        else:
            self.not_thinned = None

    def _there(self) -> dict[datetime, Path]:
        """The files of this clock, by their moments."""
        form = f"{self.name}-%Y-%m-%d-%H%M%S.{self.source.suffix}"
        found = {_moment_of(path.name, form): path for path in self.folder.iterdir()}
        return {moment: path for moment, path in found.items() if moment}

    def _count(self, there: dict[datetime, Path], now: datetime) -> None:
        sizes = {moment: path.stat().st_size for moment, path in there.items()}
        self.kept, self.kept_bytes = len(sizes), sum(sizes.values())
        # One that is dated ahead was made by a clock that went wrong: it says nothing of today's shop.
        newest = max((moment for moment in there if moment <= now), default=None)
        self.good = None if newest is None else Good(there[newest], newest, sizes[newest])

    def _fail(self, at: datetime, sentence: str) -> None:
        if not self._stopping:
            self.failure = Failure(at, sentence)
            log.error("No backup was made: %s", sentence)

    def _run(self) -> None:
        self._apart(self._begin)
        while not self._stopping:
            self._wake.wait(self._pause().total_seconds())
            self._wake.clear()
            if not self._stopping:
                self._apart(self.round)

    def _begin(self) -> None:
        try:
            self.look_round()
            # So that a shop which is opened and shut without a change makes no backup.
            self._content = self.source.content_of(self.good.file) if self.good else ""
            self._holder = self.good.file if self.good else None
        except BackupRefused as error:
            log.warning("%s", error)
            self._content = ""  # whatever became of that file, the next round makes another
        except OSError as error:
            self._fail(self.clock(), f"{error.filename or self.folder} can't be used: {error.strerror or error}.")

    def _pause(self) -> timedelta:
        """How long to wait for the next round: shorter after a failure, and soon after the shop was opened.

        Never longer than from one round to the next, whatever the machine's clock said before.
        """
        now = self.clock()
        if self.failure:
            return min(self.every, RETRY_AFTER)
        due_at = self.held_at + self.every if self.held_at else now
        wait = max(due_at - now, self.begun_at + FIRST_AFTER - now, timedelta(0))
        return min(wait, max(self.every, FIRST_AFTER))

    def _apart(self, work: Callable[[], None]) -> None:
        """Do it in a thread that may die without the clock: whatever goes wrong there is tried again."""
        if not ends_well(work, name="backup"):
            self._fail(self.clock(), UNEXPECTED)


def _moment_of(name: str, form: str) -> datetime | None:
    """The moment that a file's name says, if it is of this form."""
    with suppress(ValueError):
        return datetime.strptime(name, form).replace(tzinfo=UTC)
    return None


_running: BackupTimer | None = None


def running_timer() -> BackupTimer | None:
    """The clock of this process; None where the shop is not served by `start`, or its backups are switched off."""
    return _running


@contextmanager
def timed_backups() -> Iterator[None]:
    """Back the shop up by the clock meanwhile, if the settings say so."""
    global _running
    if not settings.BACKUP_MINUTES:
        yield
        return
    every = timedelta(minutes=settings.BACKUP_MINUTES)
    _running = BackupTimer(own_source(), settings.BACKUPS_DIR, every=every, makes_folder=settings.MAKES_BACKUPS_DIR)
    _running.begin()
    try:
        yield
    finally:
        _running.stop()
        _running = None
