"""Forecast: the shop's own timings, fitted once, say how long any list of work will take, and how surely.

Pure sums: no database, no Django. Logs of minutes are a straight line of what moves them (operation, size of wheel,
length of run with its setting-up, hand), and of what is drawn anew for each order, each batch, each wheel and each
piece.

From the outside in: `fit_timings` (`fit.py`) puts timings in order (`rows.py`) and goes round (`fitting.py`): it
gathers the rows (`nested.py`, `descent.py`), solves for all numbers (`solving.py`), learns how unlike things are
(`spreads.py`), and judges which rows stray (`strays.py`), held by what is likely beforehand (`assumptions.py`,
`priors.py`). `forecast_lines` (`forecasting.py`, `who.py`) reads a fit, which `keeping.py` makes into bytes. How good
it is: `tests/benchmarks/judging.py`, on a made-up shop.
"""

from timing.forecast.assumptions import Assumptions, without_priors
from timing.forecast.fit import Fit, Judged, fit_timings
from timing.forecast.forecasting import Forecast, Lines, forecast_lines
from timing.forecast.work import Line, Operation, Timings, WorkRefused, timings, usual_pieces_a_wheel

__all__ = [
    "Assumptions",
    "Fit",
    "Forecast",
    "Judged",
    "Line",
    "Lines",
    "Operation",
    "Timings",
    "WorkRefused",
    "fit_timings",
    "forecast_lines",
    "timings",
    "usual_pieces_a_wheel",
    "without_priors",
]
