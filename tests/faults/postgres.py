"""A PostgreSQL database for one test."""

import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
import pytest


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
