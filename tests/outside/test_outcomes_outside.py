"""Whether ranges held: chances of outcomes, and the binomial count of ranges that should hold."""

import numpy as np
import pytest

from shop.quoting.outcome import Quoted, expected_held, fell_in_words, held, held_in_words, lean_in_words
from timing.forecast import Forecast


def outcomes(count: int, *, told: float) -> list[float]:
    """Chances that forecasts gave to what came out, where the true spread is 0.2 and `told` is what was quoted."""
    rng = np.random.default_rng(1896)
    log_sd, degrees = 0.2, 12.0
    found = []
    for _ in range(count):
        log_median = float(rng.normal(7.5, 0.6))
        outcome = float(np.exp(log_median + log_sd * rng.standard_t(degrees)))
        found.append(Quoted((Forecast(log_median, told, degrees),)).chance_within(outcome))
    return found


def test_outcomes_of_the_model_itself_are_spread_evenly_and_its_ranges_hold() -> None:
    """A. P. Dawid, J. R. Statist. Soc. A 147 (1984): the probability integral transform of right forecasts is uniform.

    The bound on the largest distance from evenness at the 5 % level for n > 35 is 1.358/√n (N. Smirnov, Ann. Math.
    Statist. 19, 1948; value from memory).
    """
    chances = sorted(outcomes(400, told=0.2))
    even = (np.arange(1, 401) - 0.5) / 400
    assert np.abs(np.array(chances) - even).max() < 1.358 / 20
    assert held_in_words(chances).endswith("would be as expected.")
    assert lean_in_words(chances) == ""


def test_a_model_too_narrow_by_half_is_seen_as_such() -> None:
    """Of right 80 % ranges those of half the width hold where |t| < t(0.9)/2: with 12 degrees in 50 of 100."""
    chances = outcomes(60, told=0.1)
    share = sum(map(held, chances)) / 60
    assert 0.35 < share < 0.65
    assert "That is fewer: the ranges are too narrow" in held_in_words(chances)
    wide = outcomes(60, told=0.4)
    assert "That is more: the ranges are wider than they need to be." in held_in_words(wide)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        # Cumulative binomial with p = 0.8, as in standard tables (values from memory): n = 9 P(X ≤ 4) = 0.0196 and
        # P(X ≤ 5) = 0.0856; n = 10 P(X ≤ 4) = 0.0064, P(X ≤ 5) = 0.0328; n = 20 P(X ≤ 11) = 0.0100, P(X ≤ 12) = 0.0321.
        (9, 5, 9),
        (10, 5, 10),
        (20, 12, 19),
    ],
)
def test_how_many_of_a_few_ranges_hold_is_binomial(count: int, low: int, high: int) -> None:
    assert expected_held(count) == (low, high)


def test_it_is_said_in_words() -> None:
    assert held_in_words([0.5] * 7 + [0.05, 0.95]) == "7 of 9 held; with so few, 5 to 9 would be as expected."
    assert lean_in_words([0.7] * 9 + [0.2]).startswith(
        "9 of 10 came in over what was likely: quotations lean to the low"
    )
    assert fell_in_words(0.71) == "dearer than 7 of 10 such orders would be"
    assert fell_in_words(0.08) == "cheaper than 9 of 10 such orders would be"
    assert fell_in_words(0.999).startswith("dearer than nearly all")
    assert fell_in_words(0.001).startswith("cheaper than nearly all")
    # Two parts that go up and down together: the chance of their sum is that of each.
    both = Quoted((Forecast(5.0, 0.2, 9), Forecast(6.0, 0.3, 20)))
    assert both.chance_within(both.at(0.83)) == pytest.approx(0.83, abs=1e-9)
    assert Quoted(()).chance_within(0) == 1.0
