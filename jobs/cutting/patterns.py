"""Ways to cut a bar: all that are worth having where they are few, and quick good ones where they are many."""

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Iterator

from jobs.cutting.problem import Pattern, Problem

MOST_PATTERNS = 3000
# Steps of the search that finds them, and kinds of piece, after which there are too many.
MOST_STEPS = 150_000
MOST_KINDS = 200


class TooMany(Exception):
    """There are more patterns than a search over all of them could bear."""


def all_patterns(problem: Problem) -> list[Pattern]:
    """Every way to cut each kind of bar to which no further wanted piece could be added. Raises TooMany.

    Those are enough: where a plan uses another, one of these covers it, and what is too much is not cut.
    """
    if len(problem.sizes) > MOST_KINDS:
        raise TooMany
    found: list[Pattern] = []
    steps = [0]
    for bar, room in enumerate(problem.rooms):
        for counts in _fillings(problem, room, steps):
            found.append(Pattern(bar, counts))
            if len(found) > MOST_PATTERNS:
                raise TooMany
    return found


def _fillings(problem: Problem, room: int, steps: list[int]) -> Iterator[tuple[int, ...]]:
    sizes, wanted = problem.sizes, problem.wanted
    counts = [0] * len(sizes)

    def go_on(kind: int, left: int) -> Iterator[tuple[int, ...]]:
        steps[0] += 1
        if steps[0] > MOST_STEPS:
            raise TooMany
        if kind == len(sizes) or left < sizes[-1]:
            if all(size > left or count == most for size, count, most in zip(sizes, counts, wanted, strict=True)):
                yield tuple(counts)
            return
        for count in range(min(wanted[kind], left // sizes[kind]), -1, -1):
            counts[kind] = count
            yield from go_on(kind + 1, left - count * sizes[kind])
        counts[kind] = 0

    return go_on(0, room)


def best_fit(problem: Problem) -> list[Pattern] | None:
    """A plan by the greedy hand: the largest piece first, into the fullest bar that takes it; None where that fails.

    Best-fit decreasing (Johnson, Near-optimal bin packing algorithms, 1973).
    """
    stock = Counter({bar: count for bar, count in enumerate(problem.counts) if count is not None})
    opened: list[tuple[int, list[int]]] = []
    left: list[tuple[int, int]] = []
    for kind, (size, wanted) in enumerate(zip(problem.sizes, problem.wanted, strict=True)):
        for _ in range(wanted):
            at = bisect_left(left, (size, -1))
            if at < len(left):
                room, which = left.pop(at)
            else:
                bar = _next_bar(problem, size, stock)
                if bar is None:
                    return None
                opened.append((bar, [0] * len(problem.sizes)))
                room, which = problem.rooms[bar], len(opened) - 1
            opened[which][1][kind] += 1
            insort(left, (room - size, which))
    return [Pattern(bar, tuple(counts)) for bar, counts in opened]


def _next_bar(problem: Problem, size: int, stock: Counter[int]) -> int | None:
    """The shortest offcut that takes the piece, else the longest new bar."""
    at_hand = [bar for bar, count in enumerate(problem.counts) if count is None or stock[bar] > 0]
    here = [bar for bar in at_hand if problem.rooms[bar] >= size]
    if not here:
        return None
    bar = here[0] if problem.costs[here[0]] == 0 else here[-1]
    if problem.counts[bar] is not None:
        stock[bar] -= 1
    return bar
