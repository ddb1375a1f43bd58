"""The forecast's fit of readings that others have published, a single piece each."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from timing.forecast import Assumptions, Fit, Operation, fit_timings, timings

ONE = [Operation("one", "wheel", "wheel")]
USUAL_NM = 1e9


def fit_logs(
    logs: ArrayLike,
    *,
    assumed: Assumptions,
    order: ArrayLike | None = None,
    operation: ArrayLike | None = None,
    hand: ArrayLike | None = None,
    wheel: ArrayLike | None = None,
    log_size: ArrayLike | None = None,
    operations: Sequence[Operation] = ONE,
    still: float = 1e-6,
) -> Fit:
    """The fit of single pieces whose logs of minutes are given: a mixed model of the logs themselves.

    Hands are named by their numbers. Each is an order of its own and has a wheel of its own, unless told.
    """
    minutes = np.exp(np.asarray(logs, dtype=np.float64))
    none, each = np.zeros(len(minutes), dtype=np.int64), np.arange(len(minutes))
    hands = none if hand is None else np.asarray(hand)
    rows = timings(
        order=each if order is None else order,
        operation=none if operation is None else operation,
        hand=hands,
        wheel=each if wheel is None else wheel,
        size_nm=np.full(len(minutes), np.nan) if log_size is None else USUAL_NM * np.exp(np.asarray(log_size)),
        pieces=np.ones(len(minutes)),
        minutes=minutes,
    )
    names = [str(number) for number in range(int(hands.max()) + 1)]
    return fit_timings(rows, operations, names, assumed=assumed, still=still).fit
