"""The mixed model's equations: all numbers of operations and hands at once, the orders' effects taken out first.

C. R. Henderson, "Best linear unbiased estimation and prediction under a selection model", Biometrics 31, 1975. The
orders are many and each is one number, so they are eliminated one by one (the Schur complement); what is left is as
large as the list of operations, however long the log.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from timing.forecast.arrays import Floats, Ints, summed
from timing.forecast.nested import COLUMNS, Gathered
from timing.forecast.priors import LEAST_SD, OWN, Places, Said
from timing.forecast.rows import Rows
from timing.forecast.spreads import Seen, Variances

# An operation's own four numbers, then its hand and its pair, which both go with the column of ones.
COLUMN_OF = np.array([0, 1, 2, 3, 0, 0])
SEEN_COLUMN = COLUMNS - 1


@dataclass(frozen=True, slots=True)
class Solution:
    """The numbers with their covariance, and the orders' effects with their variances.

    `orders_with_numbers` is each order's covariance with each number.
    """

    numbers: Floats
    covariance: Floats
    order_effect: Floats
    order_variance: Floats
    orders_with_numbers: Floats


def numbers_of_pairs(rows: Rows, places: Places) -> Ints:
    """Places of the six numbers that a row of each pair turns on."""
    own = OWN * rows.pair_operation[:, None] + np.arange(OWN)
    pairs = np.arange(len(rows.pair_hand))
    return np.column_stack([own, places.hand + rows.pair_hand, places.pair + pairs])


def solve(rows: Rows, gathered: Gathered, places: Places, said: list[Said], variances: Variances) -> Solution:
    """Numbers and orders' effects, given all variances."""
    at = numbers_of_pairs(rows, places)
    matrix, right = _said_equations(said, variances, places.count)
    pairs = _by_pair(gathered.batches, rows.batch_pair, len(at))
    blocks = pairs[:, COLUMN_OF[:, None], COLUMN_OF]
    np.add.at(matrix, (at[:, :, None], at[:, None, :]), blocks)
    np.add.at(right, at, pairs[:, COLUMN_OF, SEEN_COLUMN])
    cross = _orders_with_numbers(rows, gathered, at, places.count)
    precision = summed(rows.batch_order, gathered.batches[0, 0], rows.orders)
    seen = summed(rows.batch_order, gathered.batches[0, SEEN_COLUMN], rows.orders)
    own = variances.order.value / (1 + variances.order.value * precision)
    matrix -= (cross * own[:, None]).T @ cross
    right -= cross.T @ (own * seen)
    factor = scipy.linalg.cho_factor(matrix, lower=True)
    numbers = scipy.linalg.cho_solve(factor, right)
    covariance = scipy.linalg.cho_solve(factor, np.eye(places.count))
    spread = cross @ covariance
    return Solution(
        numbers=numbers,
        covariance=covariance,
        order_effect=own * (seen - cross @ numbers),
        order_variance=own + own**2 * np.einsum("qp,qp->q", spread, cross),
        orders_with_numbers=-own[:, None] * spread,
    )


def _said_equations(said: list[Said], variances: Variances, count: int) -> tuple[Floats, Floats]:
    """Precision, and precision times mean, of what is said beforehand."""
    weight = np.concatenate([np.full(len(one.means), 1 / _sd(one, variances)) for one in said])
    rows = np.concatenate([one.rows for one in said]).reshape(-1, count) * weight[:, None]
    means = np.concatenate([one.means for one in said]) * weight
    return rows.T @ rows, rows.T @ means


def _sd(one: Said, variances: Variances) -> float:
    return max(float(np.sqrt(variances.said[one.name].value)), LEAST_SD)


def _by_pair(sums: Floats, pair: Ints, count: int) -> Floats:
    """Sums of batches summed by pair: shape (pair, column, column)."""
    by_pair = [summed(pair, product, count) for product in sums.reshape(COLUMNS**2, -1)]
    return np.stack(by_pair, 1).reshape(count, COLUMNS, COLUMNS)


def _orders_with_numbers(rows: Rows, gathered: Gathered, at: Ints, count: int) -> Floats:
    """Sums that stand between each order's effect and each number."""
    places = (rows.batch_order[:, None] * count + at[rows.batch_pair]).ravel()
    weights = gathered.batches[0, COLUMN_OF].T.ravel()
    return summed(places, weights, rows.orders * count).reshape(rows.orders, count)


def seen_of_said(one: Said, variances: Variances, solution: Solution) -> Seen:
    """Squares of how far the numbers are from what was said, and how many of these the data have settled."""
    off = one.rows @ solution.numbers - one.means
    left = np.einsum("np,np->", one.rows @ solution.covariance, one.rows)
    return Seen(float(off @ off), len(one.means) - float(left) / max(variances.said[one.name].value, LEAST_SD**2))
