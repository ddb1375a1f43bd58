"""The example shop in an SQLite file, and in a PostgreSQL database, loaded once; and the compiler."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.benchmarks.conftest import example
from tests.example_file import load_into
from tests.faults.postgres import empty_database

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
def loaded_database(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The name of a PostgreSQL database that holds the example, to be copied."""
    with empty_database() as url:
        load_into(url, tmp_path_factory.mktemp("loaded"))
        yield url.rpartition("/")[2]


@pytest.fixture
def database_url(loaded_database: str) -> Iterator[str]:
    """A PostgreSQL database of a test's own with the example shop."""
    with empty_database(like=loaded_database) as url:
        yield url
