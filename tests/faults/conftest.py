"""The example shop in an SQLite file and in a PostgreSQL database, both to be copied; and the compiler."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.benchmarks.conftest import example
from tests.commands import ROOT, surroundings
from tests.faults.postgres import copy_rows, empty_database

__all__ = ["example"]


@pytest.fixture(scope="session")
def gcc() -> None:
    """The compiler of what watches the disk. Only a machine that is not CI's may lack it."""
    if shutil.which("gcc") is None:
        if os.environ.get("CI"):
            pytest.fail("There is no gcc: in CI that is a failure.")
        pytest.skip("There is no gcc to compile what watches the disk.")


@pytest.fixture(scope="session")
def put_example(example: Path) -> Callable[[Path], Path]:
    """Puts a copy of the example shop into a folder, and gives that folder back."""

    def put(folder: Path) -> Path:
        shutil.copy(example, folder / "shop.sqlite3")
        return folder

    return put


@pytest.fixture(scope="session")
def new_database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The name of a PostgreSQL database that holds a shop's tables and nothing else yet, to be copied."""
    with empty_database() as url:
        command = [sys.executable, "manage.py", "migrate", "--verbosity=0"]
        where = surroundings(tmp_path_factory.mktemp("new"), DATABASE_URL=url)
        subprocess.run(command, cwd=ROOT, env=where, check=True)
        yield url.rpartition("/")[2]


@pytest.fixture(scope="session")
def loaded_database(new_database: str, example: Path) -> Iterator[str]:
    """The name of a PostgreSQL database that holds the example, to be copied.

    Its rows are the file's: that the example can be loaded there is asked in `tests/shop/test_plain_sum.py`.
    """
    with empty_database(like=new_database) as url:
        copy_rows(example, url)
        yield url.rpartition("/")[2]


@pytest.fixture
def database_url(loaded_database: str) -> Iterator[str]:
    """A PostgreSQL database of a test's own with the example shop."""
    with empty_database(like=loaded_database) as url:
        yield url
