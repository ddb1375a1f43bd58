"""Rows within wheels within batches, gathered without a matrix of them all.

What rows of one wheel of a batch share, and what a whole batch shares, makes them correlated. The inverse of such a
covariance is known in closed form one level at a time (Sherman and Morrison, Annals of Mathematical Statistics 21,
1950), so that the sums X'V⁻¹X that mixed models want (C. R. Henderson, Biometrics 31, 1975) cost one pass over the
rows.
"""

from dataclasses import dataclass

import numpy as np

from timing.forecast.arrays import Floats
from timing.forecast.rows import Rows

# Columns of a row: 1, size, run, setting-up, and what was seen.
COLUMNS = 5


@dataclass(frozen=True, slots=True)
class Gathered:
    """Weighted sums of products of the columns: of groups, of batches less what groups share, and less their own.

    Shaped (column, column, group or batch), so that each product lies in one piece.
    """

    groups: Floats
    batches_with_groups: Floats
    batches: Floats


def gather(
    rows: Rows, columns: list[Floats], weight: Floats, group_variance: Floats, batch_variance: Floats
) -> Gathered:
    """Weighted sums of products of the columns by group and batch. `weight` is 1 / variance of each row by itself."""
    groups = np.empty((COLUMNS, COLUMNS, len(rows.group_starts)))
    for one in range(COLUMNS):
        weighted = weight * columns[one] if one else weight
        for other in range(one, COLUMNS):
            product = weighted * columns[other] if other else weighted
            groups[one, other] = groups[other, one] = np.add.reduceat(product, rows.group_starts)
    with_groups = np.add.reduceat(_less_shared(groups, group_variance), rows.batch_starts, axis=-1)
    return Gathered(groups, with_groups, _less_shared(with_groups, batch_variance))


def _less_shared(sums: Floats, variance: Floats) -> Floats:
    """Sherman and Morrison's step: what a shared effect of that variance takes off the sums."""
    less = np.empty_like(sums)
    off = variance / (1 + variance * sums[0, 0])
    for one in range(COLUMNS):
        taken = off * sums[0, one]
        for other in range(one, COLUMNS):
            less[one, other] = less[other, one] = sums[one, other] - taken * sums[0, other]
    return less


@dataclass(frozen=True, slots=True)
class Shared:
    """An effect that rows share, estimated: mean, variance, and the share of its rows' error that it takes up."""

    mean: Floats
    variance: Floats
    share: Floats


def shared_effect(prior_variance: Floats, precision: Floats, weighted_residual: Floats, above: Floats) -> Shared:
    """A shared effect, from what its rows are off by (weighted) and `above`, the variance of all above it."""
    share = prior_variance * precision / (1 + prior_variance * precision)
    mean = prior_variance / (1 + prior_variance * precision) * weighted_residual
    return Shared(mean, prior_variance * (1 - share) + share**2 * above, share)
