"""The example shop in a file of its own, loaded once for all the benchmarks."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.benchmarks.serving import ROOT, environment

LOAD = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from shop.example import load_example
load_example()
"""


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A database file with the example shop."""
    database = tmp_path_factory.mktemp("benchmark") / "shop.sqlite3"
    subprocess.run([sys.executable, "-c", LOAD], cwd=ROOT, env=environment(database), check=True)
    return database
