import re
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path

import pytest
from django.core.checks import Tags, run_checks
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper

from shop.checks import sqlite_faults
from tests.commands import free_port, lay_new_shop, manage, refusal

SETTINGS = {
    "ENGINE": "django.db.backends.sqlite3",
    "OPTIONS": {
        "timeout": 5,
        "transaction_mode": "IMMEDIATE",
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;",
    },
}


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[DatabaseWrapper]:
    """A connection to a new SQLite file; tests change its options before its first query."""
    plain = connections["default"].settings_dict
    wrapper = DatabaseWrapper({**deepcopy(plain), **deepcopy(SETTINGS), "NAME": tmp_path / "shop.sqlite3"}, "trial")
    yield wrapper
    wrapper._close()


@pytest.fixture(autouse=True)
def _may_open(django_db_blocker: object) -> Iterator[None]:
    with django_db_blocker.unblock():
        yield


def test_it_works(opened):
    assert sqlite_faults(opened) == []


@pytest.mark.parametrize(
    ("option", "value", "sentence"),
    [
        ("init_command", "PRAGMA synchronous=FULL;", "journal mode is delete, not wal"),
        ("init_command", "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;", r"synchronous is 1, not FULL \(2\)"),
        ("timeout", 0, "busy timeout is 0 ms"),
        ("transaction_mode", None, "transaction mode is None, not IMMEDIATE"),
        ("transaction_mode", "DEFERRED", "transaction mode is DEFERRED, not IMMEDIATE"),
        (
            "init_command",
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=OFF;",
            "foreign keys are off",
        ),
    ],
)
def test_each_wrong_setting_is_one_sentence(opened, option, value, sentence):
    opened.settings_dict["OPTIONS"][option] = value
    (fault,) = sqlite_faults(opened)
    assert re.search(sentence, fault)
    assert fault.endswith(".")


def test_the_check_is_among_those_of_the_database(monkeypatch, opened):
    opened.settings_dict["OPTIONS"]["timeout"] = 0
    monkeypatch.setattr("shop.checks.connections", {"default": opened})
    found = [one for one in run_checks(tags=[Tags.database], databases=["default"]) if one.id == "shop.E001"]
    assert [one.msg for one in found] == sqlite_faults(opened)


def test_a_shop_on_sqlite_is_set_up_rightly(tmp_path):
    script = "import django; django.setup(); from django.db import connection; from shop.checks import *; "
    done = manage(tmp_path, "shell", "--no-imports", "-c", script + "print(sqlite_faults(connection))")
    assert done.stdout == "[]\n", done.stderr


WRONG = """
from shop.settings import *
DATABASES["default"]["OPTIONS"]["transaction_mode"] = None
"""


def test_start_is_refused_on_a_wrong_setting(tmp_path):
    (tmp_path / "wrong_settings.py").write_text(WRONG)
    changes = {"PYTHONPATH": str(tmp_path), "DJANGO_SETTINGS_MODULE": "wrong_settings"}
    lay_new_shop(tmp_path)
    said = refusal(tmp_path, "start", "--port", free_port(), **changes)
    assert said.startswith("CommandError: The database's transaction mode is None")
