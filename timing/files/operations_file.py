"""A shop's list of operations with its book times: `operation,part,per,book_minutes`.

`per` is what one piece of it is, or how many of them a wheel has. Book minutes are for one piece; empty means that the
shop has no book time, whatever stood before.
"""

from dataclasses import dataclass

from timing.files.cells import CellRefused, a_text, seconds_or_none, shown
from timing.files.table import Cells, FileRefused, Sheet, read_sheet
from timing.forecast.work import USUALLY_A_WHEEL

COLUMNS = ("operation", "part", "per", "book_minutes")
PARTS = ("hub", "band", "spoke", "felloe", "tyre", "box", "finish", "wheel")
MOST_A_WHEEL = 200
MOST_BOOK_SECONDS = 6000 * 60

_operation = a_text(80)
_NO_PER: tuple[str, int | None] = ("", None)


@dataclass(frozen=True, slots=True)
class OperationRow:
    """One operation: `per_number` goes with a `per` of "number"; no book seconds is no book time."""

    line: int
    operation: str
    part: str
    per: str
    per_number: int | None
    book_seconds: int | None


def read_operations_file(content: bytes) -> Sheet[OperationRow]:
    """The rows of a list of operations. FileRefused with every line that is wrong, and where one comes twice."""
    sheet = read_sheet(content, COLUMNS, _make)
    first: dict[str, int] = {}
    twice = [
        f"Line {row.line}: “{row.operation}” stands on line {first[row.operation.casefold()]} already."
        for row in sheet.rows
        if first.setdefault(row.operation.casefold(), row.line) != row.line
    ]
    if twice:
        raise FileRefused(twice)
    return sheet


def _make(cells: Cells) -> OperationRow:
    per, number = cells.take("per", _per, _NO_PER)
    return OperationRow(
        line=cells.line,
        operation=cells.take("operation", _operation, ""),
        part=cells.take("part", _part, ""),
        per=per,
        per_number=number,
        book_seconds=cells.take("book_minutes", _book_seconds, None),
    )


def _part(text: str) -> str:
    if text.casefold() not in PARTS:
        raise CellRefused(f"“{shown(text)}” is none of {', '.join(PARTS)}.")
    return text.casefold()


def _per(text: str) -> tuple[str, int | None]:
    if text.casefold() in USUALLY_A_WHEEL:
        return text.casefold(), None
    if not (text.isascii() and text.isdecimal() and 1 <= int(text[:9]) <= MOST_A_WHEEL):
        words = ", ".join(USUALLY_A_WHEEL)
        raise CellRefused(f"“{shown(text)}” is none of {words}, nor a whole number a wheel up to {MOST_A_WHEEL}.")
    # One a wheel is what goes by the wheel: no other kind of work.
    return ("wheel", None) if int(text) == 1 else ("number", int(text))


def _book_seconds(text: str) -> int | None:
    told = seconds_or_none(text)
    if told is not None and told > MOST_BOOK_SECONDS:
        raise CellRefused(f"“{shown(text)}” is more than {MOST_BOOK_SECONDS // 60:,} minutes a piece.")
    return told
