"""How many timings a usual time wants, and how many looks a share of the day, by the formulas of work study."""

import math
import statistics
from collections.abc import Sequence

import scipy


def readings_needed(readings: Sequence[float], *, within: float, deviates: float = 2.0) -> float:
    """Readings that bring their mean within such a part of the true one, by the formula of the ILO; round it up.

    (z/k · √(n·Σx² − (Σx)²) / Σx)², with z = 2 for 95.45 %: G. Kanawaty, Introduction to Work Study, ILO, 4th ed.
    1992. Needs a reading, above 0; any unit.
    """
    count, total = len(readings), math.fsum(readings)
    squares = math.fsum(one * one for one in readings)
    return (deviates / within) ** 2 * max(count * squares - total**2, 0.0) / total**2


def readings_needed_by_t(mean: float, deviation: float, readings: int, *, within: float, chance: float = 0.95) -> float:
    """The same by Student's t of the readings there are, which few readings ask for: (t·s / (k·x̄))²; round it up.

    B. W. Niebel and A. Freivalds, Methods, Standards and Work Design. `deviation` is the sample's, with n − 1; needs
    two readings.
    """
    t = float(scipy.special.stdtrit(readings - 1, (1 + chance) / 2))
    return readings_needed_to(deviation, error=within * mean, deviates=t)


def readings_needed_to(deviation: float, *, error: float, deviates: float = 2.0) -> float:
    """Readings that bring their mean within an error of the true one, in their own unit: (z·s/e)²; round it up.

    W. J. Stevenson, Operations Management, 14th ed., chapter 7. z = 2 is for 95.45 %. `error` is above 0.
    """
    return (deviates * deviation / error) ** 2


def further_readings(readings: Sequence[float], *, within: float, chance: float = 0.95) -> int:
    """How many more timings bring the mean within such a part of itself with that chance: by t. Needs two readings."""
    mean, deviation = statistics.fmean(readings), statistics.stdev(readings)
    needed = math.ceil(readings_needed_by_t(mean, deviation, len(readings), within=within, chance=chance))
    return max(needed - len(readings), 0)


def looks_needed(share: float, *, within: float, deviates: float = 2.0) -> float:
    """Looks at chance moments that tell a share of the time to so much of the whole: z²·p·(1 − p) / E²; round it up.

    Work sampling, after L. H. C. Tippett: W. J. Stevenson, Operations Management, 14th ed., chapter 7. Shares are of 1;
    z = 2 is for 95.45 %. `within` is above 0.
    """
    return deviates**2 * share * (1 - share) / within**2


def error_of_looks(share: float, looks: int, *, deviates: float = 2.0) -> float:
    """How far off a share that was seen in so many looks may be, as a share of 1: z·√(p·(1 − p)/n). Needs a look."""
    return deviates * math.sqrt(share * (1 - share) / looks)
