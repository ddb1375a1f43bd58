"""What the timings of an operation are good for: whether they are enough, and what runs to come hold to by them."""

import math
import statistics
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from shop.times_words import minutes_shown
from timing.forecast.pieces import Run, pieces_in_runs
from timing.tolerance import Limits, lognormal_limits
from timing.usual import Timing, Usual
from timing.work_study import further_readings, readings_needed, readings_needed_by_t

STUDIED = (0.05, 0.1)
# By fewer the limits are so wide that nobody is the wiser: an upper one is more than 2.4 deviations off by then.
FEW_RUNS = 10
# Errors in minutes that a person would name; that of a row is the largest within a tenth of the mean.
ERRORS = (0.01, 0.05, 0.1, 0.5, 1, 5, 10, 30, 60)


@dataclass(frozen=True, slots=True)
class Study:
    """Timings wanted to bring the mean within an error of the true one, in all and besides those there are."""

    within: str
    by_ilo: int
    by_t: int
    more: int


@dataclass(frozen=True, slots=True)
class Sure:
    """Limits that hold nine runs in ten with 95 % confidence, in minutes a piece. A run is a hand's in one order."""

    limits: Limits

    @property
    def under(self) -> str:
        return minutes_shown(self.limits.under)

    @property
    def low(self) -> str:
        return minutes_shown(self.limits.low)

    @property
    def high(self) -> str:
        return minutes_shown(self.limits.high)


def studies(readings: Sequence[float]) -> list[Study]:
    """By parts of the mean, and by an error in minutes that suits it; none under two readings."""
    if len(readings) < 2:
        return []
    mean = statistics.fmean(readings)
    error = max((one for one in ERRORS if one <= mean / 10), default=ERRORS[0])
    said = [(f"{within * 100:.0f} %", within) for within in STUDIED]
    said.append((f"{error:g} {'minute' if error == 1 else 'minutes'}", error / mean))
    return [_study(readings, mean, words, within) for words, within in said]


def _study(readings: Sequence[float], mean: float, words: str, within: float) -> Study:
    by_t = readings_needed_by_t(mean, statistics.stdev(readings), len(readings), within=within)
    return Study(
        words,
        math.ceil(readings_needed(readings, within=within)),
        math.ceil(by_t),
        further_readings(readings, within=within),
    )


def minutes_of_runs(timings: Iterable[Timing], usual: Usual, key: str, pair: Run) -> list[float]:
    """Minutes a piece of each run, all that one hand did of the operation in one order, as they would be in a pair's.

    Pieces of one run are alike, and no sample of what another order will take: the run is what is drawn anew. What its
    length and the wheels' size do, by the fit, is taken out, or a long run would be no sample of a short one.
    """
    runs: defaultdict[tuple[int | None, str, int], list[Timing]] = defaultdict(list)
    for one in timings:
        runs[one.row.order_id, one.row.old_order, one.row.hand_id].append(one)
    if not runs:
        return []
    told = [(sum(one.row.pieces for one in run), sum(one.minutes for one in run), _size(run)) for run in runs.values()]
    pieces, minutes, sizes = np.array(told, dtype=np.float64).T
    fit, place = usual.fit, usual.fit.place_of(key)
    of_pair = pieces_in_runs(fit, place, np.array([pair.pieces]), np.array([fit.usual_size_nm]))
    alike: list[float] = (minutes / pieces * of_pair / pieces_in_runs(fit, place, pieces, sizes)).tolist()
    return alike


def _size(run: Sequence[Timing]) -> float:
    """The mean height of a run's wheels, in nm; NaN where none is known."""
    known = [(one.row.pieces, one.row.size_nm) for one in run if one.row.size_nm]
    return sum(pieces * size for pieces, size in known) / sum(pieces for pieces, _ in known) if known else math.nan


def sure_of(minutes: Sequence[float]) -> Sure | None:
    """Of minutes a piece of runs; None where they are too few for limits that would be of use."""
    return Sure(lognormal_limits(minutes)) if len(minutes) >= FEW_RUNS else None
