"""The example shop in a file: `python -m tests.example_file FILE` loads it, and EXAMPLE_AT=FILE has tests copy it."""

import os
import subprocess
import sys
from pathlib import Path

from tests.commands import ROOT, surroundings

LOAD = """
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from shop.example import load_example
load_example()
"""


def load_into(url: str, folder: Path) -> None:
    """Load the example into an empty database; what else it wants goes to `folder`."""
    settings = {"DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "shop.settings"}
    subprocess.run([sys.executable, "-c", LOAD], cwd=ROOT, env=surroundings(folder, **settings), check=True)


def load(database: Path) -> Path:
    """Load the example into a file that is not there yet."""
    load_into(f"sqlite:///{database}", database.parent)
    return database


def example_in(folder: Path) -> Path:
    """A file with the example, not to be changed: the one that was loaded before, or else a new one in `folder`."""
    loaded = os.environ.get("EXAMPLE_AT")
    return Path(loaded) if loaded else load(folder / "shop.sqlite3")


if __name__ == "__main__":
    load(Path(sys.argv[1]))
