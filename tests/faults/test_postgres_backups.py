"""Dumps of a shop on PostgreSQL: made, proved, put back, and refused where they are not whole."""

import hashlib
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from tests.commands import ROOT, fill, manage, refusal, surroundings
from tests.faults.postgres import empty_database

EVERY_TABLE = "SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace"


@pytest.fixture(scope="module")
def filled(new_database: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The name of a PostgreSQL database that holds a shop of three stretches, to be copied."""
    with empty_database(like=new_database) as url:
        fill(tmp_path_factory.mktemp("filled"), DATABASE_URL=url)
        yield url.rpartition("/")[2]


@pytest.fixture
def url(filled: str) -> Iterator[str]:
    """A database of a test's own that holds a shop of three stretches."""
    with empty_database(like=filled) as url:
        yield url


@pytest.fixture(scope="module")
def whole(filled: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A backup of such a shop, not to be changed: made and proved once, for what is not about the making."""
    with empty_database(like=filled) as url:
        return backed_up(tmp_path_factory.mktemp("whole"), url)


def counts(url: str) -> dict[str, int]:
    """The rows of every table."""
    with psycopg.connect(url) as connection:
        names = [row[0] for row in connection.execute(EVERY_TABLE)]
        return {name: connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}  # noqa: S608


def run(url: str, sentence: str) -> None:
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(sentence)


def backed_up(tmp_path: Path, url: str) -> Path:
    done = manage(tmp_path, "backup", tmp_path / "safe", DATABASE_URL=url)
    assert done.returncode == 0, done.stderr
    (dump,) = (tmp_path / "safe").iterdir()
    assert done.stdout.splitlines()[0] == str(dump)
    assert "equal 3 stretches." in done.stdout
    return dump


def test_what_the_readme_says_of_pg_dump_brings_the_shop_into_another_database(tmp_path: Path, url: str) -> None:
    dump = tmp_path / "shop.dump"
    programs = ["pg_dump", "--format=custom", "--no-owner", f"--file={dump}", url]
    subprocess.run(programs, check=True)
    with empty_database() as other:
        subprocess.run(["pg_restore", "--no-owner", "--exit-on-error", f"--dbname={other}", dump], check=True)
        assert counts(other) == counts(url)
        assert counts(other)["timing_stretch"] == 3
        done = manage(tmp_path, "recount", DATABASE_URL=other)
        assert (done.returncode, "equal 3 stretches." in done.stdout) == (0, True)


def test_a_backup_is_put_back_and_what_stood_is_kept(tmp_path: Path, url: str) -> None:
    before = counts(url)
    dump = backed_up(tmp_path, url)
    run(url, "UPDATE jobs_task SET made = 0")
    run(url, "DELETE FROM timing_clock")
    done = manage(tmp_path, "restore", dump, DATABASE_URL=url)
    assert done.returncode == 0, done.stderr
    kept = done.stdout.split("What was there is kept: ")[1].strip()
    try:
        assert counts(url) == before
        recount = manage(tmp_path, "recount", DATABASE_URL=url)
        assert "equal 3 stretches." in recount.stdout
        with psycopg.connect(f"{url.rpartition('/')[0]}/{kept}") as stood:
            assert stood.execute("SELECT sum(made) FROM jobs_task").fetchone() == (0,)
    finally:
        run(f"{url.rpartition('/')[0]}/postgres", f'DROP DATABASE "{kept}"')


def test_a_database_that_someone_has_open_is_not_replaced(tmp_path: Path, url: str, whole: Path) -> None:
    with psycopg.connect(url):
        said = refusal(tmp_path, "restore", whole, DATABASE_URL=url)
    assert "Something still has the database" in said
    assert proving(url) == []


def proving(url: str) -> list[str]:
    """Databases that proofs of this shop have left behind."""
    begins = f"shop_proving_{hashlib.sha256(url.rpartition('/')[2].encode()).hexdigest()[:6]}_"
    with psycopg.connect(url) as connection:
        rows = connection.execute("SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [begins])
        return [row[0] for row in rows]


@pytest.mark.parametrize("how", ["cut short", "a list"])
def test_a_file_that_is_no_whole_dump_is_refused(tmp_path: Path, url: str, whole: Path, how: str) -> None:
    dump = tmp_path / "torn.dump"
    dump.write_bytes(whole.read_bytes()[:-2000] if how == "cut short" else b"a shopping list " * 400)
    before = counts(url)
    assert "pg_restore: error" in refusal(tmp_path, "restore", dump, DATABASE_URL=url)
    assert counts(url) == before
    assert proving(url) == []


def test_a_dump_of_a_newer_version_is_refused(tmp_path: Path, url: str) -> None:
    before = counts(url)
    run(url, "INSERT INTO django_migrations (app, name, applied) VALUES ('jobs', '0999_more', now())")
    dump = tmp_path / "newer.dump"
    subprocess.run(["pg_dump", "--format=custom", f"--file={dump}", url], check=True)
    run(url, "DELETE FROM django_migrations WHERE name = '0999_more'")
    said = refusal(tmp_path, "restore", dump, DATABASE_URL=url)
    assert f"{dump} was made by a newer version of this program (jobs.0999_more)" in said
    assert counts(url) == before
    assert proving(url) == []


def test_a_dump_of_another_program_is_refused(tmp_path: Path, url: str) -> None:
    dump = tmp_path / "other.dump"
    with empty_database() as other:
        run(other, "CREATE TABLE recipes (name text)")
        subprocess.run(["pg_dump", "--format=custom", f"--file={dump}", other], check=True)
    assert "holds no shop" in refusal(tmp_path, "restore", dump, DATABASE_URL=url)
    assert proving(url) == []


def test_a_shop_that_does_not_recount_is_not_backed_up(tmp_path: Path, url: str) -> None:
    run(url, "UPDATE jobs_task SET made = made + 1 WHERE made > 0")
    said = refusal(tmp_path, "backup", tmp_path / "safe", DATABASE_URL=url)
    assert "counters and facts differ" in said
    assert list((tmp_path / "safe").iterdir()) == []
    assert proving(url) == []


def test_an_account_that_may_make_no_database_is_told_what_was_not_proved(tmp_path: Path, url: str) -> None:
    role = f"plain_{uuid.uuid4().hex[:8]}"
    run(url, f"CREATE ROLE {role} LOGIN PASSWORD 'a password'")
    try:
        run(url, f"GRANT SELECT ON ALL TABLES IN SCHEMA public TO {role}")
        run(url, f"GRANT SELECT ON ALL SEQUENCES IN SCHEMA public TO {role}")
        plain = url.replace("//postgres@", f"//{role}:a%20password@")
        done = manage(tmp_path, "backup", tmp_path / "safe", DATABASE_URL=plain)
        assert done.returncode == 0, done.stderr
        assert "Read to its end, and not recounted" in done.stdout
        (dump,) = (tmp_path / "safe").iterdir()
        assert "may not make databases" in refusal(tmp_path, "restore", dump, DATABASE_URL=plain)
    finally:
        run(url, f"DROP OWNED BY {role}")
        run(url, f"DROP ROLE {role}")


def test_the_shop_is_backed_up_before_its_tables_are_changed(tmp_path: Path, url: str) -> None:
    run(url, "DROP TABLE django_session")
    run(url, "DELETE FROM django_migrations WHERE app = 'sessions'")
    empty = {"PATH": str(tmp_path), "DATABASE_URL": url}
    said = refusal(tmp_path, "migrate", **empty)
    assert "pg_dump is not on the path" in said
    assert said.endswith("manage.py migrate --no-backup.")
    done = manage(tmp_path, "migrate", DATABASE_URL=url)
    assert done.returncode == 0, done.stderr
    (dump,) = (tmp_path / "backups").iterdir()
    assert dump.name.startswith("before-sessions-0001_initial-")
    assert "django_session" in counts(url)


PROOFS = """
import django
django.setup()
from datetime import timedelta
from django.conf import settings
from shop import backup_postgres
from shop.backup_sources import own_source
from shop.backup_timer import BackupTimer
left, at_work = (f"{backup_postgres._proving()}{number}" for number in (1, 2))
with backup_postgres._server() as holder:
    for name in (left, at_work, ANOTHERS):
        holder.execute(f"CREATE DATABASE {name}")
    holder.execute("SELECT pg_advisory_lock(hashtext(%s))", [at_work])
    BackupTimer(own_source(), settings.BACKUPS_DIR, every=timedelta(hours=1)).look_round()
    print(at_work)
"""


def test_what_a_killed_proof_left_is_dropped_at_the_next_start(tmp_path: Path, url: str) -> None:
    server, anothers = f"{url.rpartition('/')[0]}/postgres", f"shop_proving_{uuid.uuid4().hex[:12]}"
    at_work = python(tmp_path, url, PROOFS.replace("ANOTHERS", repr(anothers))).strip()
    assert proving(url) == [at_work]
    for name in (at_work, anothers):
        run(server, f'DROP DATABASE "{name}"')


def test_a_proof_at_work_is_held(tmp_path: Path, url: str, whole: Path) -> None:
    assert python(tmp_path, url, HELD.replace("DUMP", repr(str(whole)))).split() == ["1", "0"]


HELD = """
import django
django.setup()
from pathlib import Path
from shop import backup_postgres
def there():
    with backup_postgres._server() as server:
        return server.execute(
            "SELECT count(*) FROM pg_database WHERE starts_with(datname, %s)", [backup_postgres._proving()]
        ).fetchone()[0]
with backup_postgres._restored(Path(DUMP)):
    backup_postgres.clear_up()
    print(there())
print(there())
"""


def test_the_clock_makes_dumps_and_only_of_changes(tmp_path: Path, url: str) -> None:
    said = python(tmp_path, url, CLOCK)
    assert said.split() == ["1", "1", "2"]


CLOCK = """
import time
import django
django.setup()
from datetime import timedelta
from django.conf import settings
from django.db import connection
from django.utils import timezone
from jobs.models import Order
from shop.backup_sources import own_source
from shop.backup_timer import BackupTimer
now = timezone.now()
timer = BackupTimer(own_source(), settings.BACKUPS_DIR, every=timedelta(hours=1), clock=lambda: now)
def round():
    global now
    time.sleep(1.5)  # the server counts a change only once the connection that made it is idle or closed
    now += timedelta(hours=1)
    timer.round()
    assert timer.failure is None, timer.failure
    connection.close()
    print(timer.kept)
round()
round()
Order.objects.update(note="changed")
connection.close()
round()
"""


def python(data: Path, url: str, code: str) -> str:
    changes = {"DJANGO_SETTINGS_MODULE": "shop.settings", "DATABASE_URL": url}
    done = subprocess.run(
        [sys.executable, "-c", code], env=surroundings(data, **changes), cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout
