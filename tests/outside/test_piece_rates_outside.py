"""What rate a piece should have, against published sums of pay by the piece and by standard minutes."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pay.great_britain import OutputTried
from shop.pay.piece_rates import Advised, asked_by_law, lowest_wage, money_factor, rate_of
from shop.pay.sheet import HOURS, Day, PieceWork, amount_of, earned

HOUR = Fraction(1)


def test_pay_by_standard_minutes() -> None:
    """F. Jórasz and B. Baltzer 2019, as quoted: 20 pieces of 3 minutes at €0.50 a minute are €30."""
    an_hour = Fraction(30_00)
    assert money_factor(an_hour) == 50
    assert 20 * rate_of(Fraction(3), an_hour) == 30_00


def test_the_rate_of_a_surcharged_wage() -> None:
    """A web encyclopaedia: €15 and 20 % make €18 an hour; at 10 an hour, 6 minutes, our sums are €0.30 and €1.80."""
    an_hour = Fraction(15_00) * Fraction(6, 5)
    assert (an_hour, money_factor(an_hour), rate_of(Fraction(6), an_hour)) == (18_00, 30, 180)


@given(st.integers(1, 60_000), st.integers(1, 10_000_000), st.integers(0, 999))
def test_pay_by_pieces_and_by_minutes_are_the_same_for_every_number(
    hundredths: int, millipence: int, pieces: int
) -> None:
    """Both name the same pay (Jórasz and Baltzer); who makes them in just those minutes earns just that in an hour."""
    minutes, an_hour = Fraction(hundredths, 100), Fraction(millipence, 1000)
    assert pieces * rate_of(minutes, an_hour) == pieces * minutes * money_factor(an_hour)
    assert rate_of(minutes, an_hour) * (60 / minutes) == an_hour
    # Rounded up to a whole minor unit, and by less than one.
    assert 0 <= Advised(rate_of(minutes, an_hour)).pence - rate_of(minutes, an_hour) < 1


def test_the_law_of_britain_is_the_fair_rate_rounded_up() -> None:
    """GOV.UK's 12 shirts an hour at £6.31: 63.1p, so 64p. Acas's hats, 20, 25 and 30 an hour: at £12.21 59p (our sum).

    Regulation 42: the mean is of the workers' outputs, which is more than the output at their mean minutes.
    """
    asked = asked_by_law("gb", date(2014, 5, 1), minutes=Fraction(5), tried=[])
    assert asked is not None
    assert (asked.output, asked.hour, asked.piece) == (12, 631, Fraction("63.1"))
    by_law = Advised(rate_of(Fraction(5), Fraction(700)), asked.piece)
    assert (by_law.pence, by_law.is_by_law) == (64, True)
    by_hour = Advised(rate_of(Fraction(5), Fraction(768)), asked.piece)
    assert (by_hour.pence, by_hour.law_pence, by_hour.is_by_law) == (64, 64, False)
    hats = asked_by_law(
        "gb", date(2025, 5, 1), minutes=Fraction(2), tried=[OutputTried(Fraction(n), HOUR) for n in (20, 25, 30)]
    )
    assert hats is not None
    assert (hats.output, Advised(Fraction(0), hats.piece).pence) == (25, 59)


def test_other_laws_and_none() -> None:
    """29 U.S.C. 206(a)(1)(C), from memory: $7.25 an hour, so 10 minutes earn $1.20833…, and a rate $1.21."""
    asked = asked_by_law("us", date(2026, 3, 2), minutes=Fraction(10), tried=[])
    assert asked is not None
    assert (asked.currency, asked.piece, asked.output) == ("USD", Fraction(7250, 60), None)
    assert Advised(Fraction(100), asked.piece).pence == 121
    assert asked_by_law("plain", date(2026, 3, 2), minutes=Fraction(10), tried=[]) is None
    # GOV.UK's rates from April 2026: grown hands, 18 to 20, apprentices.
    bands = [lowest_wage("gb", date(2026, 4, 1), band=band) for band in ("adult", "young", "apprentice")]
    assert bands == [1271, 1085, 800]
    assert (lowest_wage("us", date(2026, 4, 1), band="young"), lowest_wage("plain", date(1900, 1, 1), band="")) == (
        *(725, None),
    )
    with pytest.raises(ValueError, match="no time"):
        rate_of(Fraction(0), Fraction(1500))


@given(st.integers(1, 600), st.integers(1, 50))
def test_a_rate_pays_on_a_sheet_no_less_than_the_hours_it_stands_for(minutes: int, pieces: int) -> None:
    """The same work by the hour and by the piece, through the sheet's own sums."""
    an_hour, seconds = 15_00, minutes * 60 * pieces
    rate = Advised(rate_of(Fraction(minutes), Fraction(an_hour))).pence
    day = Day(date(2026, 3, 2), seconds, an_hour * 1000, (PieceWork("Shave", rate * 1000, pieces, seconds),))
    by_pieces, by_hour = amount_of(earned([day])), amount_of(earned([Day(day.on, seconds, an_hour * 1000)]))
    assert by_hour <= by_pieces < by_hour + pieces
    assert all(line.kind != HOURS for line in earned([day]))
