"""Whole plans by a greedy hand that fills one bar after another as full as it can, in ever other order.

The largest piece that is left goes into the bar, and the rest of the bar is filled by the knapsack (after the minimum
bin slack of Gupta and Ho, A new heuristic algorithm for the one-dimensional bin-packing problem, 1999).
"""

import random
import time
from collections.abc import Iterator

from jobs.cutting.knapsack import cell_of, fill
from jobs.cutting.problem import Pattern, Problem

# How far a piece's worth is from its length: a large piece that is left over is worse than a small one.
POWERS = (1.0, 1.15, 1.4)
NOISES = (0.0, 0.01, 0.04, 0.15)


def packings(problem: Problem, *, until: float) -> Iterator[list[Pattern]]:
    """One plan after another until the moment `until` of the monotonic clock; the same each time it is asked."""
    chance = random.Random(1736)  # noqa: S311 — nothing secret: it only varies the order
    turn = 0
    while time.monotonic() < until:
        power, noise = POWERS[turn % len(POWERS)], NOISES[turn // len(POWERS) % len(NOISES)]
        longest = problem.sizes[0]
        worths = [(size / longest) ** power * (1 + noise * chance.random()) for size in problem.sizes]
        turn += 1
        if (packed := _pack(problem, worths)) is not None:
            yield packed


def _pack(problem: Problem, worths: list[float]) -> list[Pattern] | None:
    left = list(problem.wanted)
    packed: list[Pattern] = []
    for bar in _bars(problem):
        if not any(left):
            break
        first = next(
            (kind for kind, size in enumerate(problem.sizes) if left[kind] and size <= problem.rooms[bar]), None
        )
        if first is None:
            continue
        counts = _filled(problem, worths, left, bar, first)
        packed.append(Pattern(bar, counts))
        left = [before - taken for before, taken in zip(left, counts, strict=True)]
    return None if any(left) else packed


def _filled(problem: Problem, worths: list[float], left: list[int], bar: int, first: int) -> tuple[int, ...]:
    cell = cell_of(problem.rooms)
    others = [count - (kind == first) for kind, count in enumerate(left)]
    rest = (problem.rooms[bar] - problem.sizes[first]) // cell
    made = fill(worths, [-(-size // cell) for size in problem.sizes], others, rest).counts(rest)
    return tuple(count + (kind == first) for kind, count in enumerate(made))


def _bars(problem: Problem) -> Iterator[int]:
    """Offcuts, the shortest first; then new bars, the longest first."""
    kinds = range(len(problem.rooms))
    offcuts = [bar for bar in kinds if not problem.costs[bar]]
    new = [bar for bar in reversed(kinds) if problem.costs[bar]]
    for bar in (*offcuts, *new):
        count = problem.counts[bar]
        for _ in range(sum(problem.wanted) if count is None else min(count, sum(problem.wanted))):
            yield bar
