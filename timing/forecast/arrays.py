"""The kinds of array that the sums of the forecast are made on, and sums by group."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def summed(group: Ints, values: Floats, count: int) -> Floats:
    """Values summed by group, for groups 0 to count - 1."""
    return np.asarray(np.bincount(group, values, count), dtype=np.float64)
