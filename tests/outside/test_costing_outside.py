"""Rounding, reading and adding money, against the standard library's decimal arithmetic.

`decimal` follows the General Decimal Arithmetic specification (Cowlishaw, speleotrove.com/decimal, version 1.70),
whose round-half-up is: digits of a half or more are rounded away from zero. IEEE 754-2019 (4.3.1) calls the same
rule roundTiesToAway.
"""

from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.cost_sums import pence_of
from shop.money import format_millipence, format_pence, parse_millipence, parse_pence, plain_pence, round_half_up

WIDE = Context(prec=60)
amounts = st.integers(0, 10**9 - 1)


# The rows of the specification's table for round-half-up, as in its section "Rounding" (by memory of its rule).
@pytest.mark.parametrize(
    ("amount", "rounded"), [("1.1", 1), ("1.5", 2), ("2.5", 3), ("1.9", 2), ("-1.1", -1), ("-1.5", -2), ("-2.5", -3)]
)
def test_halves_go_away_from_zero(amount: str, rounded: int) -> None:
    assert round_half_up(Fraction(amount)) == rounded


@given(st.decimals(allow_nan=False, allow_infinity=False, places=7, min_value=-(10**12), max_value=10**12))
def test_rounding_agrees_with_decimal(amount: Decimal) -> None:
    assert round_half_up(Fraction(amount)) == int(amount.quantize(Decimal(1), rounding=ROUND_HALF_UP, context=WIDE))


@given(st.integers(-(10**6), 10**6), st.integers(0, 10**8))
def test_a_cost_rounds_as_decimal_does(seconds: int, rate_millipence: int) -> None:
    exact = Fraction(seconds * rate_millipence, 3_600_000)
    assert pence_of(seconds, rate_millipence) == exact
    whole = WIDE.divide(Decimal(seconds * rate_millipence), Decimal(3_600_000))
    assert round_half_up(exact) == int(whole.quantize(Decimal(1), rounding=ROUND_HALF_UP, context=WIDE))


@given(amounts)
def test_an_amount_reads_back_as_it_was_written(pence: int) -> None:
    for currency in ("GBP", "CHF", "JPY", "KWD"):
        # JPY has no minor unit: the same whole number is so many yen.
        assert parse_pence(format_pence(pence // 100, currency), currency) == pence // 100
        assert parse_pence(plain_pence(pence // 100, currency), currency) == pence // 100
        assert parse_millipence(format_millipence(pence, currency), currency) == pence


@given(amounts)
def test_pounds_are_decimal_pounds(pence: int) -> None:
    text = str(Decimal(pence) / 100)
    assert parse_pence(text) == pence
