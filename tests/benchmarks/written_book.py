"""The made-up shop's log, book and orders as a shop would write them into files."""

import csv
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from pathlib import Path

from tests.benchmarks.judging import HAND_NAMES, listed
from tests.benchmarks.made_up_shop import OPERATIONS, Shop
from tests.benchmarks.made_up_work import Log
from timing.files import forecast_file, operations_file, timings_file
from timing.forecast import Line

FIRST_DAY = date(2019, 1, 7)
MM_PER_INCH = 25.4


def write(path: Path, columns: Sequence[str], rows: Iterable[Sequence[object]]) -> Path:
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows(rows)
    return path


def write_timings(path: Path, log: Log) -> Path:
    """Every order on a day of its own, so that rows are in the order of time."""
    columns = (log.order, log.operation, log.hand, log.wheel, log.inches, log.pieces, log.minutes)
    rows = (
        (
            order,
            FIRST_DAY + timedelta(days=order),
            OPERATIONS[operation][0],
            HAND_NAMES[hand],
            wheel,
            f"{inches * MM_PER_INCH:.1f}",
            pieces,
            f"{minutes:.1f}",
        )
        for order, operation, hand, wheel, inches, pieces, minutes in zip(
            *(column.tolist() for column in columns), strict=True
        )
    )
    return write(path, timings_file.COLUMNS, rows)


def write_operations(path: Path, shop: Shop) -> Path:
    """The shop's list, and of its book what it has."""
    rows = [
        (one.key, one.part, one.per, "" if one.book_minutes is None else f"{one.book_minutes:.3f}")
        for one in listed(shop)
    ]
    return write(path, operations_file.COLUMNS, rows)


def write_work(path: Path, lines: Sequence[Sequence[Line]]) -> Path:
    """The lines of orders by their numbers."""
    rows = (
        (
            number,
            line.operation,
            line.hand or "",
            int(line.wheels),
            "" if line.size_nm is None else f"{line.size_nm / 1e6:.1f}",
            int(line.pieces),
        )
        for number, its_own in enumerate(lines)
        for line in its_own
    )
    return write(path, forecast_file.COLUMNS, rows)
