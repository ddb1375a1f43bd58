"""Before the tables of a shop are changed it is backed up, or they are not changed."""

import gzip
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.commands import fill, free_port, manage, refusal
from tests.started import serve


@pytest.fixture(scope="module")
def old_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop in use, with one table taken away that is made again: the least that is to be brought up to date."""
    database = fill(tmp_path_factory.mktemp("old"))
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute("DROP TABLE django_session")
        connection.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
    return database


@pytest.fixture
def database(old_shop: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(old_shop, tmp_path / "shop.sqlite3"))


def tables(database: Path) -> set[str]:
    with closing(sqlite3.connect(database)) as connection:
        return {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}


def content(database: Path) -> list[str]:
    with closing(sqlite3.connect(database)) as connection:
        return list(connection.iterdump())


def kept(database: Path) -> list[Path]:
    return sorted((database.parent / "backups").glob("*"))


def test_the_shop_as_it_was_is_kept_and_told_of(database: Path) -> None:
    before = content(database)
    done = manage(database.parent, "migrate")
    assert done.returncode == 0, done.stderr
    (copy,) = kept(database)
    assert copy.name.startswith("before-")
    assert f"the shop as it was is kept: {copy}" in done.stdout
    plain = database.with_name("kept.sqlite3")
    plain.write_bytes(gzip.decompress(copy.read_bytes()))
    assert content(plain) == before
    assert "django_session" in tables(database)
    # Nothing is pending now: no further one.
    assert manage(database.parent, "migrate").returncode == 0
    assert kept(database) == [copy]


def test_what_only_looks_makes_none(database: Path) -> None:
    assert manage(database.parent, "migrate", "--plan").returncode == 0
    assert manage(database.parent, "migrate", "--check").returncode == 1
    assert kept(database) == []


def test_where_none_can_be_made_nothing_is_changed(database: Path) -> None:
    (database.parent / "backups").write_text("in the way")
    before = content(database)
    done = manage(database.parent, "migrate")
    assert done.returncode != 0
    (said,) = done.stderr.strip().splitlines()
    assert "The tables were not changed, since the shop could not be backed up first" in said
    assert f"{database.parent / 'backups'} can't be written: File exists." in said
    assert said.endswith("manage.py migrate --no-backup.")
    assert content(database) == before
    assert manage(database.parent, "migrate", "--no-backup").returncode == 0
    assert "django_session" in tables(database)


def test_a_folder_on_a_disk_that_is_not_mounted_is_not_made(database: Path) -> None:
    named = database.parent / "mnt" / "wheels"
    said = refusal(database.parent, "migrate", SHOP_BACKUPS=str(named))
    assert f"{named} is not there: is its disk mounted?" in said
    assert not named.parent.exists()
    named.mkdir(parents=True)
    assert manage(database.parent, "migrate", SHOP_BACKUPS=str(named)).returncode == 0
    assert len(list(named.iterdir())) == 1


def test_a_shop_that_does_not_recount_is_not_changed(database: Path) -> None:
    """The migration is tried on the copy: what would fail there never begins here."""
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute("UPDATE jobs_task SET made = made + 1 WHERE made > 0")
    done = manage(database.parent, "migrate")
    assert "counters and facts differ" in done.stderr
    assert "django_session" not in tables(database)
    assert kept(database) == []


def test_a_new_shop_makes_none(tmp_path: Path) -> None:
    assert manage(tmp_path, "migrate").returncode == 0
    assert not (tmp_path / "backups").exists()


def test_a_first_start_that_was_broken_off_is_gone_on_with(tmp_path: Path) -> None:
    assert manage(tmp_path, "migrate", "jobs").returncode == 0
    done = manage(tmp_path, "migrate")
    assert done.returncode == 0, done.stderr
    assert "timing_stretch" in tables(tmp_path / "shop.sqlite3")
    assert not (tmp_path / "backups").exists()


def test_start_makes_it_too_and_refuses_without(database: Path) -> None:
    (database.parent / "backups").write_text("in the way")
    assert "could not be backed up first" in refusal(database.parent, "start", "--port", free_port())
    (database.parent / "backups").unlink()
    served = serve(database.parent)
    served.stop()
    (copy,) = kept(database)
    assert f"the shop as it was is kept: {copy}" in (database.parent / "server.log").read_text()
