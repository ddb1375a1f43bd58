import gzip
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shop import backup
from shop.backup import BackupRefused, back_up, back_up_changed, content_of, restore
from tests.commands import ROOT, fill, manage, refusal

NOW = datetime(2026, 3, 2, 10, 15, tzinfo=UTC)
LATER = datetime(2026, 3, 2, 10, 16, tzinfo=UTC)
CLEAN = "equal 3 stretches."


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop of three stretches, and six spokes made; never changed."""
    return fill(tmp_path_factory.mktemp("filled"))


@pytest.fixture
def database(filled: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    (tmp_path / "data").mkdir()
    return Path(shutil.copy(filled, tmp_path / "data" / "shop.sqlite3"))


def made(database: Path) -> int:
    with closing(sqlite3.connect(database)) as connection:
        return connection.execute("SELECT sum(made) FROM jobs_task").fetchone()[0]


def change(database: Path, *statements: str) -> None:
    with closing(sqlite3.connect(database)) as connection, connection:
        for statement in statements:
            connection.execute(statement)


def unpacked(backup: Path) -> Path:
    """What a backup holds, as a file beside it."""
    plain = backup.with_suffix(".plain")
    plain.write_bytes(gzip.decompress(backup.read_bytes()))
    return plain


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_backup_is_put_back_by_command(database, tmp_path):
    done = manage(tmp_path / "data", "backup", tmp_path / "safe")
    assert done.returncode == 0, done.stderr
    (copy,) = (tmp_path / "safe").iterdir()
    assert str(copy) in done.stdout
    assert CLEAN in done.stdout
    change(database, "UPDATE jobs_task SET made = 0")
    done = manage(tmp_path / "data", "restore", copy)
    assert done.returncode == 0, done.stderr
    assert made(database) == 6
    (kept,) = (tmp_path / "data").glob("shop-replaced-*.sqlite3")
    assert str(kept) in done.stdout
    assert made(kept) == 0


def test_a_backup_holds_what_still_stands_in_the_side_file(database, tmp_path):
    with closing(sqlite3.connect(database)) as using:
        using.execute("PRAGMA journal_mode = WAL")
        using.execute("UPDATE jobs_order SET note = 'not yet folded in'")
        using.commit()
        assert Path(f"{database}-wal").stat().st_size > 0
        copy = back_up(database, tmp_path / "safe", now=NOW).file
    with closing(sqlite3.connect(unpacked(copy))) as connection:
        assert connection.execute("SELECT note FROM jobs_order").fetchone() == ("not yet folded in",)
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


def test_what_was_compressed_is_what_is_proved(database, tmp_path, monkeypatch):
    """Not the copy before it: a fault in compressing or writing shows here, not on the day it is wanted."""
    seen = []

    def keep_bytes(file: Path, scratch: Path) -> str:
        seen.append((file.name, file.read_bytes(), scratch.exists()))
        return "proved"

    monkeypatch.setattr(backup, "prove", keep_bytes)
    safe = back_up(database, tmp_path / "safe", now=NOW)
    assert seen == [("shop-2026-03-02-101500.sqlite3.gz.part", safe.file.read_bytes(), False)]
    assert len(safe.file.read_bytes()) < database.stat().st_size / 2


def test_only_what_has_changed_is_backed_up_again(database, tmp_path):
    first = back_up_changed(database, tmp_path / "safe", now=NOW, name="timed", held="")
    assert first.content == content_of(first.file)
    assert back_up_changed(database, tmp_path / "safe", now=LATER, name="timed", held=first.content) is None
    assert files(tmp_path / "safe") == ["timed-2026-03-02-101500.sqlite3.gz"]
    change(database, "UPDATE jobs_order SET note = 'changed'")
    again = back_up_changed(database, tmp_path / "safe", now=LATER, name="timed", held=first.content)
    assert again.content != first.content


@pytest.fixture
def commands(monkeypatch) -> list[str]:
    """The commands that were run on copies, in their order."""
    ran = []
    run = backup.manage

    def note(url: str, name: str, *words: str) -> str:
        ran.append(words[0])
        return run(url, name, *words)

    monkeypatch.setattr(backup, "manage", note)
    return ran


def test_a_plain_copy_is_put_back_too(database, tmp_path, commands):
    """As backups were before they were compressed."""
    copy = Path(shutil.copy(database, tmp_path / "shop-2026-03-01-101500.sqlite3"))
    change(database, "UPDATE jobs_task SET made = 0")
    restore(copy, database, now=NOW)
    assert made(database) == 6
    assert commands == ["recount", "recount"]


@pytest.mark.parametrize(
    "spoil",
    [lambda content: content[:-9], lambda content: content[:200] + b"no" + content[202:]],
    ids=["cut short", "changed"],
)
def test_a_compressed_file_that_is_not_whole_is_refused(database, tmp_path, spoil):
    copy = back_up(database, tmp_path / "safe", now=NOW).file
    copy.write_bytes(spoil(copy.read_bytes()))
    before = database.read_bytes()
    with pytest.raises(BackupRefused, match="is no whole compressed file"):
        restore(copy, database, now=LATER)
    assert database.read_bytes() == before


def test_a_backup_is_named_by_its_moment_and_is_for_the_owner_only(database, tmp_path):
    safe = back_up(database, tmp_path / "safe", now=NOW)
    assert files(tmp_path / "safe") == ["shop-2026-03-02-101500.sqlite3.gz"]
    assert safe.file.stat().st_mode & 0o077 == 0
    assert safe.said.endswith(CLEAN)


def test_no_backup_is_written_over(database, tmp_path):
    copy = back_up(database, tmp_path, now=NOW).file
    before = copy.read_bytes()
    change(database, "UPDATE jobs_order SET note = 'later'")
    with pytest.raises(BackupRefused, match="there already"):
        back_up(database, tmp_path, now=NOW)
    assert copy.read_bytes() == before


def test_two_backups_at_once_do_not_share_a_file(database, tmp_path):
    part = tmp_path / "shop-2026-03-02-101500.sqlite3.gz.part"
    part.write_text("another's")
    with pytest.raises(BackupRefused, match="Another backup is being written"):
        back_up(database, tmp_path, now=NOW)
    assert part.read_text() == "another's"


def test_a_backup_that_does_not_recount_is_refused_and_leaves_nothing(database, tmp_path):
    change(database, "UPDATE jobs_task SET made = made + 1 WHERE made > 0")
    with pytest.raises(BackupRefused, match=r"recount.*counters and facts differ"):
        back_up(database, tmp_path / "safe", now=NOW)
    assert files(tmp_path / "safe") == []


def test_a_half_written_backup_never_has_its_name(database, tmp_path, monkeypatch):
    seen = []

    def stop_half_way(file: Path, scratch: Path) -> str:
        seen.extend(files(tmp_path / "safe"))
        raise KeyboardInterrupt

    monkeypatch.setattr(backup, "prove", stop_half_way)
    with pytest.raises(KeyboardInterrupt):
        back_up(database, tmp_path / "safe", now=NOW)
    assert "shop-2026-03-02-101500.sqlite3.gz" not in seen
    assert files(tmp_path / "safe") == []


def test_a_shop_that_was_never_opened_is_backed_up(tmp_path):
    done = manage(tmp_path / "data", "backup", tmp_path / "safe")
    assert done.returncode == 0, done.stderr
    assert "equal 0 stretches." in done.stdout


def test_a_folder_that_is_a_file_is_one_sentence(database, tmp_path):
    (tmp_path / "file").write_text("")
    assert "can't be written: File exists." in refusal(tmp_path / "data", "backup", tmp_path / "file")


@pytest.mark.parametrize("words", [("backup", "DIR"), ("restore", ROOT / "manage.py")])
def test_a_postgresql_server_that_does_not_answer_is_one_sentence(tmp_path, words):
    said = refusal(tmp_path, *words, DATABASE_URL="postgres://nobody@127.0.0.1:1/none")
    assert "can't be re" in said
    assert "onnection refused" in said or "failed" in said
    assert not (tmp_path / "DIR").exists()


def not_a_database(copy: Path) -> str:
    copy.write_text("a shopping list " * 400)
    return "no whole database: file is not a database"


def another_program(copy: Path) -> str:
    copy.unlink()
    change(copy, "CREATE TABLE recipes (name TEXT)")
    return "holds no shop"


def points_at_nothing(copy: Path) -> str:
    change(copy, "UPDATE timing_tally SET task_id = 9999 WHERE id = 1")
    return "row 1 of timing_tally points at a missing jobs_task"


def miscounted(copy: Path) -> str:
    change(copy, "UPDATE jobs_task SET seconds = seconds + 60 WHERE made > 0")
    return "1 faults: counters and facts differ"


def from_the_future(copy: Path) -> str:
    change(copy, "INSERT INTO django_migrations (app, name, applied) VALUES ('jobs', '0999_more', '2030-01-01')")
    return r"newer version of this program \(jobs.0999_more\)"


def cut_short(copy: Path) -> str:
    copy.write_bytes(copy.read_bytes()[: copy.stat().st_size // 2])
    return "malformed|damaged"


@pytest.mark.parametrize(
    "spoil", [not_a_database, another_program, points_at_nothing, miscounted, from_the_future, cut_short]
)
def test_a_bad_file_is_refused_with_nothing_touched(database, tmp_path, spoil):
    copy = Path(shutil.copy(database, tmp_path / "copy.sqlite3"))
    why = spoil(copy)
    before = database.read_bytes()
    with pytest.raises(BackupRefused, match=why):
        restore(copy, database, now=NOW)
    assert database.read_bytes() == before
    assert files(database.parent) == ["shop.sqlite3"]


def test_a_missing_file_and_the_shop_itself_are_refused(database, tmp_path):
    assert "There is no file" in refusal(tmp_path / "data", "restore", tmp_path / "nothing")
    assert "the shop's own database" in refusal(tmp_path / "data", "restore", database)


def test_the_old_shop_comes_back_where_the_new_fails_in_its_place(database, tmp_path):
    copy = back_up(database, tmp_path / "safe", now=NOW).file
    change(database, "UPDATE jobs_order SET note = 'as it was'")

    def fail(in_place: Path) -> str:
        raise BackupRefused(f"{in_place.name} fails.")

    with pytest.raises(BackupRefused, match=r"shop.sqlite3 fails. The shop is as it was before."):
        restore(copy, database, now=LATER, last_check=fail)
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("SELECT note FROM jobs_order").fetchone() == ("as it was",)
    assert files(database.parent) == ["shop.sqlite3"]


def test_side_files_of_the_old_shop_are_kept_with_it_and_never_meet_the_new(database, tmp_path):
    copy = back_up(database, tmp_path / "safe", now=NOW).file
    database.write_text("damaged " * 600)
    Path(f"{database}-wal").write_text("its side file")
    kept = restore(copy, database, now=LATER)
    assert kept.read_text().startswith("damaged")
    assert Path(f"{kept}-wal").read_text() == "its side file"
    assert made(database) == 6
    assert files(database.parent) == [kept.name, f"{kept.name}-wal", "shop.sqlite3"]


def test_a_database_that_something_reads_is_not_replaced(database, tmp_path):
    copy = back_up(database, tmp_path / "safe", now=NOW).file
    with closing(sqlite3.connect(database)) as using:
        using.execute("PRAGMA journal_mode = WAL")
        using.execute("BEGIN")
        using.execute("SELECT * FROM jobs_task").fetchone()
        with pytest.raises(BackupRefused, match="still has"):
            restore(copy, database, now=LATER)
    assert made(database) == 6


def test_an_older_backup_is_brought_to_our_tables(database, tmp_path, commands):
    old = Path(shutil.copy(database, tmp_path / "old.sqlite3"))
    change(old, "DROP TABLE django_session", "DELETE FROM django_migrations WHERE app = 'sessions'")
    restore(old, database, now=NOW)
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("SELECT count(*) FROM django_session").fetchone() == (0,)
    assert commands == ["migrate", "recount", "recount"]


def test_into_an_empty_place(database, tmp_path):
    copy = back_up(database, tmp_path / "safe", now=NOW).file
    (tmp_path / "new").mkdir()
    assert restore(copy, tmp_path / "new" / "shop.sqlite3", now=LATER) is None
    assert files(tmp_path / "new") == ["shop.sqlite3"]
    assert made(tmp_path / "new" / "shop.sqlite3") == 6
