"""The shop's old book of timings: a row is one stretch of work, as somebody wrote it down.

    order,day,operation,person,wheel,diameter_mm,pieces,minutes

A row is known again by its content and by which of the rows of equal content it is (equal rows of one file are real
work). So the same file again adds nothing, and a longer version of it only what is new, wherever in it that stands. It
follows that

- rows may come in any order, but within a day the order of the file is that of the work: of a row that is put
  between others of its day later, the shop learns as if it came after them;
- a row that was altered is another row, and the one brought in before stays;
- what goes on where another file ended, on the same day, must hold that day from its beginning: rows of the two that
  are alike would be taken for one.

Capitals of people and operations, blanks, the writing of a number and the order of columns make no other row.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid5

from timing.files.cells import a_day, a_text, diameter_nm, pieces, seconds
from timing.files.table import Cells, Sheet, Tick, read_sheet

COLUMNS = ("order", "day", "operation", "person", "wheel", "diameter_mm", "pieces", "minutes")
ORDER_LETTERS, WHEEL_LETTERS, PERSON_LETTERS, OPERATION_LETTERS = 80, 40, 60, 80
TOKENS = UUID("9f3c1f57-33f4-5a2a-9b7f-0d6a2c8a4c1e")
_NO_DAY = date.min

_order, _wheel = a_text(ORDER_LETTERS), a_text(WHEEL_LETTERS, may_be_empty=True)
_person, _operation = a_text(PERSON_LETTERS), a_text(OPERATION_LETTERS)


@dataclass(frozen=True, slots=True)
class OldRow:
    """One row of the old book. A diameter that is None is the usual one; `wheel` is a label, or empty."""

    line: int
    order: str
    day: date
    operation: str
    person: str
    wheel: str
    diameter_nm: int | None
    pieces: int
    seconds: int

    @property
    def content(self) -> str:
        """What makes it the same row as another."""
        told = (self.order, self.day, self.operation.casefold(), self.person.casefold(), self.wheel)
        return "\n".join(map(str, (*told, self.diameter_nm or "", self.pieces, self.seconds)))


def read_timings_file(content: bytes, *, today: date, tick: Tick | None = None) -> Sheet[OldRow]:
    """The rows of an old book, in the file's order. FileRefused with every line that is wrong."""
    day = a_day(today)

    def make(cells: Cells) -> OldRow:
        return OldRow(
            line=cells.line,
            order=cells.take("order", _order, ""),
            day=cells.take("day", day, _NO_DAY),
            operation=cells.take("operation", _operation, ""),
            person=cells.take("person", _person, ""),
            wheel=cells.take("wheel", _wheel, ""),
            diameter_nm=cells.take("diameter_mm", diameter_nm, None),
            pieces=cells.take("pieces", pieces, 0),
            seconds=cells.take("minutes", seconds, 0),
        )

    return read_sheet(content, COLUMNS, make, tick=tick)


def tokens_of(rows: Iterable[OldRow]) -> list[UUID]:
    """By what each row is known again."""
    seen: Counter[str] = Counter()
    tokens = []
    for row in rows:
        content = row.content
        seen[content] += 1
        tokens.append(uuid5(TOKENS, f"{content}\n{seen[content]}"))
    return tokens
