"""What a page tells of an operation: the minutes of a run, of one piece of it, and of its setting-up."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from timing.forecast.arrays import Floats
from timing.forecast.fit import Fit
from timing.forecast.forecasting import Forecast, forecast_lines
from timing.forecast.runs import run_sums
from timing.forecast.work import Line, Operation

# Book minutes are those of a piece in the run of a pair, and so are usual ones.
USUAL_WHEELS = 2


@dataclass(frozen=True, slots=True)
class Run:
    """A run of like pieces: minutes of the whole, of one of its pieces, and of the setting-up, which both hold."""

    pieces: float
    whole: Forecast
    piece: Forecast
    setting_up: float

    @property
    def each(self) -> float:
        """Minutes a piece as the run usually comes to."""
        return self.whole.quantile(0.5) / self.pieces


def pieces_of(operation: Operation, wheels: float = USUAL_WHEELS) -> float:
    """Pieces in the run of so many usual wheels; of what goes by less than a piece a wheel, one at least."""
    return max(operation.pieces_a_wheel * wheels, 1.0)


def runs_of(fit: Fit, lines: Sequence[Line]) -> list[Run]:
    """Each line as a run by itself, with one of its pieces: as wide as the run, and as single pieces differ besides.

    WorkRefused as `forecast_lines`; no two lines may be of one operation and hand, which would be one run.
    """
    runs = forecast_lines(fit, lines)
    pieces = np.array([line.pieces for line in lines], dtype=np.float64)
    variances = fit.variances
    alone = np.log1p(variances.wheel.value + variances.piece[runs.operation])
    single = replace(
        runs,
        means=runs.means / pieces,
        covariance=runs.covariance + np.diag(alone - runs.alone_variance),
        alone_variance=alone,
    )
    own = np.array([fit.own(place) for place in range(len(fit.operations))])
    share = run_sums(runs.operation, np.zeros(len(lines)), pieces, own[:, 2], own[:, 3]).by_setting_up
    return [
        Run(line.pieces, whole := runs.of([n]), single.of([n]), float(share[n]) * whole.quantile(0.5))
        for n, line in enumerate(lines)
    ]


def pieces_in_runs(fit: Fit, place: int, pieces: Floats, sizes_nm: Floats) -> Floats:
    """What a piece comes to in runs of so many pieces on wheels of these heights, in first pieces on usual wheels.

    Of the operation of that place. Both are above 0; a height that is NaN is the usual one.
    """
    _, by_size, exponent, setting_up = fit.own(place)
    alike = np.zeros(len(pieces), dtype=np.int64)
    sums = run_sums(alike, np.zeros(len(pieces)), pieces, np.array([exponent]), np.array([setting_up]))
    higher = np.where(np.isnan(sizes_nm), 1.0, sizes_nm / fit.usual_size_nm)
    return np.asarray(sums.total / pieces * higher**by_size, dtype=np.float64)


def longer_by(fit: Fit, place: int, higher: float) -> float:
    """How much longer the operation of that place takes on a wheel higher by such a part: 0.08 for 8 % longer."""
    return float((1 + higher) ** fit.own(place)[1]) - 1
