"""Margin, markup and tax, against published rules and the standard library's decimal arithmetic."""

import math
import statistics
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.quoting.pricing import (
    Cost,
    deposit_on,
    margin_of,
    markup_of,
    price_by_margin,
    price_by_markup,
    tax_on,
)
from timing.forecast import Forecast

parts = st.fractions(min_value=0, max_value=Fraction(99, 100), max_denominator=10_000)


# m = u / (1 + u), as retail arithmetic has it: M. R. Czinkota, M. Kotabe, Marketing Management, on markup on cost and
# on selling price; the pairs are those that tables of markup equivalents print.
@pytest.mark.parametrize(
    ("markup", "margin"),
    [
        (Fraction(1, 4), Fraction(1, 5)),
        (Fraction(1, 2), Fraction(1, 3)),
        (Fraction(1), Fraction(1, 2)),
        (Fraction(2, 3), Fraction(2, 5)),
    ],
)
def test_margin_and_markup_are_those_of_the_tables(markup: Fraction, margin: Fraction) -> None:
    # A cost that every one of these divides without a rest.
    cost = 6_000
    assert margin_of(price_by_markup(cost, markup), cost) == margin
    assert markup_of(price_by_margin(cost, margin), cost) == markup


def test_the_worked_prices_of_the_tables() -> None:
    # Cost 80, price 100: a quarter on the cost, a fifth of the price. Cost 60 at a margin of 40 %: 100.
    assert (markup_of(10_000, 8_000), margin_of(10_000, 8_000)) == (Fraction(1, 4), Fraction(1, 5))
    assert price_by_margin(6_000, Fraction(2, 5)) == 10_000
    assert price_by_markup(8_000, Fraction(1, 4)) == 10_000


@given(st.integers(0, 10**9), parts)
def test_a_margin_and_the_markup_that_is_the_same_give_one_price(cost: int, margin: Fraction) -> None:
    price = price_by_margin(cost, margin)
    assert price == price_by_markup(cost, margin / (1 - margin))
    assert abs(price * (1 - margin) - cost) <= Fraction(1, 2)


# Council Regulation (EC) No 1103/97, article 5: what is exactly half-way is rounded up, once, at the amount that is
# to be paid.
@pytest.mark.parametrize(("price", "rate", "tax"), [(250, "0.05", 13), (270, "0.05", 14), (1050, "0.21", 221)])
def test_half_a_penny_of_tax_goes_up(price: int, rate: str, tax: int) -> None:
    assert tax_on(price, Fraction(rate)) == tax


@given(st.integers(0, 10**9), st.integers(0, 10_000))
def test_tax_and_deposit_round_as_decimal_does(price: int, basis_points: int) -> None:
    exact = Decimal(price) * basis_points / 10_000
    rounded = int(exact.quantize(Decimal(1), rounding=ROUND_HALF_UP))
    assert tax_on(price, Fraction(basis_points, 10_000)) == rounded
    assert deposit_on(price, Fraction(basis_points, 10_000)) == rounded


# HMRC, VAT Notice 700, section 17.5: tax by the line may differ from tax on the whole, by no more than half a penny a
# line and the one penny by which the whole may be rounded down. A paper of several lines shows one tax, on the whole.
@given(st.lists(st.integers(0, 10**7), min_size=1, max_size=12), st.integers(0, 3_000))
def test_tax_on_the_whole_is_within_what_lines_may_differ_by(lines: list[int], basis_points: int) -> None:
    rate = Fraction(basis_points, 10_000)
    assert abs(sum(tax_on(line, rate) for line in lines) - tax_on(sum(lines), rate)) <= Fraction(len(lines), 2) + 1


def test_the_chance_of_a_price_is_that_of_the_lognormal() -> None:
    # The standard library's normal distribution; with so many degrees of freedom Student's t is it.
    cost = Cost(Forecast(math.log(200_000), 0.15, 1e6), Fraction(80_000))
    normal = statistics.NormalDist()
    for chance in (0.1, 0.5, 0.8, 0.9):
        expected = 80_000 + 200_000 * math.exp(0.15 * normal.inv_cdf(chance))
        assert cost.at(chance) == pytest.approx(expected, abs=2)
        assert cost.chance_within(round(expected)) == pytest.approx(chance, abs=1e-4)
