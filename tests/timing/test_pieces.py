"""A run, one of its pieces, and its setting-up, as a fit knows them."""

import numpy as np
import pytest

from timing.forecast import Line, Operation, fit_timings, timings
from timing.forecast.pieces import longer_by, pieces_in_runs, pieces_of, runs_of
from timing.forecast.work import usual_pieces_a_wheel

SIZE = 42 * 25_400_000.0
SHAVE = Operation("shave-spoke", "spoke", "spoke", usual_pieces_a_wheel("spoke"), 11.0)
FIRE = Operation("fire", "tyre", "heat", usual_pieces_a_wheel("heat"), 75.0)


def fit_of(minutes):
    """A fit of runs of twelve by one hand, one run an order, each piece timed by itself."""
    orders, pieces = minutes.shape
    return fit_timings(
        timings(
            order=np.repeat(np.arange(orders), pieces),
            operation=np.zeros(minutes.size, dtype=int),
            hand=np.zeros(minutes.size, dtype=int),
            wheel=np.full(minutes.size, -1),
            size_nm=np.full(minutes.size, SIZE),
            pieces=np.ones(minutes.size),
            minutes=minutes.ravel(),
        ),
        [SHAVE, FIRE],
        ["7"],
    ).fit


@pytest.fixture(scope="module")
def fit():
    drawn = np.random.default_rng(4).lognormal(np.log(8), 0.25, (30, 12))
    # Twenty minutes of setting-up, told with the first piece.
    drawn[:, 0] += 20
    return fit_of(drawn)


def test_a_piece_is_its_share_of_the_run_and_spreads_wider(fit):
    run = runs_of(fit, [Line("shave-spoke", 12, 1, SIZE, "7")])[0]
    # 12 × 8.25 minutes, the mean of what was drawn, and 20 of setting-up.
    assert run.whole.quantile(0.5) == pytest.approx(12 * 8.25 + 20, rel=0.05)
    assert run.each == pytest.approx(run.whole.quantile(0.5) / 12)
    assert run.setting_up == pytest.approx(20, rel=0.25)
    low, high = (run.piece.quantile(chance) for chance in (0.1, 0.9))
    assert low < run.each < high
    assert np.log(high / low) > np.log(run.whole.quantile(0.9) / run.whole.quantile(0.1))
    # Eight in ten of single pieces as they were drawn: 2 × 1.2816 × 0.25 in logs, and a little that is not known.
    assert 2 * 1.2816 * 0.25 < np.log(high / low) < 2 * 1.2816 * 0.32


def test_longer_runs_and_lower_wheels_take_less_a_piece(fit):
    short, long = (runs_of(fit, [Line("shave-spoke", pieces, 1, SIZE)])[0].each for pieces in (12, 48))
    assert long < short
    higher = runs_of(fit, [Line("shave-spoke", 12, 1, SIZE * 1.1)])[0].each
    assert higher / runs_of(fit, [Line("shave-spoke", 12, 1, SIZE)])[0].each - 1 == pytest.approx(
        longer_by(fit, 0, 0.1), abs=0.002
    )


def test_what_length_and_size_do_is_that_of_the_forecasts(fit):
    lines = [(12, SIZE), (48, SIZE), (12, SIZE * 1.1)]
    each = np.array([runs_of(fit, [Line("shave-spoke", pieces, 1, size)])[0].each for pieces, size in lines])
    alike = pieces_in_runs(fit, 0, *np.array(lines, dtype=float).T)
    assert alike / alike[0] == pytest.approx(each / each[0], rel=2e-3)
    assert pieces_in_runs(fit, 0, np.array([12.0]), np.array([np.nan]))[0] == pytest.approx(alike[0])


def test_a_run_has_one_piece_at_least():
    assert pieces_of(SHAVE) == 24
    assert pieces_of(FIRE) == 1
    assert pieces_of(FIRE, 8) == 2
