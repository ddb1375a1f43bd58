"""Multiplies the closed orders of an SQLite database, with all their work, by plain SQL."""

import sqlite3
from pathlib import Path

CLOSED = "SELECT id FROM jobs_order WHERE state IN ('fetched', 'paid', 'dropped')"
LOTS = f"SELECT id FROM jobs_lot WHERE order_id IN ({CLOSED})"
TASKS = f"SELECT id FROM jobs_task WHERE lot_id IN ({LOTS})"
STRETCHES = f"SELECT DISTINCT stretch_id FROM timing_tally WHERE task_id IN ({TASKS})"
# Each table with the rows to copy and the columns that point at copied rows.
TABLES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("jobs_customer", f"id IN (SELECT customer_id FROM jobs_order WHERE id IN ({CLOSED}))", ()),
    ("jobs_order", f"id IN ({CLOSED})", ("number", "customer_id")),
    ("jobs_promise", f"order_id IN ({CLOSED})", ("order_id",)),
    ("jobs_lot", f"id IN ({LOTS})", ("order_id", "replaces_id")),
    ("jobs_wheel", f"lot_id IN ({LOTS})", ("lot_id", "replaces_id")),
    ("jobs_measure", f"wheel_id IN (SELECT id FROM jobs_wheel WHERE lot_id IN ({LOTS}))", ("wheel_id",)),
    ("jobs_part", f"lot_id IN ({LOTS})", ("lot_id", "wheel_id", "replaces_id")),
    ("jobs_task", f"lot_id IN ({LOTS})", ("part_id", "lot_id", "wheel_id")),
    ("jobs_hold", f"order_id IN ({CLOSED})", ("order_id", "lot_id", "wheel_id")),
    ("jobs_trip", f"task_id IN ({TASKS})", ("task_id",)),
    ("shop_issue", f"order_id IN ({CLOSED})", ("order_id", "lot_id", "wheel_id", "cancels_id")),
    ("shop_outwork", f"order_id IN ({CLOSED})", ("order_id", "lot_id", "wheel_id", "task_id", "trip_id", "cancels_id")),
    ("timing_stretch", f"id IN ({STRETCHES})", ()),
    ("timing_helper", f"stretch_id IN ({STRETCHES})", ("stretch_id",)),
    ("timing_tally", f"stretch_id IN ({STRETCHES})", ("stretch_id", "task_id")),
)
STEP = 10_000_000


def multiply_closed(database: Path, times: int) -> None:
    """Add `times` copies of every closed order with its customer, wheels, tasks, charges, stretches and tallies.

    Days and moments stay as they are; tokens are made anew, the same way in a stretch and in what cancels it.
    SQLite is not asked to ANALYZE: nothing in a shop asks it to either.
    """
    connection = sqlite3.connect(database)
    # Tokens fall all over their index: with it in memory five million take two minutes.
    connection.execute("PRAGMA cache_size=-3000000")
    connection.execute("PRAGMA foreign_keys=OFF")
    connection.execute("PRAGMA synchronous=OFF")
    with connection:
        for table, rows, offset in TABLES:
            columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
            names = ", ".join(f'"{column}"' for column in columns)
            connection.execute(f"CREATE TEMP TABLE kept_{table} AS SELECT * FROM {table} WHERE {rows}")
            for copy in range(1, times + 1):
                values = ", ".join(_copied(column, offset, copy) for column in columns)
                connection.execute(f"INSERT INTO {table} ({names}) SELECT {values} FROM kept_{table}")
    faults = connection.execute("PRAGMA foreign_key_check").fetchall()
    connection.close()
    if faults:
        raise RuntimeError(f"{len(faults)} rows point nowhere, the first: {faults[0]}")


def _copied(column: str, offset: tuple[str, ...], copy: int) -> str:
    if column == "id" or column in offset:
        return f"{column} + {copy * STEP if column != 'number' else copy * 1000}"
    if column in ("token", "cancels_token"):
        # Both alike, so that a copied cancel names the copied stretch; version 8, which no token of ours is.
        made = f"printf('%04x', {copy}) || substr({column}, 5, 8) || '8' || substr({column}, 14)"
        return f"CASE WHEN {column} IS NULL THEN NULL ELSE {made} END"
    return f'"{column}"'


def closed_tallies(database: Path) -> int:
    """How many tallies the closed orders have."""
    connection = sqlite3.connect(database)
    number = int(
        connection.execute(f"SELECT COUNT(*) FROM timing_tally WHERE stretch_id IN ({STRETCHES})").fetchone()[0]
    )
    connection.close()
    return number
