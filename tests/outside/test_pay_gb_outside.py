"""The minimum wage of Great Britain against the worked examples of GOV.UK and of HMRC's manual, to the penny."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.pay.great_britain import (
    RATES,
    NoRate,
    OutputTried,
    OutputWork,
    Period,
    check,
    fair_rate,
    fair_rate_pence,
    is_outdated,
    mean_hourly_output,
    minimum_on,
    notice,
)
from shop.pay.retention import great_britain_keeps_until, united_states_keeps_until

MAY_2014 = date(2014, 5, 1)
APRIL_2014 = date(2014, 4, 20)


def test_the_fair_rate_of_a_shirt() -> None:
    """GOV.UK, "Paid per task or piece of work done", 2013-14: 12 shirts an hour at £6.31 make 63.1p, so 64p."""
    assert Fraction(12) / Fraction(6, 5) == 10
    assert fair_rate(631, Fraction(12)) == Fraction("63.1")
    assert fair_rate_pence(631, Fraction(12)) == 64
    # To the nearest penny it would be 63, and underpay.
    assert round(fair_rate(631, Fraction(12))) == 63


def test_hours_treated_as_worked() -> None:
    """NMWM08360: 525 items at a mean of 10 an hour are 63 hours; £399 for them is £6.33 an hour, over £6.31.

    The manual's words "increased by 120 %" are wrong: its own sum multiplies by 1.2.
    """
    work = OutputWork(525, Fraction(100), Fraction(10), notice_on=APRIL_2014)
    found = check(Period(MAY_2014, Fraction(525 * 76), age=30, output=[work]))
    assert found.hours == 63
    assert found.paid_an_hour(Fraction(39_900)) == Fraction(39_900, 63)
    assert found.holds
    assert fair_rate(631, Fraction(10)) == Fraction("75.72")
    assert fair_rate_pence(631, Fraction(10)) == 76
    # The credited hours are not the hours worked, and the other way about.
    assert found.hours not in (Fraction("52.5"), Fraction(100))


@pytest.mark.parametrize(
    "spoiled_by",
    [
        {"notice_on": None},
        {"notice_on": MAY_2014},
        {"mean_hourly_output": None},
        {"hours_are_controlled": True},
    ],
)
def test_without_notice_or_mean_the_actual_hours_are_paid(spoiled_by: dict[str, object]) -> None:
    """NMWM08370 and NMWM07070: £399 for 100 actual hours; the shortfall at £6.31 is our own sum."""
    told: dict[str, object] = {"mean_hourly_output": Fraction(10), "notice_on": APRIL_2014} | spoiled_by
    work = OutputWork(525, Fraction(100), **told)  # type: ignore[arg-type]
    found = check(Period(MAY_2014, Fraction(39_900), age=30, output=[work]))
    assert (found.hours, found.due, found.short) == (100, 63_100, 23_200)


def test_the_mean_of_three_hatters() -> None:
    """NMW Regulations 2015, regulation 42(1) and (3)(c), with Acas's hats: 20, 25 and 30 in an hour are 25."""
    assert mean_hourly_output([OutputTried(Fraction(n), Fraction(1)) for n in (20, 25, 30)]) == 25
    assert mean_hourly_output(
        [OutputTried(Fraction(5), Fraction(2)), OutputTried(Fraction(4), Fraction(1))]
    ) == Fraction("3.25")
    assert fair_rate_pence(1221, Fraction(25)) == 59
    for tests in ([], [OutputTried(Fraction(5), Fraction(0))]):
        with pytest.raises(ValueError, match="tested"):
            mean_hourly_output(tests)


def test_hours_of_all_kinds_add_up() -> None:
    """Regulation 37, NMWM08350; our own figures: 105 pieces at 10, 3 hours of time work, half an hour waiting."""
    work = OutputWork(105, Fraction(9), Fraction(10), notice_on=APRIL_2014)
    assert check(Period(MAY_2014, Fraction(0), age=30, time_hours=Fraction("3.5"), output=[work])).hours == Fraction(
        "16.1"
    )


