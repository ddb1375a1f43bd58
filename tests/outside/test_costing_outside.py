"""Rounding, reading and adding money, against the standard library's decimal arithmetic.

`decimal` follows the General Decimal Arithmetic specification (Cowlishaw, speleotrove.com/decimal, version 1.70),
whose round-half-up is: digits of a half or more are rounded away from zero. IEEE 754-2019 (4.3.1) calls the same
rule roundTiesToAway.
"""

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
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


# Council Regulation (EC) No 1103/97, article 5: an exact half goes up. The others are what Python's documentation of
# `decimal` and of `round` says that rounding to even and binary fractions make of them: not what is paid.
@pytest.mark.parametrize(
    ("pounds", "pence", "to_even"), [("0.125", 13, 12), ("0.135", 14, 14), ("2.675", 268, 268), ("-0.025", -3, -2)]
)
def test_half_a_penny_goes_up_and_not_to_even(pounds: str, pence: int, to_even: int) -> None:
    assert round_half_up(Fraction(pounds) * 100) == pence
    assert int((Decimal(pounds) * 100).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)) == to_even
    assert round(2.675, 2) == 2.67


# Court of Justice, C-19/03 Verbraucher-Zentrale Hamburg v O2, 14 September 2004: a price of a unit (there a minute) is
# no amount that is paid, and need not be rounded; the figures are our own.
@pytest.mark.parametrize(("rate", "units", "pence"), [("0.63125", 9, 568), ("0.0125", 3, 4), ("0.00499", 1000, 499)])
def test_a_rate_keeps_its_places_and_only_what_is_paid_is_rounded(rate: str, units: int, pence: int) -> None:
    millipence = parse_millipence(rate)
    assert Fraction(millipence, 100_000) == Fraction(rate)
    assert format_millipence(millipence) == f"£{rate}"
    assert round_half_up(Fraction(units * millipence, 1000)) == pence
