"""One round: from the rows up to the numbers, and from the numbers down again to orders, batches, wheels and rows.

Each effect on the way down is estimated from what is left of its rows, so a row's mean is a sum of all numbers: its own
less what the effects between have taken up. The variance of that is exact, given all variances.
"""

from dataclasses import dataclass

import numpy as np

from timing.forecast.arrays import Floats, Ints
from timing.forecast.nested import Shared, gather, shared_effect
from timing.forecast.priors import OWN, Places, Said
from timing.forecast.rows import Rows
from timing.forecast.solving import COLUMN_OF, SEEN_COLUMN, Solution, numbers_of_pairs, solve
from timing.forecast.spreads import Variances

# The six numbers of a row gathered into its four columns: hand and pair go with the level.
TO_COLUMNS = np.eye(OWN)[COLUMN_OF]


@dataclass(frozen=True, slots=True)
class Scaled:
    """The rows at the numbers as they are now held: columns in which they are straight, and their own variances."""

    columns: list[Floats]
    own: Floats
    group: Floats
    batch: Floats


@dataclass(frozen=True, slots=True)
class Round:
    """What one round finds: the shared effects, each row's residual, and the variance of each row's mean."""

    solution: Solution
    batch: Shared
    group: Shared
    residual: Floats
    mean_variance: Floats


@dataclass(frozen=True, slots=True)
class Doubt:
    """What the solution does not know for sure, by pair and by batch: covariances of columns, and with the order."""

    by_pair: Floats
    with_order: Floats
    order_variance: Floats
    pair: Ints

    def of(self, weights: Floats, batch: Ints) -> Floats:
        """Variance of a weighted sum of the columns' numbers and the order's effect, which weighs as the level does."""
        pair = self.pair[batch]
        variance: Floats = weights[0] ** 2 * self.order_variance[batch]
        for one in range(OWN):
            along = 2 * weights[0] * self.with_order[batch, one] + weights[one] * self.by_pair[one, one][pair]
            for other in range(one + 1, OWN):
                along += 2 * weights[other] * self.by_pair[one, other][pair]
            variance += weights[one] * along
        return np.maximum(variance, 0.0)


def descend(rows: Rows, scaled: Scaled, places: Places, said: list[Said], variances: Variances, sound: Floats) -> Round:
    """Solve for the numbers, then go down from them to orders, batches, wheels and rows."""
    gathered = gather(rows, scaled.columns, sound / scaled.own, scaled.group, scaled.batch)
    solution = solve(rows, gathered, places, said, variances)
    at = numbers_of_pairs(rows, places)[rows.batch_pair]
    by_column = (solution.numbers[at] @ TO_COLUMNS).T
    by_column[0] += solution.order_effect[rows.batch_order]
    doubt = _doubt(rows, solution, at)
    batches = np.arange(len(at))
    row_batch = rows.group_batch[rows.row_group]

    of_batch = _means(gathered.batches_with_groups)
    batch = shared_effect(
        scaled.batch, *_left(gathered.batches_with_groups, by_column), above=doubt.of(of_batch, batches)
    )
    by_column[0] += batch.mean
    taken = batch.share * of_batch
    own_doubt = scaled.batch * (1 - batch.share)

    of_group = _means(gathered.groups)
    in_group = by_column[:, rows.group_batch]
    above = doubt.of(of_group - taken[:, rows.group_batch], rows.group_batch) + own_doubt[rows.group_batch]
    group = shared_effect(scaled.group, *_left(gathered.groups, in_group), above=above)
    kept = 1 - group.share
    taken = group.share * of_group + kept * taken[:, rows.group_batch]
    own_doubt = kept**2 * own_doubt[rows.group_batch] + scaled.group * kept

    residual = scaled.columns[SEEN_COLUMN] - (by_column[0, rows.group_batch] + group.mean)[rows.row_group]
    for column in range(1, OWN):
        residual -= scaled.columns[column] * by_column[column, row_batch]
    weights = np.stack(scaled.columns[:OWN]) - taken[:, rows.row_group]
    return Round(solution, batch, group, residual, doubt.of(weights, row_batch) + own_doubt[rows.row_group])


def _means(sums: Floats) -> Floats:
    """Weighted means of the columns, of groups or batches; nothing where all rows stray."""
    return np.asarray(sums[0, :OWN] / np.maximum(sums[0, 0], 1e-300), dtype=np.float64)


def _left(sums: Floats, by_column: Floats) -> tuple[Floats, Floats]:
    """The precision of what groups or batches say, and what is left of it, weighted, when the numbers are taken off."""
    return sums[0, 0], sums[0, SEEN_COLUMN] - (sums[0, :OWN] * by_column).sum(0)


def _doubt(rows: Rows, solution: Solution, at: Ints) -> Doubt:
    of_pairs = np.zeros((len(rows.pair_hand), at.shape[1]), dtype=np.int64)
    of_pairs[rows.batch_pair] = at
    blocks = solution.covariance[of_pairs[:, :, None], of_pairs[:, None, :]]
    return Doubt(
        by_pair=np.moveaxis(TO_COLUMNS.T @ blocks @ TO_COLUMNS, 0, -1).copy(),
        with_order=solution.orders_with_numbers[rows.batch_order[:, None], at] @ TO_COLUMNS,
        order_variance=solution.order_variance[rows.batch_order],
        pair=rows.batch_pair,
    )
