"""CSV for people who open it in a spreadsheet: text that a spreadsheet would take for a formula is kept as text.

The guard is the one that OWASP recommends for "CSV injection": an apostrophe before a leading =, +, -, @, tab, NUL or
line end. Numbers are written as numbers, so that negated facts still sum.
"""

import csv
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from uuid import UUID

Cell = str | int | bool | date | datetime | UUID | None

# The full-width forms are taken for formulas by some spreadsheets too.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def safe_cell(value: Cell) -> str | int:
    """One cell as it is written: whole numbers as they are, days and moments in ISO 8601, text guarded.

    A boolean becomes 1 or 0, None an empty cell.
    """
    if value is None:
        return ""
    if isinstance(value, int):
        return int(value)
    if isinstance(value, date):
        return value.isoformat()
    text = str(value)
    if text.startswith(FORMULA_STARTS) or text.lstrip().startswith(FORMULA_STARTS):
        return f"'{text}"
    return text


class _Line:
    """What `csv.writer` writes to: gives each line back."""

    def write(self, line: str) -> str:
        return line


def csv_lines(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[str]:
    """The lines of a CSV file (RFC 4180, with its line ends), one at a time, so that a long file can be streamed."""
    writer = csv.writer(_Line())
    yield writer.writerow(header)
    for row in rows:
        yield writer.writerow([safe_cell(value) for value in row])
