"""Pay of a workweek against the worked examples of the Code of Federal Regulations, to the cent."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pay.hours import is_worked_break, nearest
from shop.pay.reckoning import reckon
from shop.pay.rules import RULES, Person
from shop.pay.sheet import GUARANTEE, Day, PieceWork
from shop.pay.united_states import AgreedPieces, Agreement, Week, pay_by_regular_rate, pay_of, shortfall

MONDAY, SUNDAY = date(2026, 3, 2), date(2026, 3, 8)
AGREED = Agreement(agreed_on=date(2026, 1, 5), begins_on=date(2026, 1, 5))


def dollars(amount: str) -> Fraction:
    return Fraction(amount) * 100


def test_a_pieceworker_with_waiting_time() -> None:
    """29 CFR 778.111(a), text of 2011: 50 hours, $491.00 by the piece in 46 of them, 4 hours waiting at $8.00."""
    pay = pay_by_regular_rate(Week(Fraction(50), piece=dollars("491"), piece_hours=Fraction(46), hourly=dollars("32")))
    assert pay.straight == dollars("523")
    assert pay.regular_rate == dollars("10.46")
    assert pay.regular_rate / 2 == dollars("5.23")
    assert pay.premium == dollars("52.30")
    assert pay.total == dollars("575.30") == 40 * dollars("10.46") + 10 * dollars("15.69")


def test_a_piece_rate_with_an_hourly_guarantee() -> None:
    """29 CFR 778.111(b), as a blog on employment law reprints it: $11 guaranteed, 46 hours, $491 earned."""
    week = Week(Fraction(46), piece=dollars("491"), piece_hours=Fraction(46), guarantee=dollars("11"))
    pay = pay_by_regular_rate(week)
    assert (pay.straight, pay.regular_rate, pay.premium) == (dollars("506"), dollars("11"), dollars("33"))
    assert pay.total == dollars("539") == 40 * dollars("11") + 6 * dollars("16.50")
    # 491 by 46 is 10.6739: a guarantee of 10.67 adds nothing.
    below = Week(Fraction(46), piece=dollars("491"), piece_hours=Fraction(46), guarantee=dollars("10.67"))
    assert pay_by_regular_rate(below).straight == dollars("491")


def test_a_sheet_makes_each_workweek_good_by_itself() -> None:
    """29 CFR 778.104 (from memory): each workweek stands alone, so $539 as in 778.111(b) and $920 are $1,459."""
    days = [
        Day(MONDAY + timedelta(7 * week + n), h * 3600, 0, (PieceWork("Hoops", 100_000, units, h * 3600),), 1_100_000)
        for week, made in ((0, (107, 107, 107, 107, 63)), (1, (184,) * 5))
        for n, (h, units) in enumerate(zip((10, 10, 10, 10, 6 if week == 0 else 0), made, strict=True))
    ]
    told = reckon(days, [], first=MONDAY, rules=RULES["us"], person=Person())
    assert [(line.name, line.pence) for line in told.lines if line.kind == GUARANTEE] == [
        ("Made good to the guarantee, week of 2 March 2026", 1500)
    ]
    assert told.pence == 53_900 + 92_000
    # Where no workweek is asked for, the good days of the period help the bad ones.
    plain = reckon(days, [], first=MONDAY, rules=RULES["plain"], person=Person())
    assert plain.pence == 49_100 + 92_000


def test_the_short_example_of_the_guide() -> None:
    """U.S. Department of Labor, Handy Reference Guide to the FLSA, as a trade association quotes it: 45 hours, $405."""
    pay = pay_by_regular_rate(Week(Fraction(45), piece=dollars("405"), piece_hours=Fraction(45)))
    assert (pay.regular_rate, pay.premium, pay.total) == (dollars("9"), dollars("22.50"), dollars("427.50"))


def test_hourly_pay_and_a_bonus_that_goes_into_the_regular_rate() -> None:
    """29 CFR 778.110(a) and (b) (76 FR 18857): $12 for 46 hours; and with a production bonus of $46."""
    assert pay_by_regular_rate(Week(Fraction(46), hourly=dollars("552"))).total == dollars("588")
    pay = pay_by_regular_rate(Week(Fraction(46), hourly=dollars("552"), bonus=dollars("46")))
    assert (pay.straight, pay.regular_rate, pay.total) == (dollars("598"), dollars("13"), dollars("637"))
    assert pay.total != dollars("588") + dollars("46")


def test_a_sheet_takes_a_bonus_into_the_regular_rate_too() -> None:
    """The same figures (29 CFR 778.110(b)) through a whole sheet, where overtime without the bonus would make $634."""
    monday = date(2026, 3, 2)
    hours = (10, 10, 10, 10, 6)
    week = [Day(monday + timedelta(n), h * 3600, 1_200_000, bonus=4600 if n == 4 else 0) for n, h in enumerate(hours)]
    told = reckon(week, [("Production", 4600)], first=monday, rules=RULES["us"], person=Person())
    assert told.pence == 63_700


def test_two_hourly_rates_make_their_weighted_mean() -> None:
    """29 CFR 778.115; the figures are our own: 30 hours at $20 and 20 at $15."""
    pay = pay_by_regular_rate(Week(Fraction(50), hourly=dollars("900")))
    assert (pay.regular_rate, pay.premium, pay.total) == (dollars("18"), dollars("90"), dollars("990"))


@pytest.mark.parametrize(
    ("made", "over", "total", "method"),
    [
        # 29 CFR 778.418; the figures are our own, at the federal minimum of $7.25 (from memory).
        (405, 45, "427.50", "29 CFR 778.418"),
        (405, 40, "425.00", "29 CFR 778.418"),
        # $45.00 in five hours is less than one and a half times the minimum: it may not be used.
        (405, 30, "427.50", "29 CFR 778.111"),
        # One piece more makes it usable, and the pay less.
        (404, 36, "426.44", "29 CFR 778.111"),
        (405, 37, "423.50", "29 CFR 778.418"),
    ],
)
def test_pieces_of_overtime_hours_at_one_and_a_half(made: int, over: int, total: str, method: str) -> None:
    week = Week(Fraction(45), piece=dollars(str(made)), piece_hours=Fraction(45))
    pay = pay_of(
        week,
        pieces=[AgreedPieces(dollars("1"), made, over)],
        hours_over=Fraction(5),
        agreement=AGREED,
        first_day=MONDAY,
        last_day=SUNDAY,
    )
    assert round(pay.total) == dollars(total)
    assert pay.method == method


@pytest.mark.parametrize(
    "agreement", [None, Agreement(date(2026, 3, 3), MONDAY), Agreement(date(2026, 1, 5), date(2026, 1, 5), MONDAY)]
)
def test_without_an_agreement_before_the_work_it_is_not_used(agreement: Agreement | None) -> None:
    week = Week(Fraction(45), piece=dollars("405"), piece_hours=Fraction(45))
    told = {"hours_over": Fraction(5), "first_day": MONDAY, "last_day": SUNDAY}
    pay = pay_of(week, pieces=[AgreedPieces(dollars("1"), 405, 40)], agreement=agreement, **told)  # type: ignore[arg-type]
    assert pay.method == "29 CFR 778.111"


@given(st.integers(1, 60), st.integers(0, 100_000), st.integers(1, 20))
def test_an_idle_hour_lowers_the_regular_rate_and_counts_towards_forty(hours: int, cents: int, idle: int) -> None:
    """29 CFR 778.223 and 778.319: hours that yield nothing are hours worked."""
    before = pay_by_regular_rate(Week(Fraction(hours), piece=Fraction(cents), piece_hours=Fraction(hours)))
    after = pay_by_regular_rate(Week(Fraction(hours + idle), piece=Fraction(cents), piece_hours=Fraction(hours)))
    assert after.regular_rate <= before.regular_rate
    assert after.overtime_hours == max(hours + idle - 40, 0)


@given(st.integers(1, 80), st.integers(0, 200_000), st.integers(1, 10_000))
def test_more_pieces_never_earn_less(hours: int, cents: int, more: int) -> None:
    one, other = (
        pay_by_regular_rate(Week(Fraction(hours), piece=Fraction(earned), piece_hours=Fraction(hours)))
        for earned in (cents, cents + more)
    )
    assert other.total > one.total


def test_the_minimum_is_for_all_hours() -> None:
    short = Week(Fraction(50), piece=dollars("300"), piece_hours=Fraction(46))
    assert shortfall(short) == dollars("62.50")
    for wrong in ({"piece_hours": Fraction(41)}, {"bonus": Fraction(-1)}):
        with pytest.raises(ValueError, match=r"(?i)hours"):
            Week(Fraction(40), **wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize("minutes", [5, 6, 15])
def test_rounded_clocks_even_out(minutes: int) -> None:
    """29 CFR 785.48(b): rounding is accepted where it averages out. Over every second of a day it does."""
    errors = [nearest(second, minutes=minutes) - second for second in range(24 * 3600)]
    assert abs(sum(errors)) / len(errors) < 0.01 * minutes * 60
    assert max(map(abs, errors)) <= minutes * 30
    with pytest.raises(ValueError, match="not to 10"):
        nearest(0, minutes=10)


def test_time_that_is_told_is_kept_to_the_second_and_writing_it_down_is_work() -> None:
    """29 CFR 785.47: no time that is known is dropped; 785.11: pasting tickets and time reports are working time.

    Forty hours at pieces and 61 seconds at writing them down: those are over forty, and paid.
    """
    week = [
        Day(
            MONDAY + timedelta(n),
            8 * 3600 + (61 if n == 4 else 0),
            1_000_000,
            (PieceWork("Hoops", 100_000, 80, 8 * 3600),),
        )
        for n in range(5)
    ]
    told = reckon(week, [], first=MONDAY, rules=RULES["us"], person=Person())
    assert {line.kind: line.quantity for line in told.lines} == {
        "pieces": 400,
        "hours": Fraction(61, 3600),
        "overtime": Fraction(61, 3600),
    }


def test_short_breaks_are_work_and_meals_are_not() -> None:
    """29 CFR 785.18 and 785.19: 20 minutes are paid, 30 free of all duty are not."""
    assert is_worked_break(20 * 60, is_free_of_duty=True)
    assert not is_worked_break(30 * 60, is_free_of_duty=True)
    assert is_worked_break(45 * 60, is_free_of_duty=False)
