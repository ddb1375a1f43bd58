"""Writers that must wait for each other where there is no row yet to lock."""

from django.db import connection


def take_turns(about: str) -> None:
    """On PostgreSQL, one writer at a time of those who name the same: call it first inside the write.

    SQLite has one writer anyhow.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(hashtext(%s))", [about])
