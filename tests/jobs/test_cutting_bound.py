"""What no plan can come under, as generated patterns tell it, against the linear programme over every pattern."""

import math
import time
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import linprog

from jobs.cutting import Piece, Stock
from jobs.cutting.generating import generate
from jobs.cutting.knapsack import cell_of, fill
from jobs.cutting.patterns import all_patterns, best_fit
from jobs.cutting.problem import Problem, problem_of

BAR = 300


def asked(lengths: list[int], offcuts: list[int], *, unit_nm: int = 10_000_000, off_nm: int = 0) -> Problem:
    """Lengths of a bar of 300, in centimetres; `off_nm` takes the places of each piece off that grid."""
    pieces = [Piece(length * unit_nm - off_nm * (place + 1)) for place, length in enumerate(lengths)]
    stocks = [Stock(BAR * unit_nm), *(Stock(each * unit_nm, 1, offcut=True) for each in offcuts)]
    return problem_of(pieces, stocks, 0)


def fractional_least(problem: Problem) -> float:
    """New bars by the linear programme over every pattern, written here again."""
    patterns = all_patterns(problem)
    takes = np.array([each.counts for each in patterns], dtype=float).T
    limited = [bar for bar, count in enumerate(problem.counts) if count is not None]
    rows = np.array([[each.bar == bar for each in patterns] for bar in limited], dtype=float)
    solved = linprog(
        [problem.costs[each.bar] for each in patterns],
        A_ub=np.vstack([-takes, rows]) if limited else -takes,
        b_ub=[*(-count for count in problem.wanted), *(problem.counts[bar] for bar in limited)],
    )
    return float(solved.fun)


def generated_least(problem: Problem) -> int:
    # No bound is told beforehand, so that what comes is the prices' own.
    return generate(problem, best_fit(problem) or [], least=0, until=time.monotonic() + 20).least


LENGTHS = st.lists(st.integers(20, BAR), min_size=2, max_size=12)
OFFCUTS = st.lists(st.integers(20, 250), max_size=2)


@given(LENGTHS, OFFCUTS)
def test_where_nothing_is_rounded_the_bound_is_the_fractional_one(lengths: list[int], offcuts: list[int]) -> None:
    problem = asked(lengths, offcuts)
    assert cell_of(problem.rooms) == 1
    assert generated_least(problem) == max(0, math.ceil(fractional_least(problem) - 1e-6))


@given(LENGTHS, OFFCUTS)
def test_where_sizes_are_rounded_the_bound_is_never_above_it(lengths: list[int], offcuts: list[int]) -> None:
    problem = asked(lengths, offcuts, off_nm=1_234_567)
    with patch("jobs.cutting.knapsack.MOST_CELLS", 40):
        assume(cell_of(problem.rooms) > 1)
        assert generated_least(problem) <= math.ceil(fractional_least(problem) - 1e-6)


@given(st.lists(st.tuples(st.integers(60, 140), st.integers(60, 140)), min_size=1, max_size=5))
def test_bars_that_are_filled_to_the_last_are_not_said_to_be_too_few(pairs: list[tuple[int, int]]) -> None:
    # Three pieces to each bar with nothing left: the fractional least is whole, and a hair over it would be one more.
    unit = 1_000_003
    pieces = [Piece(each * unit) for one, two in pairs for each in (one, two)]
    pieces += [Piece(BAR * 10_000_000 - (one + two) * unit) for one, two in pairs]
    problem = problem_of(pieces, [Stock(BAR * 10_000_000)], 0)
    with patch("jobs.cutting.knapsack.MOST_CELLS", 40):
        assert generated_least(problem) <= len(pairs)


@given(
    st.lists(st.tuples(st.floats(0.1, 9), st.integers(1, 9), st.integers(0, 4)), min_size=1, max_size=4),
    st.integers(0, 30),
)
def test_the_knapsack_finds_the_most_worth(kinds: list[tuple[float, int, int]], cells: int) -> None:
    worths, weights, most = zip(*kinds, strict=True)
    filled = fill(worths, weights, most, cells)
    choices = [()]
    for copies in most:
        choices = [(*chosen, count) for chosen in choices for count in range(copies + 1)]
    best = max(
        sum(worth * count for worth, count in zip(worths, chosen, strict=True))
        for chosen in choices
        if sum(weight * count for weight, count in zip(weights, chosen, strict=True)) <= cells
    )
    counts = filled.counts(cells)
    assert filled.worth[cells] == pytest.approx(best)
    assert sum(worth * count for worth, count in zip(worths, counts, strict=True)) == pytest.approx(best)
    assert all(count <= copies for count, copies in zip(counts, most, strict=True))
    assert sum(weight * count for weight, count in zip(weights, counts, strict=True)) <= cells
