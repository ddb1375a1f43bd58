"""The stamp is another whenever something was saved, by whoever did it, and the same while nothing was."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import connection, connections, transaction

from jobs.models import Customer
from jobs.stamp import stamp_of_all
from jobs.writing import writing
from tests.timing.test_concurrency import ON_POSTGRESQL, a_file, in_threads

__all__ = ["a_file"]  # the fixture of a database that threads can share


def elsewhere(act: Callable[[], object]) -> None:
    """Do it in a thread of its own, and so on another connection."""

    def run() -> None:
        act()
        connections.close_all()

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(timeout=30)
    assert not thread.is_alive()


def save() -> None:
    with writing():
        Customer.objects.create(name="Corbel Hall stables")


@pytest.mark.usefixtures("a_file")
def test_it_stays_while_nothing_is_saved() -> None:
    before = stamp_of_all()
    assert before is not None
    list(Customer.objects.all())
    elsewhere(lambda: list(Customer.objects.all()))
    assert stamp_of_all() == before


@pytest.mark.usefixtures("a_file")
@pytest.mark.parametrize("where", [save, lambda: elsewhere(save)], ids=["here", "elsewhere"])
def test_it_changes_with_what_is_saved(where: Callable[[], None]) -> None:
    before = stamp_of_all()
    where()
    after = stamp_of_all()
    assert after not in (None, before)
    assert stamp_of_all() == after


@pytest.mark.usefixtures("a_file")
def test_what_is_begun_and_not_saved_yet_changes_it_again_when_it_is() -> None:
    with writing():
        Customer.objects.create(name="Corbel Hall stables")
        seen: list[str | None] = []
        elsewhere(lambda: seen.append(stamp_of_all()))
    assert stamp_of_all() != seen[0]


@pytest.mark.django_db
def test_inside_a_transaction_there_is_none() -> None:
    with transaction.atomic():
        assert stamp_of_all() is None


@pytest.mark.skipif(ON_POSTGRESQL, reason="only SQLite keeps its database in a file that may be another's place")
@pytest.mark.usefixtures("a_file")
def test_another_file_in_its_place_has_another_stamp() -> None:
    before = stamp_of_all()
    connection.close()
    path = Path(connection.settings_dict["NAME"])
    copy = path.with_name("copy.sqlite3")
    copy.write_bytes(path.read_bytes())
    copy.replace(path)
    assert stamp_of_all() not in (None, before)


@pytest.mark.skipif(ON_POSTGRESQL, reason="only SQLite may have its database in memory")
def test_a_database_in_memory_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(connection.settings_dict, "NAME", "file:nowhere?mode=memory")
    assert stamp_of_all() is None


@pytest.mark.usefixtures("a_file")
def test_nobody_reads_less_than_the_stamp_says() -> None:
    """One thread saves and takes the stamp after; whoever takes that stamp before reading finds it all."""
    saved: dict[str | None, int] = {}
    read: list[tuple[str | None, int]] = []

    def act(number: int) -> None:
        for done in range(1, 61):
            if number == 0:
                save()
                saved[stamp_of_all()] = done
            else:
                read.append((stamp_of_all(), Customer.objects.count()))

    in_threads(act)
    read.append((stamp_of_all(), Customer.objects.count()))
    known = [(count, saved[stamp]) for stamp, count in read if stamp in saved]
    assert known
    assert [pair for pair in known if pair[0] < pair[1]] == []
    assert None not in {stamp for stamp, _ in read}
