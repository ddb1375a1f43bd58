"""Runs of like pieces, held to published tables of learning curves."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.outside.fitted import ONE
from timing.forecast import Line, fit_timings, forecast_lines, runs, timings, without_priors
from timing.forecast.assumptions import Guess, held
from timing.forecast.runs import exponent_of, run_sums


def run_of(first, pieces, rate, *, before=0, log_setting_up=-50.0):
    """Minutes for so many pieces of a run, after those before them, in the unit of the first one's."""
    sums = run_sums(
        np.zeros(len(pieces), dtype=int),
        np.full(len(pieces), float(before)),
        np.array(pieces, float),
        np.array([exponent_of(rate)]),
        np.array([log_setting_up]),
    )
    return first * sums.total


@pytest.fixture
def without_an_end(monkeypatch):
    """Published curves go on for ever: the same sums with an end that none of them comes to."""
    numbers = np.arange(1.0, 2001)
    monkeypatch.setattr(runs, "NO_GAIN_AFTER", len(numbers))
    monkeypatch.setattr(runs, "_NUMBERS", numbers)
    monkeypatch.setattr(runs, "_LOGS", np.log(numbers))


EXPONENTS = {0.80: -0.3219281, 0.85: -0.2344653, 0.90: -0.1520031, 0.8766057: -0.19, 0.8585654: -0.22, 0.8408964: -0.25}


@pytest.mark.parametrize("rate", EXPONENTS)
def test_exponents_are_those_of_the_rates(rate):
    """B. Boehmke, package learningCurve of R (after the US Air Force Institute of Technology), its documentation."""
    assert exponent_of(rate) == pytest.approx(EXPONENTS[rate], rel=1e-6)


@pytest.mark.parametrize(("rate", "time"), [(0.85, 32.23647), (0.80, 21.13225), (0.90, 48.00243), (0.95, 69.95640)])
def test_the_125th_unit_takes_what_the_unit_model_says(rate, time, without_an_end):
    """learningCurve: first unit 100 hours, Crawford's unit model."""
    assert run_of(100, [1], rate, before=124) == pytest.approx([time], abs=5e-6)


def test_long_runs_and_blocks_add_up_as_published(without_an_end):
    """learningCurve: 125 units at 85 %; units 201 to 500 at 75 %, where the 201st takes 125 hours.

    The documentation has 30350.48 for the block, by an approximation; 30350.471 is the exact sum (own arithmetic).
    """
    assert run_of(100, [125], 0.85) == pytest.approx([5201.085], abs=5e-4)
    first = 125 / run_of(1, [1], 0.75, before=200)[0]
    assert run_of(first, [300], 0.75, before=200) == pytest.approx([30350.471], abs=1e-3)


# R. B. Chase and F. R. Jacobs, Operations and Supply Chain Management, technical note 4A: an 80 % curve, first unit 10
# hours. The unit, and all up to it.
TABLE = {
    2: (8.0, 18.0),
    3: (7.0210, 25.0210),
    4: (6.4, 31.4210),
    5: (5.9564, 37.3774),
    6: (5.6168, 42.9942),
    7: (5.3449, 48.3391),
    8: (5.1200, 53.4591),
    9: (4.9295, 58.3886),
    10: (4.7651, 63.1537),
    20: (3.8121, 104.8494),
    50: (2.8383, 201.2171),
    100: (2.2706, 326.5081),
    1000: (1.0820, 1586.7092),
}


def test_units_and_runs_are_those_of_the_table_of_an_80_percent_curve(without_an_end):
    units, totals = np.array(list(TABLE.values())).T
    for number, unit in zip(TABLE, units, strict=True):
        assert run_of(10, [1], 0.80, before=number - 1) == pytest.approx([unit], abs=6e-5)
    assert run_of(10, list(TABLE), 0.80) == pytest.approx(totals, abs=6e-5)
    # Exhibit 4A.2: first unit 100,000 hours.
    doubled = {2: 180_000, 4: 314_210, 8: 534_591, 16: 892_014, 32: 1_467_862}
    doubled |= {64: 2_392_447, 128: 3_874_384, 256: 6_247_572}
    assert run_of(100_000, list(doubled), 0.80) == pytest.approx(list(doubled.values()), abs=0.5)


