"""A run of like pieces: setting-up once, and each doubling of the pieces made brings the next one's time down alike.

The unit form of the learning curve (J. R. Crawford 1944, after T. P. Wright, "Factors affecting the cost of airplanes",
Journal of the Aeronautical Sciences 3, 1936): piece n takes T₁·n^b, b = log2 of the rate. Within one order a hand gets
into the swing and then gains no more: after five doublings, which is common practice and has no source.
"""

import math
from dataclasses import dataclass

import numpy as np

from timing.forecast.arrays import Floats, Ints

NO_GAIN_AFTER = 32
_NUMBERS = np.arange(1, NO_GAIN_AFTER + 1, dtype=np.float64)
_LOGS = np.log(_NUMBERS)


def exponent_of(rate: float) -> float:
    """b of a learning rate: 0.9 where each doubling leaves nine tenths. Needs a rate above 0."""
    return math.log2(rate)


@dataclass(frozen=True, slots=True)
class RunSums:
    """Of each stretch what it takes in first pieces, setting-up included, and how that turns with its parameters.

    `spread` is the squared coefficient of variation of the whole to that of one piece, where setting-up counts as
    one more piece of its own length.
    """

    total: Floats
    by_exponent: Floats
    by_setting_up: Floats
    spread: Floats


def run_sums(operation: Ints, before: Floats, pieces: Floats, exponent: Floats, log_setting_up: Floats) -> RunSums:
    """Sums over pieces before + 1 to before + pieces of a run; setting-up (in first pieces) belongs to its first.

    `exponent` and `log_setting_up` are the operations' own, `operation` their place for each stretch.
    """
    powers = _NUMBERS ** exponent[:, None]
    after = before + pieces
    total = _between(powers, operation, before, after)
    turned = _between(powers * _LOGS, operation, before, after)
    squared = _between(powers**2, operation, before, after)
    setting_up = np.where(before < 1, np.exp(log_setting_up)[operation], 0.0)
    whole = total + setting_up
    return RunSums(whole, turned / whole, setting_up / whole, (squared + setting_up**2) / whole**2)


def _between(values: Floats, operation: Ints, before: Floats, after: Floats) -> Floats:
    """Sums of an operation's values over the pieces after `before` up to `after`; the last value goes on for ever."""
    sums = np.pad(np.cumsum(values, 1), ((0, 0), (1, 0)))
    return _up_to(sums, values[:, -1], operation, after) - _up_to(sums, values[:, -1], operation, before)


def _up_to(sums: Floats, last: Floats, operation: Ints, number: Floats) -> Floats:
    within = np.minimum(number, NO_GAIN_AFTER)
    whole = within.astype(np.int64)
    part = within - whole
    low = sums[operation, whole]
    # Part of a piece, in an old book, is that part of its time.
    low += part * (sums[operation, np.minimum(whole + 1, NO_GAIN_AFTER)] - low)
    return low + (number - within) * last[operation]