# GOV.UK, minimum wage rates by year (to 2020 as pages reprint them); fair rates of 12 and 10 an hour are our sums.
@pytest.mark.parametrize(
    ("day", "main", "of_twelve", "of_ten"),
    [
        ("2013-10-01", 631, 64, 76),
        ("2014-10-01", 650, 65, 78),
        ("2015-10-01", 670, 67, 81),
        ("2016-04-01", 720, 72, 87),
        ("2016-10-01", 720, 72, 87),
        ("2017-04-01", 750, 75, 90),
        ("2018-04-01", 783, 79, 94),
        ("2019-04-01", 821, 83, 99),
        ("2020-04-01", 872, 88, 105),
        ("2021-04-01", 891, 90, 107),
        ("2022-04-01", 950, 95, 114),
        ("2023-04-01", 1042, 105, 126),
        ("2024-04-01", 1144, 115, 138),
        ("2025-04-01", 1221, 123, 147),
        ("2026-04-01", 1271, 128, 153),
    ],
)
def test_the_rates_of_each_year(day: str, main: int, of_twelve: int, of_ten: int) -> None:
    on = date.fromisoformat(day)
    assert minimum_on(on, age=40) == main
    assert (fair_rate_pence(main, Fraction(12)), fair_rate_pence(main, Fraction(10))) == (of_twelve, of_ten)


def test_the_age_of_the_main_rate_moved() -> None:
    """25 from April 2016, 23 from April 2021, 21 from April 2024."""
    assert [minimum_on(date(year, 4, 1), age=22) for year in (2015, 2016, 2021, 2024)] == [650, 670, 836, 1144]
    assert [minimum_on(date(2026, 3, 31), age=age) for age in (17, 18, 20, 21)] == [755, 1000, 1000, 1221]
    assert minimum_on(date(2025, 4, 1), age=18, at_apprentice_rate=True) == 755
    with pytest.raises(NoRate, match="2013-10-01"):
        minimum_on(date(2013, 9, 30), age=40)
    assert [rates.from_on for rates in RATES] == sorted(rates.from_on for rates in RATES)


def test_a_fair_rate_is_worked_out_anew_at_each_change() -> None:
    """NMWM03140."""
    assert is_outdated(date(2026, 3, 31), date(2026, 4, 1))
    assert not is_outdated(date(2026, 4, 1), date(2027, 3, 31))


@given(st.integers(300, 2000), st.fractions(min_value=Fraction(1, 10), max_value=200))
def test_a_fair_rate_is_never_short_of_the_minimum(minimum: int, output: Fraction) -> None:
    """Acas: it must not underpay. Whatever is made, what it earns reaches the hours it stands for."""
    rate = fair_rate_pence(minimum, output)
    assert rate * 1000 >= 1000 / output * Fraction(6, 5) * minimum
    assert rate - fair_rate(minimum, output) < 1


def test_the_five_things_of_a_notice() -> None:
    """NMWM07070."""
    told = notice(piece="shave spoke", mean="6.25", rate="£2.35 for each")
    assert len(told) == 5
    assert "treated as working" in told[0]
    assert "a test of the mean speed" in told[1]
    assert "this work, shave spoke, is 6.25 an hour" in told[2]
    assert "paid £2.35 for each" in told[3]
    assert "helpline" in told[4]
    assert "an estimate of the mean speed" in notice(piece="", mean="", rate="", found="an estimate")[1]


# NMWM12020; the days are our own sums: the next period ends on the first of the pair.
@pytest.mark.parametrize(
    ("next_ends", "until"), [("2025-05-31", "2031-05-30"), ("2024-02-29", "2030-02-28"), ("2026-02-28", "2032-02-27")]
)
def test_records_are_kept_six_years(next_ends: str, until: str) -> None:
    assert great_britain_keeps_until(date.fromisoformat(next_ends)) == date.fromisoformat(until)


def test_records_in_the_united_states() -> None:
    """29 CFR 516.5 (three years, payroll) and 516.6 (two years: time cards, units made, wage-rate tables)."""
    assert united_states_keeps_until(date(2024, 2, 29), is_payroll=True) == date(2027, 2, 28)
    assert united_states_keeps_until(date(2026, 3, 8), is_payroll=False) == date(2028, 3, 7)
