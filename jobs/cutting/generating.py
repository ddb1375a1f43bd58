"""Good patterns, one after another, where there are too many to write down; and what no plan can come under.

Column generation (Gilmore and Gomory, A linear programming approach to the cutting-stock problem, 1961): the linear
programme over the patterns so far puts a price on each piece, and the pattern worth most at those prices comes in.
The prices also bound every plan from below (Farley, A note on bounding a class of linear programming problems,
including cutting stock problems, 1990).
"""

import math
import time
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from jobs.cutting.knapsack import cell_of, fill
from jobs.cutting.problem import Pattern, Problem

# A piece that no pattern takes costs this many bars: more than any plan would.
LACKING = 1000.0
# Floats are trusted to this much of a bar.
TRUST = 1e-6


@dataclass(frozen=True, slots=True)
class Generated:
    """`least` is a number of new bars that no plan can come under."""

    patterns: list[Pattern]
    least: int


@dataclass(frozen=True, slots=True)
class _Prices:
    """What a piece of each kind is worth, and a bar of each kind of which there are only so many."""

    pieces: NDArray[np.float64]
    bars: NDArray[np.float64]
    value: float


def generate(problem: Problem, start: list[Pattern], *, least: int, until: float) -> Generated:
    """Patterns beside those to start with, until none is worth more or the moment `until` of the monotonic clock.

    `least` is a bound that is known already.
    """
    patterns = dict.fromkeys([*start, *_plain(problem)])
    turns = 0
    while time.monotonic() < until:
        prices = _prices(problem, list(patterns))
        turns += 1
        new = [each for each in _worth_most(problem, prices) if each not in patterns]
        if not new or turns % 8 == 0:
            least = max(least, math.ceil(_bound(problem, prices) - TRUST))
        # The linear programme only falls from here: its bound can rise no further.
        if not new or least >= math.ceil(prices.value - TRUST):
            break
        patterns |= dict.fromkeys(new)
    return Generated(list(patterns), least)


def _plain(problem: Problem) -> list[Pattern]:
    """Each kind by itself, as often as each bar takes it."""
    found = []
    for bar, room in enumerate(problem.rooms):
        for kind, (size, wanted) in enumerate(zip(problem.sizes, problem.wanted, strict=True)):
            if most := min(wanted, room // size):
                found.append(Pattern(bar, tuple(most if each == kind else 0 for each in range(len(problem.sizes)))))
    return found


def _prices(problem: Problem, patterns: list[Pattern]) -> _Prices:
    kinds = len(problem.sizes)
    limited = [bar for bar, count in enumerate(problem.counts) if count is not None]
    takes = np.array([each.counts for each in patterns], dtype=float).T
    rows = np.array([[each.bar == bar for each in patterns] for bar in limited], dtype=float).reshape(-1, len(patterns))
    costs = [float(problem.costs[each.bar]) for each in patterns]
    solved = scipy.optimize.linprog(
        [*costs, *[LACKING] * kinds],
        A_ub=np.block([[-takes, -np.eye(kinds)], [rows, np.zeros((len(limited), kinds))]]),
        b_ub=[*(-count for count in problem.wanted), *(problem.counts[bar] or 0 for bar in limited)],
        method="highs",
    )
    if solved.fun is None:
        raise RuntimeError(f"HiGHS gave no prices: {solved.message}")
    worth = np.maximum(0.0, -np.asarray(solved.ineqlin.marginals))
    bars = np.zeros(len(problem.rooms))
    bars[limited] = worth[kinds:]
    return _Prices(worth[:kinds], bars, float(solved.fun))


def _worth_most(problem: Problem, prices: _Prices) -> list[Pattern]:
    """The pattern worth most for each kind of bar, where it is worth more than the bar; sizes rounded up to cells."""
    cell = cell_of(problem.rooms)
    weights = [-(-size // cell) for size in problem.sizes]
    filled = fill(prices.pieces.tolist(), weights, problem.wanted, max(problem.rooms) // cell)
    return [
        Pattern(bar, filled.counts(room // cell))
        for bar, room in enumerate(problem.rooms)
        if filled.worth[room // cell] > problem.costs[bar] + prices.bars[bar] + TRUST
    ]


def _bound(problem: Problem, prices: _Prices) -> float:
    """New bars, as a fraction, that every plan needs; sizes rounded down to cells, so that nothing is worth more.

    Prices at which no bar's filling is worth more than the bar are a bound as they are. Where there is no end
    of a kind of bar, all prices are lowered until that holds; what an offcut, or a bar of which there are only
    so many, is worth above its cost is taken off for each of them.
    """
    cell = cell_of(problem.rooms)
    weights = [size // cell for size in problem.sizes]
    filled = fill(prices.pieces.tolist(), weights, problem.wanted, max(problem.rooms) // cell)
    most = [float(filled.worth[room // cell]) for room in problem.rooms]
    bars = list(zip(most, problem.costs, problem.counts, strict=True))
    lower = min((cost / worth for worth, cost, count in bars if count is None and worth > cost), default=1.0)
    value = lower * float(prices.pieces @ np.array(problem.wanted, dtype=float))
    return value - sum(count * max(0.0, lower * worth - cost) for worth, cost, count in bars if count is not None)
