"""A full disk under a served shop: what can't be saved is said, nothing is half written, and it goes on afterwards."""

import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from tests.benchmarks.client import PlainClient
from tests.commands import ROOT, manage, surroundings
from tests.faults.full_disk import no_room, write_nothing
from tests.faults.killing import OWNER, Shop, Told, facts_of


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, put_example: Callable[[Path], Path]) -> Iterator[Shop]:
    """The example shop, served; its facts go on from test to test."""
    shop = Shop(put_example(tmp_path_factory.mktemp("full")))
    yield shop
    shop.served.stop()


@pytest.fixture(scope="module")
def facts(shop: Shop) -> Iterator[Told]:
    folder = shop.data / "before"
    shop.manage("export", folder)
    return iter(facts_of(shop, folder, 40))


@contextmanager
def signed_in(shop: Shop) -> Iterator[PlainClient]:
    client = PlainClient(shop.port)
    try:
        client.sign_in("/sign-in/", *OWNER)
        yield client
    finally:
        client.connection.close()


def stretches(shop: Shop) -> str:
    done = shop.manage("recount")
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_a_tap_is_answered_507_and_kept_nowhere_till_there_is_room(shop: Shop, facts: Iterator[Told]) -> None:
    fact = next(facts)
    before = stretches(shop)
    with signed_in(shop) as client:
        with no_room(shop.served.process.pid):
            status, text, _ = client.ask("POST", "/bench/fact/", fact.form())
        assert status == 507
        assert "No room left on the disk" in text
        assert "not saved" in text
        assert stretches(shop) == before
        assert client.ask("POST", "/bench/fact/", fact.form())[0] == 200
        assert client.ask("POST", "/bench/fact/", fact.form())[0] == 200
    assert stretches(shop) != before


def test_pages_are_read_meanwhile(shop: Shop) -> None:
    """Also by who signed in a while ago, whose session's end would be moved on."""
    with signed_in(shop) as client:
        with closing(sqlite3.connect(shop.data / "shop.sqlite3")) as connection, connection:
            connection.execute("UPDATE django_session SET expire_date = datetime(expire_date, '-40 minutes')")
        expect_readable(shop, client)


def expect_readable(shop: Shop, client: PlainClient) -> None:
    with no_room(shop.served.process.pid):
        for path in ("/orders/", "/bench/jobs/", "/smith/", "/day-book/", "/settings/backups/", "/make-ups/"):
            assert client.ask("GET", path)[0] == 200, path


@pytest.mark.parametrize(
    ("path", "form"),
    [
        ("/settings/devices/", {"name": "Tablet"}),
        (
            "/settings/words/",
            {
                "word_hub": "nave",
                "word_hubs": "naves",
                "word_felloe": "felly",
                "word_felloes": "fellies",
                "word_tyre": "tire",
                "word_tyres": "tires",
            },
        ),
        ("/settings/hands/new/", {"name": "Perrin", "role": "hand", "trade": "bench"}),
    ],
)
def test_forms_at_the_desk_are_answered_507_too(shop: Shop, path: str, form: dict[str, str]) -> None:
    with signed_in(shop) as client:
        with no_room(shop.served.process.pid):
            assert client.ask("POST", path, form)[0] == 507
        assert client.ask("POST", path, form)[0] in (200, 302)


def test_nobody_can_sign_in_meanwhile_and_all_can_afterwards(shop: Shop) -> None:
    client = PlainClient(shop.port)
    client.ask("GET", "/sign-in/")
    form = {"name": OWNER[0], "password": OWNER[1]}
    with no_room(shop.served.process.pid):
        assert client.ask("POST", "/sign-in/", form)[0] == 507
    assert client.ask("POST", "/sign-in/", form)[0] == 302
    client.connection.close()


def manage_without_room(data: Path, *words: object) -> str:
    """What a command says that can write nothing: one line, and a status that is not 0."""
    command = [sys.executable, str(ROOT / "manage.py"), *map(str, words)]
    done = subprocess.run(
        command, env=surroundings(data), capture_output=True, text=True, timeout=60, preexec_fn=write_nothing
    )
    assert done.returncode != 0, done.stdout
    (line,) = done.stderr.strip().splitlines()
    return line


def everything(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.suffix != ".log"}


def test_commands_say_it_and_leave_nothing_behind(shop: Shop, tmp_path: Path) -> None:
    safe = tmp_path / "safe"
    assert shop.manage("backup", safe).returncode == 0
    (copy,) = safe.iterdir()
    assert "There is no room for a copy of the shop in" in manage_without_room(shop.data, "backup", tmp_path / "b")
    assert list((tmp_path / "b").iterdir()) == []
    assert "can't be written: File too large." in manage_without_room(shop.data, "export", tmp_path / "csv")
    assert not (tmp_path / "csv").exists()
    there = tmp_path / "there"
    there.mkdir()
    (there / "shop.sqlite3").write_bytes(b"what stood")
    before = everything(there)
    assert "File too large" in manage_without_room(there, "restore", copy)
    assert {name: content for name, content in everything(there).items() if name in before} == before
    assert list(there.glob("*replaced*")) + list(there.glob(".restoring*")) == []
    assert manage(there, "restore", copy).returncode == 0
