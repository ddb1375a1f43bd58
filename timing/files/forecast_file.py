"""Work to be forecast: `order,operation,person,wheels,diameter_mm,pieces`.

`pieces` are a row's in all, over its `wheels`. Nobody named is any hand; no diameter is the usual one. All rows of an
order are one forecast, and its rows of one operation and one person one run, in the file's order.
"""

from dataclasses import dataclass

from timing.files.cells import a_text, diameter_nm, pieces, wheels
from timing.files.table import Cells, Sheet, read_sheet
from timing.files.timings_file import OPERATION_LETTERS, ORDER_LETTERS, PERSON_LETTERS

COLUMNS = ("order", "operation", "person", "wheels", "diameter_mm", "pieces")

_order, _operation = a_text(ORDER_LETTERS), a_text(OPERATION_LETTERS)
_person = a_text(PERSON_LETTERS, may_be_empty=True)


@dataclass(frozen=True, slots=True)
class AskedRow:
    """One row of work; `diameter_mm` is as it was written."""

    line: int
    order: str
    operation: str
    person: str
    wheels: int
    diameter_mm: str
    diameter_nm: int | None
    pieces: int


def read_forecast_file(content: bytes) -> Sheet[AskedRow]:
    """The rows in the file's order. FileRefused with every line that is wrong."""
    return read_sheet(content, COLUMNS, _make)


def _make(cells: Cells) -> AskedRow:
    return AskedRow(
        line=cells.line,
        order=cells.take("order", _order, ""),
        operation=cells.take("operation", _operation, ""),
        person=cells.take("person", _person, ""),
        wheels=cells.take("wheels", wheels, 1),
        diameter_mm=cells.take("diameter_mm", str, ""),
        diameter_nm=cells.take("diameter_mm", diameter_nm, None),
        pieces=cells.take("pieces", pieces, 1),
    )
