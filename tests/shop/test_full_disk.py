"""A full disk is told from other faults, and answered by a page that stands by itself."""

import errno
import sqlite3
from pathlib import Path

import psycopg
import pytest
from django.db import DatabaseError, OperationalError
from django.test import Client

from shop.full_disk import is_full_disk, kept_open
from shop.models import Device


def of_sqlite(code: int) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError("database or disk is full")
    error.sqlite_errorcode = code
    return error


def caused_by(cause: BaseException) -> DatabaseError:
    error = OperationalError(str(cause))
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "full"),
    [
        pytest.param(caused_by(of_sqlite(sqlite3.SQLITE_FULL)), True, id="sqlite is full"),
        pytest.param(
            caused_by(of_sqlite(sqlite3.SQLITE_IOERR_SHMSIZE)), True, id="sqlite has no room for its shared memory"
        ),
        pytest.param(caused_by(of_sqlite(sqlite3.SQLITE_BUSY)), False, id="sqlite is busy"),
        pytest.param(caused_by(of_sqlite(sqlite3.SQLITE_CORRUPT)), False, id="sqlite is corrupt"),
        pytest.param(caused_by(psycopg.errors.DiskFull("could not extend file")), True, id="postgresql is full"),
        pytest.param(caused_by(psycopg.errors.DeadlockDetected("deadlock")), False, id="postgresql is deadlocked"),
        pytest.param(OSError(errno.ENOSPC, "No space left on device"), True, id="the system has no room"),
        pytest.param(OSError(errno.EACCES, "Permission denied"), False, id="the system forbids it"),
        pytest.param(sqlite3.OperationalError("no code of its own"), False, id="sqlite without a code"),
        pytest.param(ZeroDivisionError(), False, id="another error"),
        pytest.param(None, False, id="no error"),
    ],
)
def test_which_errors_mean_a_full_disk(error: BaseException | None, full: bool) -> None:
    assert is_full_disk(error) is full


def test_sqlite_itself_says_it_by_that_code() -> None:
    connection = sqlite3.connect(":memory:")
    connection.execute("CREATE TABLE told (what TEXT)")
    connection.execute("PRAGMA max_page_count = 2")
    with pytest.raises(sqlite3.OperationalError, match="full") as raised:
        connection.execute("INSERT INTO told VALUES (?)", ("x" * 100_000,))
    assert is_full_disk(raised.value)
    connection.close()


def test_a_circle_of_causes_comes_to_an_end() -> None:
    first, second = ValueError(), KeyError()
    first.__cause__, second.__cause__ = second, first
    assert not is_full_disk(first)


@pytest.mark.parametrize(("code", "status"), [(sqlite3.SQLITE_FULL, 507), (sqlite3.SQLITE_CORRUPT, 500)])
def test_a_page_says_what_was_not_saved(owner: Client, monkeypatch: pytest.MonkeyPatch, code: int, status: int) -> None:
    def fail(**told: object) -> None:
        raise caused_by(of_sqlite(code))

    monkeypatch.setattr("shop.views.settings_devices.enrol_device", fail)
    owner.raise_request_exception = False
    page = owner.post("/settings/devices/", {"name": "Tablet"})
    assert page.status_code == status
    said = page.content.decode()
    assert ("No room left on the disk" in said, "Something broke here" in said) == (status == 507, status == 500)
    assert page["Content-Security-Policy"]
    assert Device.objects.count() == 0


def test_a_connection_is_held_for_readers(tmp_path: Path) -> None:
    database = tmp_path / "shop.sqlite3"
    first = sqlite3.connect(database)
    first.execute("PRAGMA journal_mode = WAL")
    first.close()
    with kept_open(database):
        assert (tmp_path / "shop.sqlite3-shm").exists()
    assert [path.name for path in tmp_path.iterdir()] == ["shop.sqlite3"]
