"""What is spent and what is to come, against published sums.

"Estimate at completion" = actual cost + estimate to complete, made anew from the bottom up, of which only the part to
come is unsure: Project Management Institute, A Guide to the Project Management Body of Knowledge (from memory). An
example by the same rule: 40 000 spent and 55 000 estimated to complete come to 95 000 (own arithmetic).
"""

from fractions import Fraction

import pytest

from shop.quoting.completion import ToCome, shared_by, yet_to_buy
from shop.quoting.pricing import Spread
from timing.forecast import Forecast

SURE = Spread.sure(0)


def test_the_estimate_at_completion_is_what_was_spent_and_what_is_to_come() -> None:
    come = ToCome(None, SURE, SURE, material=35_000, outwork=20_000)
    assert come.at_completion(Fraction(40_000)).spread == Spread.sure(95_000)
    unsure = ToCome(Forecast(10.0, 0.2, 30.0), SURE, SURE, material=35_000)
    whole, alone = unsure.at_completion(Fraction(40_000)).spread, unsure.spread
    # What is spent moves the range, and makes it no wider.
    assert (whole.low - alone.low, whole.likely - alone.likely, whole.high - alone.high) == (40_000,) * 3


def test_a_price_holds_the_cost_by_what_is_unsure_alone() -> None:
    come = ToCome(Forecast(10.0, 0.2, 30.0), SURE, SURE)
    cost = come.at_completion(Fraction(40_000))
    assert cost.chance_within(cost.spread.likely) == pytest.approx(0.5, abs=1e-3)
    assert cost.chance_within(40_000) == 0


def test_each_bears_its_part_and_nothing_is_bought_twice() -> None:
    work = Forecast(10.0, 0.2, 30.0)
    shares = shared_by(work, [(300.0, {"near": 2, "off": 1}), (100.0, {"near": 1, "off": 1})])
    assert sum(shares.values()) == pytest.approx(work.quantile(0.5), abs=1)
    assert shares["near"] / shares["off"] == pytest.approx(250 / 150, rel=1e-4)
    assert [yet_to_buy(500, Fraction(bought)) for bought in (0, 120, 700)] == [500, 380, 0]
