"""Tolerance limits: what holds a part of all that is to come, with a confidence, by a sample of what has been.

A range of a forecast holds a part of outcomes on the whole; a tolerance limit is wide enough for the doubt of the
sample, too. All rest on values that are independent of each other and normal, or normal in their logs.
"""

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import scipy

from timing.forecast.arrays import Floats

NODES = 100


@dataclass(frozen=True, slots=True)
class Limits:
    """Below `under`, and between `low` and `high`, in the unit of the sample; `count` is how many values it had."""

    under: float
    low: float
    high: float
    count: int


def lognormal_limits(values: Sequence[float], *, content: float = 0.9, confidence: float = 0.95) -> Limits:
    """Limits that hold such a part of all values with that confidence: exp(ȳ + k·s), ȳ and s of the values' logs.

    US Environmental Protection Agency, Statistical Analysis of Groundwater Monitoring Data: Unified Guidance, 2009,
    chapter 17. Any unit, above 0. Raises ValueError under two values, or for one that is not above 0.
    """
    if min(values, default=0) <= 0:
        raise ValueError("A limit in logs wants values above 0.")
    logs = [math.log(one) for one in values]
    up = upper_factor(len(logs), content=content, confidence=confidence)
    both = two_sided_factor(len(logs), content=content, confidence=confidence)
    mean, deviation = statistics.fmean(logs), statistics.stdev(logs)
    return Limits(
        under=math.exp(mean + up * deviation),
        low=math.exp(mean - both * deviation),
        high=math.exp(mean + both * deviation),
        count=len(logs),
    )


def upper_factor(count: int, *, content: float, confidence: float) -> float:
    """k of x̄ + k·s, under which such a part of a normal lies with that confidence; exact, by the noncentral t.

    t(confidence; n − 1, z(content)·√n) / √n: NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3. Raises
    ValueError under two values.
    """
    _enough(count)
    root = math.sqrt(count)
    return float(scipy.special.nctdtrit(count - 1, scipy.special.ndtri(content) * root, confidence)) / root


def two_sided_factor(count: int, *, content: float, confidence: float) -> float:
    """k of x̄ ± k·s, between which such a part of a normal lies with that confidence; exact.

    A. Wald and J. Wolfowitz, "Tolerance limits for a normal distribution", Annals of Mathematical Statistics 17, 1946:
    the chance that s is wide enough, over all that x̄ may be. x̄ ± k·s holds enough where k·s is above r, and ±r about x̄
    holds just `content`, so that r² is a quantile of a noncentral chi-square of one degree. Raises ValueError under two
    values.
    """
    near = howe_factor(count, content=content, confidence=confidence)
    places, weights = _normal_nodes()
    reach = scipy.special.chndtrix(content, 1, places**2 / count)

    def surplus(factor: float) -> float:
        return float(weights @ scipy.special.chdtrc(count - 1, (count - 1) * reach / factor**2)) - confidence

    return float(scipy.optimize.brentq(surplus, near / 2, near * 2, xtol=1e-10))


def howe_factor(count: int, *, content: float, confidence: float) -> float:
    """The same by Howe, within a hundredth of it from six values on; the exact factor is looked for about it.

    z·√((n − 1)(1 + 1/n) / χ²), χ² being what a chi-square of n − 1 degrees exceeds with that confidence: W. G. Howe,
    "Two-sided tolerance limits for normal populations", Journal of the American Statistical Association 64, 1969, as in
    NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3. Raises ValueError under two values.
    """
    _enough(count)
    doubt = (count - 1) * (1 + 1 / count) / float(scipy.special.chdtri(count - 1, confidence))
    return float(scipy.special.ndtri((1 + content) / 2)) * math.sqrt(doubt)


def _enough(count: int) -> None:
    if count < 2:
        raise ValueError("A tolerance limit wants two values at least.")


@cache
def _normal_nodes() -> tuple[Floats, Floats]:
    """Places and weights by which a standard normal is integrated (Gauss and Hermite)."""
    places, weights = np.polynomial.hermite_e.hermegauss(NODES)
    return places, weights / weights.sum()
