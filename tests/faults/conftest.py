"""The example shop in an SQLite file, loaded once for those that only want one to begin with; and the compiler."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.benchmarks.conftest import example

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
