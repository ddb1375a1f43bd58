"""Work to come as lines for the forecast: what make-ups lay out, before there is any order."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.layout import count_for, is_chosen
from jobs.models import Lot, Operation
from timing.forecast import Line


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One operation for one lot: units wanted in all its wheels, spares too. `lot` is its place among those asked."""

    operation: Operation
    lot: int
    pieces: int
    wheels: int
    size_nm: int


def work_of(lots: Sequence[tuple[Lot, int]], operations: Iterable[Operation]) -> list[WorkLine]:
    """The work that lots (saved or not) of so many wheels lay out, operation by operation, in the operations' order."""
    return [
        WorkLine(operation, place, wanted, wheels, lot.height_nm)
        for operation in operations
        for place, (lot, wheels) in enumerate(lots)
        if is_chosen(operation, lot) and (wanted := _wanted(operation, lot, wheels))
    ]


def as_lines(work: Sequence[WorkLine], *, hand_id: int | None = None) -> list[Line]:
    """The same for `forecast_lines`; no hand is any hand."""
    hand = None if hand_id is None else str(hand_id)
    return [Line(one.operation.key, one.pieces, one.wheels, one.size_nm, hand) for one in work]


def _wanted(operation: Operation, lot: Lot, wheels: int) -> int:
    if operation.for_lot:
        return count_for(operation, lot, wheels=wheels).wanted
    return count_for(operation, lot, wheels=1).wanted * wheels
