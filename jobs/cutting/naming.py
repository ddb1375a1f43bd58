"""From patterns to bars: what is over is not cut, offcuts take what they can, and each piece gets its name."""

from collections import Counter, defaultdict
from collections.abc import Sequence

from jobs.cutting.knapsack import cell_of, fill
from jobs.cutting.plan import Bar, Cut, Piece
from jobs.cutting.problem import Pattern, Problem

Row = tuple[int, list[int]]


def bars_of(problem: Problem, cut: Sequence[Pattern], pieces: Sequence[Piece], kerf_nm: int) -> tuple[Bar, ...]:
    """The bars of a plan, offcuts first, the shorter before the longer and the fuller before the emptier."""
    names: dict[int, list[str]] = defaultdict(list)
    for piece in reversed(pieces):
        names[(piece.length_nm + kerf_nm) // problem.unit_nm] += [piece.name] * piece.wanted
    bars = []
    for bar, counts in _into_offcuts(problem, _trimmed(problem, cut)):
        cuts = []
        for size, count in zip(problem.sizes, counts, strict=True):
            length = size * problem.unit_nm - kerf_nm
            cuts += [Cut(length, names[size].pop()) for _ in range(count)]
        if cuts:
            bars.append(Bar(problem.lengths_nm[bar], not problem.costs[bar], tuple(cuts), kerf_nm))
    bars.sort(key=lambda each: (not each.offcut, each.length_nm, each.left_nm))
    return tuple(bars)


def _trimmed(problem: Problem, cut: Sequence[Pattern]) -> list[Row]:
    """What is over is left out of new bars and of the emptiest, so that what remains of them is worth keeping."""
    rows = [(pattern.bar, list(pattern.counts)) for pattern in cut]
    rows.sort(key=lambda row: (problem.costs[row[0]], _emptiness(problem, row)), reverse=True)
    _take_out(rows, [sum(each) - most for each, most in zip(_columns(problem, rows), problem.wanted, strict=True)])
    return rows


def _into_offcuts(problem: Problem, rows: list[Row]) -> list[Row]:
    """Offcuts that the plan could do without take what they can from the new bars, which keep the longer rest."""
    used = Counter(bar for bar, counts in rows if any(counts))
    cell = cell_of(problem.rooms)
    weights, worths = [-(-size // cell) for size in problem.sizes], [float(size) for size in problem.sizes]
    for bar, room in enumerate(problem.rooms):
        for _ in range((problem.counts[bar] or 0) - used[bar] if not problem.costs[bar] else 0):
            new = [row for row in rows if problem.costs[row[0]]]
            new.sort(key=lambda row: _emptiness(problem, row), reverse=True)
            movable = [sum(each) for each in _columns(problem, new)]
            counts = list(fill(worths, weights, movable, room // cell).counts(room // cell))
            if not any(counts):
                break
            _take_out(new, counts)
            rows = [*rows, (bar, counts)]
    return rows


def _take_out(rows: list[Row], numbers: list[int]) -> None:
    """So many of each kind, from the first rows that have them."""
    for kind, left in enumerate(numbers):
        for _, counts in rows:
            taken = min(left, counts[kind])
            counts[kind] -= taken
            left -= taken


def _columns(problem: Problem, rows: list[Row]) -> list[list[int]]:
    return [[counts[kind] for _, counts in rows] for kind in range(len(problem.sizes))]


def _emptiness(problem: Problem, row: Row) -> int:
    bar, counts = row
    return problem.rooms[bar] - sum(size * count for size, count in zip(problem.sizes, counts, strict=True))
