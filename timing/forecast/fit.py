"""A fit as it is kept: what the timings taught, so that work can be forecast without reading them again."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from threadpoolctl import threadpool_limits

from timing.forecast.arrays import Floats, Ints, summed
from timing.forecast.assumptions import Assumptions
from timing.forecast.fitting import STILL, Fitted, fit_rows
from timing.forecast.priors import OWN, Places, places_for
from timing.forecast.rows import Rows, arrange, refuse_twins
from timing.forecast.spreads import Variances
from timing.forecast.work import Operation, Timings, WorkRefused

# 42 in, where no timing says what size is usual.
USUAL_SIZE_NM = 42 * 25_400_000.0


@dataclass(frozen=True, slots=True)
class Fit:
    """Numbers of operations and hands with their covariance, and all variances.

    `pairs` are the place of an operation and of a hand who worked at it, and `pair_minutes` how long (strays left out).
    `timed` counts the timings of each operation.
    """

    operations: tuple[Operation, ...]
    hands: tuple[str, ...]
    pairs: Ints
    pair_minutes: Floats
    timed: Ints
    orders: int
    usual_size_nm: float
    numbers: Floats
    covariance: Floats
    variances: Variances

    @property
    def places(self) -> Places:
        return places_for(self.operations, len(self.hands), len(self.pairs))

    @property
    def rests_on_book_times_alone(self) -> bool:
        return not self.timed.any()

    def place_of(self, operation: str) -> int:
        """WorkRefused where there is no such operation."""
        for place, one in enumerate(self.operations):
            if one.key == operation:
                return place
        raise WorkRefused(f"There is no operation “{operation}” to forecast.")

    def own(self, place: int) -> Floats:
        """Level, size exponent, run exponent and log of setting-up of an operation."""
        return self.numbers[OWN * place : OWN * (place + 1)]


@dataclass(frozen=True, slots=True)
class Judged:
    """A fit, and of each timing in its order: the chance that it strays, and its minutes to those to be expected."""

    fit: Fit
    stray_chance: Floats
    ratio: Floats
    rounds: int


def fit_timings(
    timings: Timings,
    operations: Sequence[Operation],
    hands: Sequence[str],
    *,
    assumed: Assumptions | None = None,
    usual_size_nm: float = USUAL_SIZE_NM,
    still: float = STILL,
) -> Judged:
    """Fit the shop to its timings. WorkRefused where these name what the lists have not, or a name is there twice.

    `still` is how little, as a part, may still move in the last round.
    """
    if not operations:
        raise WorkRefused("There are no operations to fit.")
    refuse_twins(operations, hands)
    rows = arrange(timings, operations, hands, usual_size_nm)
    # The matrices are small: on two busy cores, threads that wait for each other take six times as long as one.
    with threadpool_limits(limits=1, user_api="blas"):
        fitted = fit_rows(rows, operations, len(hands), assumed or Assumptions(), still)
    back = np.empty(len(rows.original), dtype=np.int64)
    back[rows.original] = np.arange(len(back))
    return Judged(
        fit=_kept(rows, fitted, operations, hands),
        stray_chance=1 - fitted.sound[back],
        ratio=np.exp(fitted.residual[back]),
        rounds=fitted.rounds,
    )


def _kept(rows: Rows, fitted: Fitted, operations: Sequence[Operation], hands: Sequence[str]) -> Fit:
    pair = rows.batch_pair[rows.group_batch][rows.row_group]
    return Fit(
        operations=tuple(operations),
        hands=tuple(hands),
        pairs=np.column_stack([rows.pair_operation, rows.pair_hand]),
        pair_minutes=summed(pair, fitted.sound * np.exp(rows.log_minutes), len(rows.pair_hand)),
        timed=np.bincount(rows.operation, minlength=len(operations)),
        orders=rows.orders,
        usual_size_nm=rows.usual_size_nm,
        numbers=fitted.solution.numbers,
        covariance=fitted.solution.covariance,
        variances=fitted.variances,
    )
