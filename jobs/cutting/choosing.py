"""How often each pattern is cut, in whole bars: by HiGHS, an exact solver, through SciPy."""

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from jobs.cutting.problem import Pattern, Problem


@dataclass(frozen=True, slots=True)
class Chosen:
    """The patterns, each as often as it is cut (None where none was found), and whether HiGHS proved it.

    `least` is what no choice of these patterns comes under; `impossible` that no choice of them serves.
    """

    cut: list[Pattern] | None
    least: float
    impossible: bool = False


def choose(
    problem: Problem,
    patterns: Sequence[Pattern],
    costs: Sequence[float],
    *,
    until: float,
    new_bars: tuple[int, float] = (0, math.inf),
) -> Chosen:
    """Patterns that cover all that is wanted, at least cost, with new bars in number from the one to the other.

    More than is wanted may come out, which is not cut. `until` is a moment of the monotonic clock.
    """
    seconds = until - time.monotonic()
    if seconds <= 0 or not patterns:
        return Chosen(None, -math.inf, impossible=not patterns)
    takes = np.array([each.counts for each in patterns], dtype=float).T
    limits = [scipy.optimize.LinearConstraint(takes, np.array(problem.wanted, dtype=float), np.inf)]
    new = np.array([[problem.costs[each.bar] for each in patterns]], dtype=float)
    limits.append(scipy.optimize.LinearConstraint(new, *new_bars))
    for bar, count in enumerate(problem.counts):
        if count is not None:
            limits.append(
                scipy.optimize.LinearConstraint(np.array([[float(each.bar == bar) for each in patterns]]), 0, count)
            )
    solved = scipy.optimize.milp(
        np.array(costs, dtype=float),
        integrality=np.ones(len(patterns), dtype=np.int8),
        bounds=scipy.optimize.Bounds(0, np.inf),
        constraints=limits,
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    bound = getattr(solved, "mip_dual_bound", None)
    least = -math.inf if bound is None else float(bound)
    if solved.x is None:
        return Chosen(None, least, impossible=solved.status == 2)
    cut = [each for each, times in zip(patterns, solved.x, strict=True) for _ in range(round(times))]
    return Chosen(cut, least)
