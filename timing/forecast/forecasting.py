"""What work to come will take: the mean of each line, how lines go together, and any quantile of their sum.

A line's minutes are lognormal, and lines of one order are correlated through the order, through hands and through all
that the fit does not know for sure. Their sum is taken as a lognormal of the very mean and variance of the sum (L. F.
Fenton, IRE Transactions on Communications Systems 8, 1960), with Student's t in place of the normal, since variances
are learnt from few orders too; its degrees of freedom by F. E. Satterthwaite, Biometrics Bulletin 2, 1946.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from timing.forecast.arrays import Floats, Ints
from timing.forecast.fit import Fit
from timing.forecast.priors import OWN
from timing.forecast.runs import RunSums, run_sums
from timing.forecast.who import Who, who_works
from timing.forecast.work import Line, WorkRefused

# With so many Student's t is the normal.
MOST_DEGREES = 1e6


@dataclass(frozen=True, slots=True)
class Forecast:
    """How long work will take: ln of its median in minutes, the sd of the ln, and the degrees of freedom of its t."""

    log_median: float
    log_sd: float
    degrees: float

    def quantile(self, chance: float) -> float:
        """Minutes that the work stays within with that chance, which must be between 0 and 1."""
        if not 0 < chance < 1:
            raise ValueError(f"A chance is between 0 and 1, not {chance}.")
        return math.exp(self.log_median + self.log_sd * float(scipy.special.stdtrit(self.degrees, chance)))

    def chance_within(self, minutes: float) -> float:
        """The chance that the work takes no longer than so many minutes."""
        if minutes <= 0:
            return 0.0
        return float(scipy.special.stdtr(self.degrees, (math.log(minutes) - self.log_median) / self.log_sd))


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines: means in minutes, covariance of their logs, and the parts of it that orders and batches draw anew."""

    means: Floats
    covariance: Floats
    batch_variance: Floats
    alone_variance: Floats
    operation: Ints
    fit: Fit

    def of(self, places: Sequence[int] | None = None, *, worth: Sequence[float] | None = None) -> Forecast:
        """The forecast of some of the lines together, or of all.

        `worth` is what a minute of each of these lines counts for, above 0: with pence it is their cost that is
        forecast. ValueError where there is none for each line.
        """
        chosen = np.arange(len(self.means)) if places is None else np.asarray(places, dtype=np.int64)
        means = self.means[chosen]
        if worth is not None:
            if len(worth) != len(chosen) or min(worth, default=1.0) <= 0:
                raise ValueError("Each line needs what a minute of it is worth, above 0.")
            means = means * np.asarray(worth, dtype=np.float64)
        log_mean, variance = sum_of_lognormals(means, self.covariance[np.ix_(chosen, chosen)])
        return Forecast(log_mean - variance / 2, math.sqrt(variance), self._degrees(chosen, means))

    def _degrees(self, chosen: Ints, means: Floats) -> float:
        """Satterthwaite's degrees of freedom: of the parts that are drawn anew, each weighed by what it rests on.

        What the fit does not know for sure grows with the same variances, and so has the same degrees.
        """
        variances, operation = self.fit.variances, self.operation[chosen]
        weight = (means / means.sum()) ** 2
        parts = np.concatenate(
            [[variances.order.value], weight * self.batch_variance[chosen], weight * self.alone_variance[chosen]]
        )
        degrees = np.concatenate(
            [[variances.order.degrees], variances.batch_degrees[operation], variances.piece_degrees[operation]]
        )
        uncertain = float((parts**2 / np.maximum(degrees, 1.0)).sum())
        return min(float(parts.sum()) ** 2 / uncertain, MOST_DEGREES) if uncertain > 0 else MOST_DEGREES


def sum_of_lognormals(means: Floats, covariance: Floats) -> tuple[float, float]:
    """ln of the mean of a sum of lognormals, and the variance of the ln of one that has its mean and variance.

    `covariance` is that of their logs (Fenton, 1960; with correlation: A. A. Abu-Dayya and N. C. Beaulieu, IEEE
    Transactions on Vehicular Technology 43, 1994).
    """
    total = float(means.sum())
    relative = float(means @ np.expm1(covariance) @ means) / total**2
    return math.log(total), math.log1p(max(relative, 0.0))


