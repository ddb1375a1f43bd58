"""Every schema that has landed is still brought up to date and read the same."""

import gzip
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.commands import manage
from tests.landed.keep import FOLDER, read, read_and_open, told

KEPT = sorted(path.name.partition(".")[0] for path in FOLDER.glob("*.sqlite3.gz"))
OLDEST = "2026-11-first"


def lay(folder: Path, name: str) -> tuple[Path, dict[str, object]]:
    """A copy of a kept database as it lay, and what was read of it when it was kept."""
    database = folder / "shop.sqlite3"
    database.write_bytes(gzip.decompress((FOLDER / f"{name}.sqlite3.gz").read_bytes()))
    return database, json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", KEPT)
def test_it_is_brought_up_to_date_and_read_the_same(name, tmp_path):
    database, expected = lay(tmp_path, name)
    # A backup before it tries the same migrations on a copy: once, with the oldest, which has them all to come.
    done = manage(database.parent, "migrate", *([] if name == OLDEST else ["--no-backup"]))
    assert done.returncode == 0, done.stderr
    said, pages = read_and_open(database)
    assert said == expected
    assert len(pages) >= 12
    assert set(pages.values()) == {200}


@pytest.mark.parametrize("name", KEPT)
def test_what_is_expected_is_worth_expecting(name, tmp_path):
    _, expected = lay(tmp_path, name)
    assert expected["faults"] == []
    assert expected["owner_may_sign_in"] is True
    assert expected["shop"][0] == "Mill End Wheel Shop"
    pair = expected["orders"][0]
    assert (pair["customer"], pair["due_on"]) == ("Thornbury livery yard", "2026-04-17")
    # 52.50 for the hoop; oak 86.40 and carriage 19.99; what was taken back is nothing.
    assert pair["cost_pence"][2:4] == [5250, 8640 + 1999]


def test_a_wrong_counter_or_cost_is_seen(tmp_path):
    database, expected = lay(tmp_path, KEPT[-1])
    with closing(sqlite3.connect(database)) as connection, connection:
        connection.execute("UPDATE jobs_task SET made = made + 1 WHERE seconds = 5760")
        connection.execute("UPDATE shop_issue SET amount_pence = amount_pence + 1")
    assert manage(database.parent, "migrate", "--no-backup").returncode == 0
    said = read(database)
    assert len(said["faults"]) == 1
    assert said["orders"][0]["cost_pence"] != expected["orders"][0]["cost_pence"]


def test_the_story_can_still_be_told(tmp_path):
    """So that the next one is one command. What a new shop begins with may have changed; who did what has not."""
    database = told(tmp_path)
    (said, pages), kept = read_and_open(database), json.loads((FOLDER / f"{KEPT[-1]}.json").read_text(encoding="utf-8"))
    assert said["faults"] == []
    for name in ("shop", "hands", "devices", "facts", "owner_may_sign_in"):
        assert said[name] == kept[name]
    assert [order["cost_pence"] for order in said["orders"]] == [order["cost_pence"] for order in kept["orders"]]
    assert set(pages.values()) == {200}
