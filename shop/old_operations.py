"""Operations as a file tells them: which the shop has not, and which it keeps otherwise."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from jobs.models import Operation
from jobs.models.operations import Per, Trade
from jobs.operations import FIXED_BY_WORK, with_marks
from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import the_shop
from shop.known_names import as_written, operations_by_name
from shop.operations import add_operation, edit_operation, is_worked, write_book_time
from timing.files.operations_file import OperationRow
from timing.files.table import FileRefused

NAME_LETTERS = Operation._meta.get_field("name").max_length or 0


@dataclass(frozen=True, slots=True)
class Told:
    """A row that changes the shop's list: the operation that it changes, or None for one that it adds."""

    row: OperationRow
    operation: Operation | None

    @property
    def sentence(self) -> str:
        row = self.row
        per = f"{row.per_number} a wheel" if row.per_number else f"by the {row.per}"
        book = f"book time {row.book_seconds / 60:g} minutes" if row.book_seconds else "no book time"
        return f"“{row.operation}”: {row.part}, {per}, {book}"


def compare(rows: Sequence[OperationRow]) -> list[Told]:
    """What of these rows is news to the shop. FileRefused with every line that can't be done.

    What is counted in an operation that has work can't change: its counts would change their meaning.
    """
    known, words = operations_by_name(), the_shop().words
    first: dict[int, OperationRow] = {}
    found, wrong = [], []
    for row in rows:
        one = known.get(as_written(row.operation))
        if one is None:
            if len(with_marks(row.operation, words)) > NAME_LETTERS:
                wrong.append(f"Line {row.line}: “{row.operation}” is too long to keep, with marks at the shop's words.")
            found.append(Told(row, None))
            continue
        before = first.setdefault(one.pk, row)
        changes = _changes(row, one)
        if before is not row:
            wrong.append(
                f"Line {row.line}: “{row.operation}” is the same as “{before.operation}” on line {before.line}."
            )
        elif changes.keys() & set(FIXED_BY_WORK) and is_worked(one):
            wrong.append(
                f"Line {row.line}: “{row.operation}” has work already, where it is of the {one.part} and by the "
                f"{one.per_number or one.per}: that can't change."
            )
        elif changes:
            found.append(Told(row, one))
    if wrong:
        raise FileRefused(wrong)
    return found


def keep(rows: Sequence[OperationRow]) -> None:
    """Add and change the shop's operations as `compare` says, each with its line of who changed what."""
    with writing():
        take_turns("operations")
        # Compared anew: another may have been here meanwhile.
        for told in compare(rows):
            if told.operation is None:
                _add(told.row)
            else:
                _change(told.operation, told.row)


def _add(row: OperationRow) -> None:
    """At the end of the list, and for no kind of work yet: no order gets it before an owner says so."""
    last = Operation.objects.in_use().last()
    add_operation(
        by=None,
        after=last,
        name=with_marks(row.operation, the_shop().words),
        part=row.part,
        per=row.per,
        per_number=row.per_number,
        for_lot=False,
        trade=Trade.BENCH,
        book_seconds=row.book_seconds,
        works=[],
    )


def _change(operation: Operation, row: OperationRow) -> None:
    changes = _changes(row, operation)
    if changes.keys() == {"book_seconds"}:
        # Its place in the list is left alone: by that, spoiled pieces want earlier work again.
        write_book_time(operation, changes["book_seconds"], by=None)
        return
    before = Operation.objects.in_use().filter(position__lt=operation.position).last()
    edit_operation(operation, by=None, after=before, **changes)


def _changes(row: OperationRow, operation: Operation) -> dict[str, Any]:
    told: dict[str, Any] = {
        "part": row.part,
        "per": row.per,
        "per_number": row.per_number if row.per == Per.NUMBER else None,
        "book_seconds": row.book_seconds,
    }
    return {name: value for name, value in told.items() if getattr(operation, name) != value}
