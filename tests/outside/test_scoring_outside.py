"""Scores of ranges and the formulas of work study, held to published values."""

import math

import numpy as np
import pytest
from scipy import stats

from timing.forecast.forecasting import Forecast
from timing.forecast.scoring import held_ranges, interval_score, pinball_losses, ranked_scores
from timing.work_study import further_readings, readings_needed, readings_needed_by_t


@pytest.mark.parametrize(
    ("chance", "said", "loss"),
    [
        (0.05, (1.25, 0, 1, 4, 0.625), 0.16625),
        (0.5, (2.5, 0, 2, 8, 1.25), 0.275),
        (0.95, (3.75, 0, 3, 12, 1.875), 0.09625),
    ],
)
def test_pinball_losses(chance, said, loss):
    """The documentation of sktime, class PinballLoss."""
    seen = np.array([3, -0.5, 2, 7, 2])
    assert pinball_losses(seen, np.array(said), chance).mean() == pytest.approx(loss, abs=1e-12)


def test_ranked_scores_of_a_normal_and_a_lognormal():
    """The tests of the package scoringRules of R (A. Jordan, F. Krüger and S. Lerch, 2019).

    That at the middle of the normal is (√2 − 1) / √π, own arithmetic.
    """
    chances = (np.arange(20_000) + 0.5) / 20_000
    normal = stats.norm.ppf(chances)
    scores = ranked_scores(np.array([-3.0, -3.0 * 0.9, 0.0]), np.stack([normal, 0.9 * normal, normal]))
    assert scores == pytest.approx([2.43657473, 0.9 * 2.43657473, (math.sqrt(2) - 1) / math.sqrt(math.pi)], abs=1e-6)
    whole = Forecast(0.1, 0.9, 1e6)
    lognormal = np.array([[whole.quantile(chance) for chance in chances]])
    assert ranked_scores(np.array([3.0]), lognormal) == pytest.approx([1.13552645], abs=1e-5)


def test_the_score_of_a_range_is_twice_the_pinball_losses_of_its_ends():
    """Gneiting and Raftery, 2007; the numbers are own arithmetic."""
    for seen, score in ((7, 6), (12, 26), (3, 16)):
        assert interval_score(seen, 4, 10, 0.8) == pytest.approx(score)
        ends = sum(pinball_losses(np.array([seen]), np.array([end]), at)[0] for end, at in ((4, 0.1), (10, 0.9)))
        assert 2 / 0.2 * ends == pytest.approx(score)


def test_honest_ranges_hold_a_binomial_count():
    """Own arithmetic from the binomial: of 50 ranges of 80 %, 34 to 45 hold."""
    counted = held_ranges([5.0] * 33 + [11.0] * 17, [0.0] * 50, [10.0] * 50, 0.8)
    assert (counted.held, counted.ranges, counted.least, counted.most) == (33, 50, 34, 45)
    assert not counted.is_as_claimed


def test_readings_needed_by_the_ilo():
    """Kanawaty, Introduction to Work Study: readings 7, 6, 7, 7, 6 hundredths of a minute, within 5 %: 8.815, so 9."""
    assert readings_needed([7, 6, 7, 7, 6], within=0.05) == pytest.approx(8.815, abs=1e-3)


def test_readings_needed_by_students_t():
    """Niebel: ten readings of mean 0.30 and standard deviation 0.03, within 5 %, t 2.262: 20.47, so 21."""
    assert readings_needed_by_t(0.30, 0.03, 10, within=0.05) == pytest.approx(20.47, abs=5e-3)
    # From memory: 25 readings of deviation 0.09, t 2.064, want 153.4, so 154.
    assert readings_needed_by_t(0.30, 0.09, 25, within=0.05) == pytest.approx(153.4, abs=0.1)
    # The ILO's five by t, t 2.776: 21.24 (own arithmetic). Two standard deviations are too hopeful for so few.
    five = [7, 6, 7, 7, 6]
    deviation = math.sqrt(sum((one - 6.6) ** 2 for one in five) / 4)
    assert readings_needed_by_t(6.6, deviation, 5, within=0.05) == pytest.approx(21.24, abs=0.01)
    assert further_readings(five, within=0.05) == 22 - 5
    assert further_readings(five, within=0.20) == 0
