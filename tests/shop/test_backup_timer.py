"""Backups by the clock: made when something has changed, thinned out, tried again, and told of."""

import gzip
import os
import platform
import sqlite3
import threading
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.conf import settings as django_settings

from shop import backup, backup_timer
from shop.backup import BackupRefused
from shop.backup_sources import SqliteSource
from shop.backup_timer import BackupTimer, running_timer, timed_backups

BEGIN = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = BEGIN

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def timer(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> BackupTimer:
    """The clock of a little database; that a whole shop is proved is `test_backup`'s to show."""
    monkeypatch.setattr(backup, "prove", lambda file, scratch: "proved")
    with closing(sqlite3.connect(tmp_path / "shop.sqlite3")) as connection, connection:
        connection.execute("CREATE TABLE told (what TEXT)")
    return BackupTimer(SqliteSource(tmp_path / "shop.sqlite3"), tmp_path / "backups", every=HOUR, clock=clock)


def database_of(timer: BackupTimer) -> Path:
    assert isinstance(timer.source, SqliteSource)
    return timer.source.database


def tell(timer: BackupTimer, what: str) -> None:
    with closing(sqlite3.connect(database_of(timer))) as connection, connection:
        connection.execute("INSERT INTO told VALUES (?)", (what,))


def names(timer: BackupTimer) -> list[str]:
    return sorted(path.name.removeprefix(f"{timer.name}-") for path in timer.folder.iterdir())


def told_in(file: Path) -> list[str]:
    plain = file.with_suffix(".plain")
    plain.write_bytes(gzip.decompress(file.read_bytes()))
    with closing(sqlite3.connect(plain)) as connection:
        rows = connection.execute("SELECT what FROM told").fetchall()
    plain.unlink()
    return [row[0] for row in rows]


def test_a_backup_is_made_and_told_of(timer: BackupTimer) -> None:
    tell(timer, "a spoke")
    timer.round()
    assert names(timer) == ["2026-03-02-100000.sqlite3.gz"]
    assert timer.good is not None
    assert told_in(timer.good.file) == ["a spoke"]
    assert (timer.good.at, timer.good.size) == (BEGIN, timer.good.file.stat().st_size)
    assert (timer.held_at, timer.failure, timer.kept, timer.said) == (BEGIN, None, 1, "proved")


def test_only_when_something_has_changed(timer: BackupTimer, clock: Clock) -> None:
    for what in ("", "a spoke", ""):
        if what:
            tell(timer, what)
        timer.round()
        clock.now += HOUR
    assert names(timer) == ["2026-03-02-100000.sqlite3.gz", "2026-03-02-110000.sqlite3.gz"]
    assert timer.held_at == BEGIN + 2 * HOUR


def test_a_shop_that_is_opened_again_unchanged_makes_none(timer: BackupTimer, clock: Clock) -> None:
    timer.round()
    clock.now += HOUR
    again = BackupTimer(timer.source, timer.folder, every=HOUR, clock=clock)
    again._begin()
    assert (again.held_at, again.kept) == (BEGIN, 1)
    again.round()
    assert len(names(timer)) == 1
    assert again.held_at == BEGIN + HOUR


def test_one_that_was_taken_away_is_made_again(timer: BackupTimer, clock: Clock) -> None:
    timer.round()
    assert timer.good is not None
    timer.good.file.unlink()
    clock.now += HOUR
    timer.round()
    assert names(timer) == ["2026-03-02-110000.sqlite3.gz"]


@pytest.mark.parametrize("wrong", [2021, 2030])
def test_what_was_made_by_a_wrong_clock_is_made_again_once_it_is_right(
    timer: BackupTimer, clock: Clock, wrong: int
) -> None:
    timer.round()
    tell(timer, "a spoke")
    clock.now = BEGIN.replace(year=wrong)
    timer.round()
    clock.now = BEGIN + HOUR
    timer.round()
    assert timer.good is not None
    assert timer.good.file.name.endswith("2026-03-02-110000.sqlite3.gz")
    assert told_in(timer.good.file) == ["a spoke"]
    assert "2021-03-02-100000.sqlite3.gz" not in names(timer)


def test_only_the_clocks_own_files_are_thinned_out(timer: BackupTimer, clock: Clock) -> None:
    timer.folder.mkdir()
    others = ["shop-2020-01-01-000000.sqlite3.gz", "timed-aaaaaa-2020-01-01-000000.sqlite3.gz", "letter.txt"]
    own = [f"{timer.name}-{day}-000000.sqlite3.gz" for day in ("2020-01-01", "2026-02-27", "2026-99-01")]
    for name in [*others, *own]:
        (timer.folder / name).touch()
    timer.round()
    gone = {*others, *own} - {path.name for path in timer.folder.iterdir()}
    assert gone == {own[0]}
    assert timer.kept == 2


def test_the_newest_stays_where_the_next_can_not_be_made(
    timer: BackupTimer, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    timer.round()
    monkeypatch.setattr(backup, "prove", refuse)
    for _ in range(40):
        clock.now += timedelta(days=20)
        tell(timer, "more")
        timer.round()
    assert names(timer) == ["2026-03-02-100000.sqlite3.gz"]
    assert timer.failure is not None


def test_old_ones_that_can_not_be_removed_are_told_apart(
    timer: BackupTimer, clock: Clock, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    timer.folder.mkdir()
    old = timer.folder / f"{timer.name}-2020-01-01-000000.sqlite3.gz"
    old.mkdir()  # which unlink refuses
    timer.round()
    assert timer.not_thinned is not None
    assert timer.not_thinned.sentence == f"{old} can't be removed: Is a directory."
    assert f"Old backups stay: {timer.not_thinned.sentence}" in caplog.text
    assert (timer.failure, timer.held_at, timer._pause()) == (None, BEGIN, HOUR)
    old.rmdir()
    timer.round()
    assert timer.not_thinned is None


def refuse(file: Path, scratch: Path) -> str:
    raise BackupRefused("It does not recount.")


def test_a_failure_is_logged_told_and_forgotten_once_it_works(
    timer: BackupTimer, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(backup, "prove", refuse)
    timer.round()
    assert timer.failure is not None
    assert (timer.failure.at, timer.failure.sentence) == (BEGIN, "It does not recount.")
    assert "No backup was made: It does not recount." in caplog.text
    assert timer._pause() == timedelta(minutes=5)
    assert (timer.held_at, names(timer)) == (None, [])
    monkeypatch.setattr(backup, "prove", lambda file, scratch: "proved")
    timer.round()
    assert timer.failure is None
    assert timer.held_at == BEGIN


def test_a_folder_that_can_not_be_made_is_a_sentence(timer: BackupTimer) -> None:
    timer.folder.write_text("in the way")
    timer._begin()
    timer.round()
    assert timer.failure is not None
    assert timer.failure.sentence == f"{timer.folder} can't be used: File exists."


def test_a_folder_on_a_disk_that_is_not_mounted_is_not_made(timer: BackupTimer) -> None:
    timer.makes_folder = False
    timer.round()
    assert timer.failure is not None
    assert timer.failure.sentence == f"{timer.folder} is not there: is its disk mounted?"
    assert not timer.folder.exists()
    timer.folder.mkdir()
    timer.round()
    assert (timer.failure, timer.kept) == (None, 1)


def test_what_a_killed_round_left_is_cleared_away_and_nothing_else(timer: BackupTimer) -> None:
    (timer.folder / f".{timer.name}-x1").mkdir(parents=True)
    (timer.folder / f".{timer.name}-x1" / "copy.sqlite3").touch()
    (timer.folder / f"{timer.name}-2026-03-01-100000.sqlite3.gz.part").touch()
    (timer.folder / "shop-2026-03-01-100000.sqlite3.gz.part").touch()
    timer.look_round()
    assert [path.name for path in timer.folder.iterdir()] == ["shop-2026-03-01-100000.sqlite3.gz.part"]


def test_it_is_late_once_a_day_has_passed_and_the_shop_has_had_its_time(timer: BackupTimer, clock: Clock) -> None:
    assert not timer.is_late(BEGIN)
    assert timer.is_late(BEGIN + timedelta(minutes=20))
    timer.round()
    assert not timer.is_late(BEGIN + timedelta(hours=24))
    assert timer.is_late(BEGIN + timedelta(hours=25))
    assert BackupTimer(timer.source, timer.folder, every=timedelta(days=2)).late_after == timedelta(days=4)


def test_the_first_waits_a_minute_and_the_next_an_hour_from_the_last(timer: BackupTimer, clock: Clock) -> None:
    assert timer._pause() == timedelta(minutes=1)
    timer.held_at = BEGIN - timedelta(minutes=20)
    assert timer._pause() == timedelta(minutes=40)


def test_a_backup_dated_ahead_does_not_stop_the_clock(timer: BackupTimer, clock: Clock) -> None:
    clock.now = BEGIN.replace(year=2030)
    timer.round()
    clock.now = BEGIN
    assert (timer._pause(), timer.is_late(BEGIN + HOUR)) == (HOUR, True)
    again = BackupTimer(timer.source, timer.folder, every=HOUR, clock=clock)
    again._begin()
    assert (again.good, again.held_at, again.kept) == (None, None, 1)
    assert (again._pause(), again.is_late(BEGIN + HOUR)) == (timedelta(minutes=1), True)
    again.round()
    assert names(timer) == ["2026-03-02-100000.sqlite3.gz", "2030-03-02-100000.sqlite3.gz"]
    assert again.held_at == BEGIN


def test_a_clock_that_was_put_back_since_the_start_gives_no_grace(timer: BackupTimer, clock: Clock) -> None:
    timer.begun_at = BEGIN.replace(year=2030)
    assert timer.is_late(BEGIN)
    assert timer._pause() == HOUR


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_an_error_that_nobody_foresaw_does_not_end_the_clock(
    timer: BackupTimer, monkeypatch: pytest.MonkeyPatch
) -> None:
    rounds = []

    def break_once() -> None:
        rounds.append(timer.failure)
        if len(rounds) == 1:
            timer.make_now()
            raise ZeroDivisionError
        timer._stopping = True

    monkeypatch.setattr(backup_timer, "FIRST_AFTER", timedelta(0))
    monkeypatch.setattr(timer, "round", break_once)
    timer.begin()
    timer._thread.join(20)
    assert not timer._thread.is_alive()
    assert rounds[0] is None
    assert rounds[1].sentence == backup_timer.UNEXPECTED


def test_it_runs_while_the_shop_is_served_and_no_longer(
    timer: BackupTimer, settings: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.ON_SQLITE, settings.BACKUP_MINUTES, settings.BACKUPS_DIR = True, 30, timer.folder  # type: ignore[attr-defined]
    settings.MAKES_BACKUPS_DIR = False  # type: ignore[attr-defined]
    monkeypatch.setitem(django_settings.DATABASES["default"], "NAME", database_of(timer))
    made = threading.Event()
    monkeypatch.setattr(BackupTimer, "round", lambda self: made.set())
    with timed_backups():
        running = running_timer()
        assert running is not None
        assert (running.every, running.makes_folder) == (timedelta(minutes=30), False)
        running.make_now()
        assert made.wait(20)
    assert running_timer() is None
    assert not running._thread.is_alive()
    settings.BACKUP_MINUTES = 0  # type: ignore[attr-defined]
    with timed_backups():
        assert running_timer() is None


def test_two_machines_that_share_a_folder_share_no_name(timer: BackupTimer, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(platform, "node", lambda: "another")
    assert BackupTimer(timer.source, timer.folder, every=HOUR).name != timer.name


def test_the_same_disk_is_seen_also_before_the_folder_is_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    database = tmp_path / "shop.sqlite3"
    database.touch()
    assert SqliteSource(database).is_on_disk_of(tmp_path / "not" / "there")
    stat = os.stat
    other = stat("/proc")

    def another_disk(path: Path, *args: object, **options: object) -> os.stat_result:
        return other if path == tmp_path else stat(path)

    monkeypatch.setattr(os, "stat", another_disk)
    assert not SqliteSource(database).is_on_disk_of(tmp_path)
