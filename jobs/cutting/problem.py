"""A cutting in whole numbers without a kerf, as the search wants it.

n pieces fit a bar where their lengths and n − 1 cuts do, which is to say where their lengths, each with one cut,
fit the bar with one cut. All is divided by the greatest measure common to the pieces, so that nothing is rounded.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.cutting.plan import Piece, Stock


@dataclass(frozen=True, slots=True)
class Problem:
    """Kinds of piece, largest first, and kinds of bar; sizes and rooms in a unit of their own.

    A count of None is as many as it takes. A cost is 1 for a new bar and nothing for an offcut.
    """

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    rooms: tuple[int, ...]
    counts: tuple[int | None, ...]
    costs: tuple[int, ...]
    lengths_nm: tuple[int, ...]
    unit_nm: int

    @property
    def total(self) -> int:
        return sum(size * count for size, count in zip(self.sizes, self.wanted, strict=True))


@dataclass(frozen=True, slots=True)
class Pattern:
    """A way to cut one bar: the kind of bar, and how many of each kind of piece."""

    bar: int
    counts: tuple[int, ...]


def problem_of(pieces: Sequence[Piece], stocks: Sequence[Stock], kerf_nm: int) -> Problem:
    """Pieces of one length are one kind, and bars of one length; bars too short for any piece are left out."""
    wanted = Counter[int]()
    for piece in pieces:
        if piece.wanted:
            wanted[piece.length_nm + kerf_nm] += piece.wanted
    unit = math.gcd(*wanted)
    sizes = tuple(sorted((size // unit for size in wanted), reverse=True))
    bars: dict[tuple[int, int], int | None] = {}
    for stock in stocks:
        key = (stock.length_nm, 0 if stock.offcut else 1)
        before = bars.get(key, 0)
        if stock.count != 0 and (stock.length_nm + kerf_nm) // unit >= sizes[-1]:
            bars[key] = None if stock.count is None or before is None else before + stock.count
    # Offcuts first and the short before the long: what a greedy hand reaches for.
    kinds = sorted(bars, key=lambda each: (each[1], each[0]))
    return Problem(
        sizes=sizes,
        wanted=tuple(wanted[size * unit] for size in sizes),
        rooms=tuple((length + kerf_nm) // unit for length, _ in kinds),
        counts=tuple(bars[each] for each in kinds),
        costs=tuple(cost for _, cost in kinds),
        lengths_nm=tuple(length for length, _ in kinds),
        unit_nm=unit,
    )


def fits(problem: Problem, counts: Sequence[int], bar: int) -> bool:
    return sum(size * count for size, count in zip(problem.sizes, counts, strict=True)) <= problem.rooms[bar]


def material_bound(problem: Problem) -> int:
    """New bars that the mere length of the pieces needs, all offcuts used to the last."""
    if not any(problem.costs):
        return 0
    free = sum(
        room * (count or 0)
        for room, count, cost in zip(problem.rooms, problem.counts, problem.costs, strict=True)
        if not cost
    )
    longest = max(room for room, cost in zip(problem.rooms, problem.costs, strict=True) if cost)
    return max(0, -(-(problem.total - free) // longest))
