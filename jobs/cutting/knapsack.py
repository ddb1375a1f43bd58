"""The most worth that fits one bar, by dynamic programming over its length in cells."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOST_CELLS = 20_000


def cell_of(rooms: Sequence[int]) -> int:
    """The units in a cell: 1 where the longest bar has few enough of them, and then nothing is rounded."""
    return max(1, -(-max(rooms) // MOST_CELLS))


@dataclass(frozen=True, slots=True)
class Filled:
    """The most worth for each room from 0 to all cells, and which pieces make it."""

    worth: NDArray[np.float64]
    _taken: list[tuple[int, int, int, NDArray[np.bool_]]]
    _kinds: int

    def counts(self, cells: int) -> tuple[int, ...]:
        """How many of each kind make the most of that many cells."""
        counts = [0] * self._kinds
        for kind, number, weight, taken in reversed(self._taken):
            if cells >= weight and taken[cells - weight]:
                counts[kind] += number
                cells -= weight
        return tuple(counts)


def fill(worths: Sequence[float], weights: Sequence[int], most: Sequence[int], cells: int) -> Filled:
    """Each kind at most `most` times. Copies are put in by powers of two, so that many of a kind cost little."""
    best = np.zeros(cells + 1)
    taken = []
    for kind, (worth, weight, copies) in enumerate(zip(worths, weights, most, strict=True)):
        if worth <= 1e-12:
            continue
        left = min(copies, cells // weight) if weight else copies
        number = 1
        while left > 0:
            number = min(number, left)
            left -= number
            heavy = weight * number
            if heavy > cells:
                break
            # A new array, so that no copy is put in twice.
            with_it = best[: cells + 1 - heavy] + worth * number
            better = with_it > best[heavy:] + 1e-12
            np.copyto(best[heavy:], with_it, where=better)
            taken.append((kind, number, heavy, better))
            number *= 2
    return Filled(best, taken, len(worths))
