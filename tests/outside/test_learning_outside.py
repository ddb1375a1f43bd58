"""Runs of like pieces, held to published tables of learning curves."""

import numpy as np
import pytest

from timing.forecast.runs import exponent_of, run_sums, unit_time


def run_of(first, pieces, rate, log_setting_up=-50.0):
    """Minutes for so many pieces of a run, in the unit of the first one's."""
    sums = run_sums(
        np.zeros(len(pieces), dtype=int),
        np.zeros(len(pieces)),
        np.array(pieces, float),
        np.array([exponent_of(rate)]),
        np.array([log_setting_up]),
    )
    return first * sums.total


@pytest.mark.parametrize(("rate", "exponent"), [(0.80, -0.3219281), (0.85, -0.2344653), (0.90, -0.1520031)])
def test_exponents_are_those_of_the_rates(rate, exponent):
    """B. Boehmke, package learningCurve of R (after the US Air Force Institute of Technology), its documentation."""
    assert exponent_of(rate) == pytest.approx(exponent, rel=1e-6)


@pytest.mark.parametrize(("rate", "time"), [(0.85, 32.23647), (0.80, 21.13225), (0.90, 48.00243), (0.95, 69.95640)])
def test_the_125th_unit_takes_what_the_unit_model_says(rate, time):
    """learningCurve: first unit 100 hours, Crawford's unit model."""
    assert unit_time(100, 125, exponent_of(rate)) == pytest.approx(time, abs=5e-6)


def test_runs_add_up_as_the_table_of_an_80_percent_curve():
    """R. B. Chase and F. R. Jacobs, Operations and Supply Chain Management, technical note 4A: first unit 10 hours."""
    table = {2: 18.0, 3: 25.0210, 4: 31.4210, 5: 37.3774, 6: 42.9942, 7: 48.3391, 8: 53.4591, 9: 58.3886}
    table |= {10: 63.1537, 20: 104.8494}
    assert run_of(10, list(table), 0.80) == pytest.approx(list(table.values()), abs=6e-5)
    doubled = {2: 180_000, 4: 314_210, 8: 534_591, 16: 892_014, 32: 1_467_862}
    assert run_of(100_000, list(doubled), 0.80) == pytest.approx(list(doubled.values()), abs=0.5)


THIRD = {0.60: 0.4450, 0.65: 0.5052, 0.70: 0.5682, 0.75: 0.6338, 0.80: 0.7021, 0.85: 0.7729, 0.90: 0.8462, 0.95: 0.9219}


@pytest.mark.parametrize("rate", THIRD)
def test_the_third_unit_at_each_rate(rate):
    """Chase and Jacobs, exhibit 4A.4."""
    assert np.diff(run_of(1, [2, 3], rate))[0] == pytest.approx(THIRD[rate], abs=5e-5)


def test_after_five_doublings_nothing_is_gained_and_setting_up_is_in_the_first_stretch_alone():
    """Own arithmetic: that there is an end, and where, is common practice and has no source."""
    pieces = run_of(1, [32, 33, 63, 64], 0.9)
    last = unit_time(1, 32, exponent_of(0.9))
    assert np.diff(pieces) == pytest.approx([last, 30 * last, last])
    assert run_of(1, [1], 0.9, np.log(2)) == pytest.approx([3])
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