def forecast_lines(fit: Fit, lines: Sequence[Line]) -> Lines:
    """Forecast the lines of one order. WorkRefused if a line's operation is unknown; an unknown hand is a new one.

    All lines of the same operation and hand are one batch, in the order given: one setting-up, one run.
    """
    if not lines:
        raise WorkRefused("There is no work to forecast.")
    operation = np.array([fit.place_of(line.operation) for line in lines], dtype=np.int64)
    batch, before = _batches(lines)
    own = fit.numbers[: OWN * len(fit.operations)].reshape(-1, OWN)
    pieces = np.array([line.pieces for line in lines], dtype=np.float64)
    sums = run_sums(operation, before, pieces, own[:, 2], own[:, 3])
    first = np.unique(batch, return_index=True)[1].tolist()
    of_batch = [who_works(fit, int(operation[row]), lines[row].hand) for row in first]
    who = [of_batch[number] for number in batch.tolist()]
    weights = _weights(fit, lines, operation, sums, who)
    shared = _unsure(fit, weights) + _drawn_together(fit, lines, operation, batch, who)
    variances = fit.variances
    wheels = np.array([line.wheels for line in lines], dtype=np.float64)
    alone = np.log1p(variances.wheel.value / wheels + variances.piece[operation] * sums.spread)
    turned = sums.by_exponent * own[operation, 2] + sums.by_setting_up * own[operation, 3]
    logs = weights @ fit.numbers - turned + np.log(sums.total)
    return Lines(
        means=np.exp(logs + np.diag(shared) / 2),
        covariance=shared + np.diag(alone),
        batch_variance=variances.batch[operation],
        alone_variance=alone,
        operation=operation,
        fit=fit,
    )


def _unsure(fit: Fit, weights: Floats) -> Floats:
    """Covariance of the lines for what the fit does not know for sure, from the numbers alone that they turn on."""
    used = np.flatnonzero(weights.any(0))
    few = weights[:, used]
    # Not by `@`: for so few numbers its threads only wait for each other.
    half = np.einsum("ln,nm->lm", few, fit.covariance[np.ix_(used, used)])
    covariance: Floats = np.einsum("lm,km->lk", half, few)
    return covariance


def _batches(lines: Sequence[Line]) -> tuple[Ints, Floats]:
    """The batch of each line, and the pieces of the batch before it."""
    numbers: dict[tuple[str, str | None], int] = {}
    made: dict[int, float] = {}
    batch, before = [], []
    for line in lines:
        number = numbers.setdefault((line.operation, line.hand), len(numbers))
        batch.append(number)
        before.append(made.get(number, 0.0))
        made[number] = before[-1] + line.pieces
    return np.array(batch, dtype=np.int64), np.array(before)


def _weights(fit: Fit, lines: Sequence[Line], operation: Ints, sums: RunSums, who: Sequence[Who]) -> Floats:
    """What each line takes of each number."""
    places = fit.places
    weights = np.zeros((len(lines), places.count))
    size = [math.log(line.size_nm / fit.usual_size_nm) if line.size_nm else 0.0 for line in lines]
    columns = (np.ones(len(lines)), np.array(size), sums.by_exponent, sums.by_setting_up)
    for column, values in enumerate(columns):
        weights[np.arange(len(lines)), OWN * operation + column] = values
    for row, workers in enumerate(who):
        for hand, share in workers.hands.items():
            weights[row, places.hand + hand] = share
        for pair, share in workers.pairs.items():
            weights[row, places.pair + pair] = share
    return weights


def _drawn_together(fit: Fit, lines: Sequence[Line], operation: Ints, batch: Ints, who: Sequence[Who]) -> Floats:
    """Covariance of the lines for what they share that is drawn anew: order, batch, hands, and what a stranger is."""
    by_batch = fit.variances.batch[operation] + np.array([workers.variance for workers in who])
    together = np.where(batch[:, None] == batch, by_batch, 0.0) + fit.variances.order.value
    names = [line.hand or "" for line in lines]
    _, hand = np.unique(names, return_inverse=True)
    strange = np.array([workers.is_strange for workers in who])
    return together + np.where((hand[:, None] == hand) & strange, fit.variances.said["hands"].value, 0.0)
