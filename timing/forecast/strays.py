"""Rows that stray: a clock left running, or started when the work was half done.

A row is sound, or else off by any factor: a normal with a small share of a far wider one, whose weights are found
with the rest (J. W. Tukey, "A survey of sampling from contaminated distributions", 1960; M. West, Journal of the
Royal Statistical Society B 46, 1984). Each row is judged by what the others say of it: where a row makes up most of
its own estimate, its residual is small whatever it says.
"""

import numpy as np

from timing.forecast.arrays import Floats
from timing.forecast.assumptions import Assumptions

# No row is so much its own estimate that nothing is left to judge it by.
MOST_LEVERAGE = 0.999


def chance_of_being_sound(
    residual: Floats, mean_variance: Floats, own: Floats, sound: Floats, share: float, assumed: Assumptions
) -> Floats:
    """The chance that each row does not stray, from its residual, the variance of its mean and its own variance.

    What the others say of a row is its estimate with its own part taken out again (cavity; or the deleted residual of
    R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982).
    """
    if share <= 0:
        return np.ones(len(residual))
    kept = 1 - np.minimum(sound * mean_variance / own, MOST_LEVERAGE)
    deleted = residual / kept
    variance = mean_variance / kept + own
    wide = variance + assumed.stray_sd**2
    odds = np.log((1 - share) / share) + (np.log(wide / variance) - deleted**2 * (1 / variance - 1 / wide)) / 2
    return np.asarray(1 / (1 + np.exp(-np.clip(odds, -50, 50))), dtype=np.float64)


def share_of_strays(sound: Floats, assumed: Assumptions) -> float:
    """The share of rows that stray: a beta of the guess and what was found."""
    if assumed.stray_share.mean <= 0:
        return 0.0
    mean, sd = assumed.stray_share.mean, assumed.stray_share.sd
    weight = mean * (1 - mean) / sd**2 - 1
    return (mean * weight + float((1 - sound).sum())) / (weight + len(sound))
