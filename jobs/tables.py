"""Sets up the tables of a database that has none, so that a command needs nothing run before it."""

from django.core.management import call_command
from django.db import connection


def make_tables() -> bool:
    """Make the tables where there is none at all; True if it did. An older database is left as it is."""
    if connection.introspection.table_names():
        return False
    call_command("migrate", verbosity=0, interactive=False)
    return True
