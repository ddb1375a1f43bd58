"""Timings put in order for the fit: rows within wheels within batches, each row with its place in the run."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from timing.forecast.arrays import Bools, Floats, Ints
from timing.forecast.work import Operation, Timings, WorkRefused, check_places

Numbers = TypeVar("Numbers", Ints, Floats)


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows by batch and wheel; groups are the wheels within batches. `*_starts` are first places one level down.

    `original` is the row's place in the timings, `size` ln of the diameter to the usual one. A kind is an operation,
    the pieces of the run before the row's own, and these; a pair an operation and a hand that worked at it.
    """

    original: Ints
    log_minutes: Floats
    size: Floats
    kind: Ints
    kind_operation: Ints
    kind_before: Floats
    kind_pieces: Floats
    rounding: Floats
    counted: Bools
    operation: Ints
    row_group: Ints
    group_starts: Ints
    group_batch: Ints
    group_wheels: Floats
    batch_starts: Ints
    batch_order: Ints
    batch_pair: Ints
    pair_operation: Ints
    pair_hand: Ints
    orders: int
    usual_size_nm: float

    @property
    def batch_operation(self) -> Ints:
        return self.pair_operation[self.batch_pair]


def starts_of(sorted_numbers: Ints) -> Ints:
    """Where each of the runs of equal numbers begins."""
    return np.flatnonzero(np.diff(sorted_numbers, prepend=sorted_numbers[:1] - 1))


def arrange(timings: Timings, operations: Sequence[Operation], hands: Sequence[str], usual_size_nm: float) -> Rows:
    """Timings as the fit wants them. WorkRefused if one names an operation or a hand that is not in its list.

    The usual size is the median of the timings' own, or else the one given.
    """
    check_places("an operation", timings.operation, operations)
    check_places("a hand", timings.hand, hands)
    sized = timings.size_nm[np.isfinite(timings.size_nm)]
    usual = float(np.median(sized)) if len(sized) else usual_size_nm
    order, batch_order = _numbered(timings.order)
    pair_key = timings.operation * len(hands) + timings.hand
    pair, pairs = _numbered(pair_key)
    batch, batches = _numbered(order * len(pairs) + pair)
    before = _before(batch, timings.pieces)
    a_wheel = np.array([one.pieces_a_wheel for one in operations])[timings.operation]
    # A wheel that is not named is told by how far the run has come.
    by_run = -1 - np.floor(before / a_wheel).astype(np.int64)
    wheel, _ = _numbered(np.where(timings.wheel < 0, by_run, timings.wheel))
    sorted_by = np.lexsort((wheel, batch))
    batch, wheel = batch[sorted_by], wheel[sorted_by]
    group_starts = starts_of(batch * (wheel.max(initial=0) + 1) + wheel)
    group_batch = batch[group_starts]
    pieces = timings.pieces[sorted_by]
    operation = timings.operation[sorted_by]
    kind, of_kind = _kinds(operation, before[sorted_by], pieces)
    wheels = np.maximum(pieces / a_wheel[sorted_by], 1.0)
    size = np.log(timings.size_nm[sorted_by] / usual)
    return Rows(
        original=sorted_by,
        log_minutes=np.log(timings.minutes[sorted_by]),
        size=np.where(np.isfinite(size), size, 0.0),
        kind=kind,
        kind_operation=operation[of_kind],
        kind_before=before[sorted_by][of_kind],
        kind_pieces=pieces[of_kind],
        rounding=_rounding(batch, timings.minutes[sorted_by]),
        counted=timings.counted[sorted_by],
        operation=operation,
        row_group=np.repeat(np.arange(len(group_starts)), np.diff(group_starts, append=len(batch))),
        group_starts=group_starts,
        group_batch=group_batch,
        group_wheels=np.maximum.reduceat(wheels, group_starts) if len(wheels) else wheels,
        batch_starts=starts_of(group_batch),
        batch_order=batches // len(pairs) if len(pairs) else batches,
        batch_pair=batches % len(pairs) if len(pairs) else batches,
        pair_operation=pairs // max(len(hands), 1),
        pair_hand=pairs % max(len(hands), 1),
        orders=len(batch_order),
        usual_size_nm=usual,
    )


def _numbered(values: Numbers) -> tuple[Ints, Numbers]:
    """Values numbered anew from 0 in their order, and what each number stands for."""
    known, numbers = np.unique(values, return_inverse=True)
    return numbers.astype(np.int64), known


def _kinds(operation: Ints, before: Floats, pieces: Floats) -> tuple[Ints, Ints]:
    """Rows of an operation that stand alike in their runs are of one kind: each row's, and one row of each."""
    start, length = _numbered(before), _numbered(pieces)
    key = (operation * len(start[1]) + start[0]) * len(length[1]) + length[0]
    _, one, kind = np.unique(key, return_index=True, return_inverse=True)
    return kind.astype(np.int64), one


def _before(batch: Ints, pieces: Floats) -> Floats:
    """Pieces of each row's batch in the rows before it."""
    by_batch = np.argsort(batch, kind="stable")
    made = np.cumsum(pieces[by_batch]) - pieces[by_batch]
    starts = starts_of(batch[by_batch])
    made -= np.repeat(made[starts], np.diff(starts, append=len(batch)))
    before = np.empty_like(made)
    before[by_batch] = made
    return before


def _rounding(batch: Ints, minutes: Floats) -> Floats:
    """Variance of each log of minutes from its rounding alone, to the step that all rows of its batch are multiples of.

    A number rounded to a step is off by that step over √12 (Sheppard, 1898).
    """
    starts = starts_of(batch)
    rows = np.diff(starts, append=len(batch))
    step = np.full(len(starts), 0.0)
    for each in (0.1, 1.0, 5.0):
        odd = np.abs(minutes / each - np.round(minutes / each)) > 1e-6
        if len(starts):
            step = np.where(np.add.reduceat(odd, starts) == 0, each, step)
    return (np.repeat(step, rows) / minutes) ** 2 / 12


def refuse_twins(operations: Sequence[Operation], hands: Sequence[str]) -> None:
    """WorkRefused where two operations or two hands are of one name: a line of work could not tell which."""
    for what, names in (("operations", [one.key for one in operations]), ("hands", list(hands))):
        twins = sorted({name for name in names if names.count(name) > 1})
        if twins:
            raise WorkRefused(f"Two {what} are named “{twins[0]}”.")
