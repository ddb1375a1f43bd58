"""A PostgreSQL database for one test, and the rows of an SQLite file in one."""

import os
import sqlite3
import uuid
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import psycopg
import pytest
from psycopg import sql


@contextmanager
def empty_database(like: str = "template1") -> Iterator[str]:
    """The URL of a new database beside the one that DATABASE_URL names; it is dropped again.

    It is empty, or a copy of the database `like`, which nobody may have open.
    """
    url = os.environ.get("DATABASE_URL", "")
    if not url.startswith("postgres"):
        if os.environ.get("CI"):
            pytest.fail("DATABASE_URL names no PostgreSQL: in CI that is a failure.")
        pytest.skip("DATABASE_URL names no PostgreSQL.")
    server = url.rpartition("/")[0]
    name = f"faults_{uuid.uuid4().hex[:8]}"
    with psycopg.connect(f"{server}/postgres", autocommit=True) as connection:
        connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{like}"')
        try:
            yield f"{server}/{name}"
        finally:
            connection.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


def copy_rows(file: Path, url: str) -> None:
    """Put every row of an SQLite database into a PostgreSQL database that has the same tables, in place of its own."""
    with closing(sqlite3.connect(file)) as source, psycopg.connect(url) as target:
        # SQLite keeps moments in UTC and without saying so.
        target.execute("SET TIME ZONE 'UTC'")
        tables = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        names = [row[0] for row in source.execute(tables)]
        target.execute(sql.SQL("TRUNCATE {}").format(sql.SQL(", ").join(map(sql.Identifier, names))))
        for name in names:
            rows = source.execute(f'SELECT * FROM "{name}"')  # noqa: S608
            columns = [sql.Identifier(column[0]) for column in rows.description]
            into = sql.SQL("COPY {} ({}) FROM STDIN").format(sql.Identifier(name), sql.SQL(", ").join(columns))
            with target.cursor() as cursor, cursor.copy(into) as copy:
                for row in rows:
                    copy.write_row(row)
            _count_on(target, name)


def _count_on(target: psycopg.Connection[tuple[object, ...]], name: str) -> None:
    """Have ids that are given out go on after those that are there."""
    has_id = "SELECT 1 FROM pg_attribute WHERE attrelid = %s::regclass AND attname = 'id'"
    if not target.execute(has_id, [f'"{name}"']).fetchone():
        return
    found = target.execute("SELECT pg_get_serial_sequence(%s, 'id')", [f'"{name}"']).fetchone()
    if found and found[0]:
        newest = sql.SQL("SELECT setval(%s, GREATEST(MAX(id), 1), MAX(id) IS NOT NULL) FROM {}")
        target.execute(newest.format(sql.Identifier(name)), [found[0]])
