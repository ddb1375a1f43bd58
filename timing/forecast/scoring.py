"""How well ranges held: what a shop looks back at, and what forecasts are judged by."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from timing.forecast.arrays import Floats


def pinball_losses(seen: Floats, quantiles: Floats, chance: float) -> Floats:
    """The pinball loss of each, in its own unit: R. Koenker and G. Bassett, Econometrica 46, 1978.

    `quantiles` are what `seen` should have stayed within with that chance; the least mean loss has the true quantile.
    """
    off = np.asarray(seen, dtype=np.float64) - quantiles
    return np.maximum(chance * off, (chance - 1) * off)


def ranked_scores(seen: Floats, quantiles: Floats) -> Floats:
    """The continuous ranked probability score of each, in its own unit: how far a whole forecast is from what came.

    `quantiles` has a row for each of `seen`: those at the chances (k + ½) / n, with k from 0 to n - 1. The score is
    twice their mean pinball loss, the more nearly the more there are: T. Gneiting and R. Ranjan, "Comparing density
    forecasts using threshold- and quantile-weighted scoring rules", Journal of Business & Economic Statistics 29, 2011.
    """
    count = quantiles.shape[1]
    losses = [pinball_losses(seen, said, (place + 0.5) / count) for place, said in enumerate(quantiles.T)]
    return np.asarray(2 * np.mean(losses, axis=0), dtype=np.float64)


def interval_score(seen: float, low: float, high: float, share: float) -> float:
    """Width of a central range that claims to hold such a share, and a fine for what falls outside it.

    T. Gneiting and A. E. Raftery, "Strictly proper scoring rules", Journal of the American Statistical Association 102,
    2007, equation 43.
    """
    outside = 1 - share
    return (high - low) + 2 / outside * (max(low - seen, 0.0) + max(seen - high, 0.0))


@dataclass(frozen=True, slots=True)
class Held:
    """How many of so many ranges held, and between which counts that is to be expected where they are honest."""

    held: int
    ranges: int
    least: int
    most: int

    @property
    def is_as_claimed(self) -> bool:
        return self.least <= self.held <= self.most


def held_ranges(seen: Sequence[float], lows: Sequence[float], highs: Sequence[float], share: float) -> Held:
    """Count the ranges that held what was seen. Honest ones hold a binomial count, inside its middle 95 %."""
    held = sum(low <= one <= high for one, low, high in zip(seen, lows, highs, strict=True))
    honest = scipy.stats.binom(len(seen), share)
    return Held(held, len(seen), math.floor(honest.ppf(0.025)), math.ceil(honest.ppf(0.975)))
