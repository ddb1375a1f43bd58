"""The page of backups, and the warning in the order book."""

import errno
import os
from datetime import timedelta
from pathlib import Path

import pytest
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from shop import backup_timer
from shop.backup_postgres import PostgresSource
from shop.backup_sources import SqliteSource
from shop.backup_timer import BackupTimer, Failure, Good
from shop.backup_words import every_in_words, in_words
from shop.models import Hand

URL = "/settings/backups/"


def text(page: HttpResponse) -> str:
    return page.content.decode()


@pytest.fixture
def timer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> BackupTimer:
    """A shop that has been served for an hour by `start`, whose clock stands."""
    database = tmp_path / "shop.sqlite3"
    database.touch()
    timer = BackupTimer(SqliteSource(database), tmp_path, every=timedelta(hours=1))
    timer.begun_at -= timedelta(hours=1)
    monkeypatch.setattr(backup_timer, "_running", timer)
    return timer


def has_good(timer: BackupTimer, age: timedelta) -> None:
    at = timezone.now() - age
    timer.good = Good(timer.folder / "timed-1.sqlite3.gz", at, 1_900_000)
    timer.held_at, timer.kept, timer.kept_bytes = at, 3, 5_600_000


def test_the_last_good_one_and_the_rule_are_told(owner: Client, timer: BackupTimer) -> None:
    has_good(timer, timedelta(minutes=10))
    page = text(owner.get(URL))
    for said in (str(timer.good.file), "1.8\xa0MB", "every hour", "5.3\xa0MB in all", "of each week for eight"):
        assert said in page
    assert "The same disk." in page
    assert "failed" not in page
    assert "no good backup" not in text(owner.get("/orders/"))


def test_one_that_was_made_in_the_last_round_is_not_called_unchanged_since(owner: Client, timer: BackupTimer) -> None:
    has_good(timer, timedelta(minutes=10))
    assert timer.held_at is not None
    timer.held_at += timedelta(milliseconds=640)
    assert "nothing had changed" not in text(owner.get(URL))
    timer.held_at += timedelta(minutes=5)
    assert "nothing had changed" in text(owner.get(URL))


def test_no_proof_is_claimed_that_was_not_made(
    owner: Client, timer: BackupTimer, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "What its proof said" not in text(owner.get(URL))
    assert "unpacked, opened and counted again" in text(owner.get(URL))
    has_good(timer, timedelta(minutes=10))
    monkeypatch.setattr(timer, "source", PostgresSource())
    timer.said = "Read to its end, and not recounted: this account may not make the database that it wants for that."
    page = text(owner.get(URL))
    assert timer.said in page
    assert "unpacked, opened" not in page
    assert "where the account may make databases, restored and counted again" in page


def test_a_new_shop_is_told_when_the_first_is_made(owner: Client, timer: BackupTimer) -> None:
    page = text(owner.get(URL))
    assert f"The first is made a minute after the start, into {timer.folder}." in page


def test_the_last_failure_is_told(owner: Client, timer: BackupTimer) -> None:
    has_good(timer, timedelta(hours=2))
    timer.failure = Failure(timezone.now(), "The folder <b> can't be used: No space left on device.")
    page = text(owner.get(URL))
    assert "The last try failed" in page
    assert "The folder &lt;b&gt; can&#x27;t be used: No space left on device." in page


def test_old_ones_that_stay_are_told_and_not_as_a_failed_backup(owner: Client, timer: BackupTimer) -> None:
    has_good(timer, timedelta(minutes=10))
    timer.not_thinned = Failure(timezone.now(), "timed-1 can't be removed: Read-only file system.")
    page = text(owner.get(URL))
    assert "Old ones stay" in page
    assert "can&#x27;t be removed: Read-only file system." in page
    assert "The last try failed" not in page


@pytest.mark.parametrize("why", [errno.EIO, errno.ESTALE, errno.EACCES])
def test_the_page_opens_where_the_disk_of_backups_has_failed(
    owner: Client, timer: BackupTimer, monkeypatch: pytest.MonkeyPatch, why: int
) -> None:
    timer.folder = timer.folder / "failed"
    stat = os.stat

    def fail(path: Path, *args: object, **options: object) -> os.stat_result:
        if path == timer.folder:
            raise OSError(why, os.strerror(why))
        return stat(path, *args, **options)

    monkeypatch.setattr(os, "stat", fail)
    page = owner.get(URL)
    assert (page.status_code, "The same disk." in text(page)) == (200, False)


def test_a_late_one_is_told_there_and_to_the_owner_in_the_order_book(
    owner: Client, tamsin: Hand, timer: BackupTimer
) -> None:
    has_good(timer, timedelta(days=3, hours=2))
    for url in (URL, "/orders/"):
        assert "The shop has had no good backup for 3 days." in text(owner.get(url))
    timer.good = timer.held_at = None
    assert "The shop has no good backup." in text(owner.get("/orders/"))
    desk = Client()
    desk.force_login(tamsin.user)
    assert "good backup" not in text(desk.get("/orders/"))


def test_a_clock_that_was_put_back_is_told(owner: Client, timer: BackupTimer) -> None:
    has_good(timer, timedelta(days=-900))
    for url in (URL, "/orders/"):
        assert "can&#x27;t be told" in text(owner.get(url))


def test_no_one_is_warned_where_the_clock_does_not_run(owner: Client, settings: object) -> None:
    assert "good backup" not in text(owner.get("/orders/"))
    assert "Not by the clock." in text(owner.get(URL))
    settings.BACKUP_MINUTES = 0  # type: ignore[attr-defined]
    assert "Switched off." in text(owner.get(URL))
    assert "does not run" in text(owner.post(f"{URL}now/", follow=True))


def test_one_is_made_now(owner: Client, timer: BackupTimer) -> None:
    page = owner.post(f"{URL}now/", follow=True)
    assert "A backup is being made" in text(page)
    assert timer._wake.is_set()


def test_the_list_of_settings_tells_the_last(owner: Client, timer: BackupTimer) -> None:
    assert "none yet" in text(owner.get("/settings/"))
    has_good(timer, timedelta(0))
    assert "the last good one" in text(owner.get("/settings/"))


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (0, "less than a minute"),
        (1, "1 minute"),
        (119, "119 minutes"),
        (120, "2 hours"),
        (47 * 60, "47 hours"),
        (2880, "2 days"),
    ],
)
def test_spans_are_said_in_words(minutes: int, said: str) -> None:
    assert in_words(timedelta(minutes=minutes)) == said


def test_rounds_are_said_in_words() -> None:
    assert [every_in_words(timedelta(minutes=n)) for n in (1, 15, 60, 1440)] == [
        "every minute",
        "every 15 minutes",
        "every hour",
        "every day",
    ]