def test_up_to_the_end_of_gains_runs_are_those_of_the_table():
    short = {number: total for number, (_, total) in TABLE.items() if number <= 20}
    assert run_of(10, list(short), 0.80) == pytest.approx(list(short.values()), abs=6e-5)
    assert run_of(10, [10], 0.80, before=10) == pytest.approx([104.8494 - 63.1537], abs=6e-5)


@pytest.mark.parametrize("lumps", [False, True], ids=["piece by piece", "in lumps"])
def test_the_fit_finds_the_rate_of_the_table_and_forecasts_its_further_runs(lumps):
    """The first ten units of Chase and Jacobs, or runs told as a whole, give 80 %, 10 hours, and the run of twenty."""
    pieces = [2, 3, 5, 8, 10] if lumps else [1] * 10
    minutes = [TABLE[number][1] for number in pieces] if lumps else [10, *(TABLE[n][0] for n in range(2, 11))]
    rows = timings(
        order=np.arange(len(pieces)) if lumps else np.zeros(10),
        operation=np.zeros(len(pieces)),
        hand=np.zeros(len(pieces)),
        wheel=np.zeros(len(pieces)),
        size_nm=np.full(len(pieces), np.nan),
        pieces=pieces,
        minutes=minutes,
    )
    assumed = replace(without_priors(), run=Guess(0.0, 1e3), batch=held(0.01))
    fit = fit_timings(rows, ONE, ["one"], assumed=assumed, still=1e-6).fit
    level, _, exponent, _ = fit.own(0)
    assert 2**exponent == pytest.approx(0.80, abs=5e-5)
    assert math.exp(level) == pytest.approx(10, abs=2e-3)
    run = forecast_lines(fit, [Line("one", 20)]).of()
    assert run.quantile(0.5) == pytest.approx(104.8494, abs=0.05)


THIRD = {0.60: 0.4450, 0.65: 0.5052, 0.70: 0.5682, 0.75: 0.6338, 0.80: 0.7021, 0.85: 0.7729, 0.90: 0.8462, 0.95: 0.9219}


@pytest.mark.parametrize("rate", THIRD)
def test_the_third_unit_at_each_rate(rate):
    """Chase and Jacobs, exhibit 4A.4."""
    assert np.diff(run_of(1, [2, 3], rate))[0] == pytest.approx(THIRD[rate], abs=5e-5)


def test_after_five_doublings_nothing_is_gained_and_setting_up_is_in_the_first_stretch_alone():
    """Own arithmetic: that there is an end, and where, is common practice and has no source."""
    pieces = run_of(1, [32, 33, 63, 64], 0.9)
    last = 0.9**5
    assert np.diff(pieces) == pytest.approx([last, 30 * last, last])
    assert run_of(1, [1], 0.9, log_setting_up=np.log(2)) == pytest.approx([3])
    later = run_sums(np.array([0]), np.ones(1), np.ones(1), np.array([exponent_of(0.9)]), np.array([np.log(2)]))
    assert later.total == pytest.approx([0.9])


def test_slopes_of_a_run_are_those_of_small_steps():
    """Own arithmetic: the fit is straight only as far as these are right."""

    def total(exponent, log_setting_up):
        of = (np.array([0]), np.zeros(1), np.array([40.0]))
        return run_sums(*of, np.array([exponent]), np.array([log_setting_up]))

    step = 1e-6
    sums = total(-0.15, 0.3)
    assert sums.by_exponent == pytest.approx(np.log(total(-0.15 + step, 0.3).total / sums.total) / step, rel=1e-4)
    assert sums.by_setting_up == pytest.approx(np.log(total(-0.15, 0.3 + step).total / sums.total) / step, rel=1e-4)
