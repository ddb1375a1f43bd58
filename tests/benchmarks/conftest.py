"""The example shop in a file of its own, loaded once for all the benchmarks."""

from pathlib import Path

import pytest

from tests.example_file import example_in


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with the example shop, not to be changed."""
    return example_in(tmp_path_factory.mktemp("benchmark"))
