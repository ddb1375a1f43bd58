"""Tolerance limits held to published factors and limits."""

import math
from functools import partial

import pytest
from scipy import special, stats

from timing.tolerance import howe_factor, lognormal_limits, two_sided_factor, upper_factor

# NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.3: 43 wafers of mean 97.07 and standard deviation 0.0268, for
# nine tenths with 99 %. (The last line of that page takes 2.68 for the deviation, and is a slip.)
WAFERS = partial(dict, content=0.90, confidence=0.99)


def test_the_factor_of_howe():
    factor = howe_factor(43, **WAFERS())
    assert factor == pytest.approx(2.2173159, abs=1e-6)
    assert 97.07 - factor * 0.0268 == pytest.approx(97.010576, abs=1e-6)
    assert 97.07 + factor * 0.0268 == pytest.approx(97.129424, abs=1e-6)
    assert float(special.chdtri(42, 0.99)) == pytest.approx(23.650095, abs=1e-6)


def test_the_one_sided_factor_is_exact_and_the_handbooks_is_near_it():
    """The handbook's (z + √(z² − ab)) / a comes to 1.8751896 there; the exact one, own arithmetic, to 1.8739536."""
    z, g = float(special.ndtri(0.90)), float(special.ndtri(0.99))
    a, b = 1 - g * g / (2 * 42), z * z - g * g / 43
    by_hand = (z + math.sqrt(z * z - a * b)) / a
    assert (a, b) == pytest.approx((0.9355727, 1.5165164), abs=1e-6)
    assert by_hand == pytest.approx(1.8751896, abs=1e-6)
    assert 97.07 + by_hand * 0.0268 == pytest.approx(97.120255, abs=1e-6)
    assert 97.07 - by_hand * 0.0268 == pytest.approx(97.019745, abs=1e-6)
    factor = upper_factor(43, **WAFERS())
    assert factor == pytest.approx(1.8739536, abs=1e-7)
    assert by_hand - factor == pytest.approx(0.0012, abs=1e-4)


# P. M. Berthouex and L. C. Brown, Statistics for Environmental Engineers, table 21.1: 95 % confidence that 90, 95 and
# 99 % lie within x̄ ± k·s.
TWO_SIDED = {
    4: (5.37, 6.34, 8.22),
    5: (4.29, 5.08, 6.60),
    6: (3.73, 4.42, 5.76),
    7: (3.39, 4.02, 5.24),
    8: (3.16, 3.75, 4.89),
    9: (2.99, 3.55, 4.63),
    10: (2.86, 3.39, 4.44),
    12: (2.67, 3.17, 4.16),
    15: (2.49, 2.96, 3.89),
    20: (2.32, 2.76, 3.62),
    30: (2.15, 2.55, 3.35),
}


@pytest.mark.parametrize("count", TWO_SIDED)
def test_two_sided_factors_are_those_of_the_table(count):
    for content, printed in zip((0.90, 0.95, 0.99), TWO_SIDED[count], strict=True):
        exact = two_sided_factor(count, content=content, confidence=0.95)
        assert exact == pytest.approx(printed, abs=5.01e-3)
        # By Howe 1 in 40 off at four values, and 1 in 150 from six on (own arithmetic).
        howe = howe_factor(count, content=content, confidence=0.95)
        assert howe == pytest.approx(exact, rel=0.025 if count < 6 else 0.01)
        if content < 0.99 and count > 5:
            assert howe == pytest.approx(printed, abs=0.025)


def test_two_sided_factors_to_more_places_and_of_very_many():
    """Own arithmetic by another quadrature; of very many the factor is the normal's own, as the table's last row."""
    exact = [two_sided_factor(count, content=0.95, confidence=0.95) for count in (5, 10, 20)]
    assert exact == pytest.approx([5.0769, 3.3934, 2.7603], abs=5e-5)
    ends = [two_sided_factor(10**8, content=content, confidence=0.95) for content in (0.90, 0.95, 0.99)]
    assert ends == pytest.approx([1.645, 1.960, 2.576], abs=1e-3)


def test_an_upper_limit_in_logs():
    """US Environmental Protection Agency, Unified Guidance, 2009, example 17-3: chrysene, 95 % of it with 95 %.

    The results as in the package EnvStats of R.
    """
    chrysene = (19.7, 39.2, 7.8, 12.8, 10.2, 7.2, 16.1, 5.7)
    logs = [math.log(one) for one in chrysene]
    assert (sum(logs) / 8, stats.tstd(logs)) == pytest.approx((2.5085773, 0.6279479), abs=5e-8)
    assert upper_factor(8, content=0.95, confidence=0.95) == pytest.approx(3.18729, abs=5e-6)
    assert lognormal_limits(chrysene, content=0.95).under == pytest.approx(90.9247, abs=5e-4)


def test_limits_hold_as_often_as_they_say():
    """Of many samples, 95 % have limits that hold nine tenths; own draws, so that no formula stands for itself."""
    held = {"under": 0, "between": 0}
    draws = stats.norm.rvs(size=(600, 12), random_state=1896)
    for sample in draws:
        limits = lognormal_limits([math.exp(2 + 0.3 * one) for one in sample])
        under, low, high = (special.ndtr((math.log(at) - 2) / 0.3) for at in (limits.under, limits.low, limits.high))
        held["under"] += under >= 0.9
        held["between"] += high - low >= 0.9
    # Three standard deviations of 600 times 0.95.
    assert held["under"] == pytest.approx(570, abs=16)
    assert held["between"] == pytest.approx(570, abs=16)


@pytest.mark.parametrize("values", [(), (3.0,), (3.0, 0.0)])
def test_too_few_values_are_refused(values):
    with pytest.raises(ValueError, match=r"wants (two )?values"):
        lognormal_limits(values)
