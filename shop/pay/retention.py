"""How long records of pay must be kept: the last day on which each may not be deleted."""

from datetime import date, timedelta


def years_after(day: date, years: int) -> date:
    """The same day so many years on; 29 February becomes 1 March where there is none."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return date(day.year + years, 3, 1)


def great_britain_keeps_until(next_period_ends_on: date, *, years: int = 6) -> date:
    """The last day of six years that begin with the day on which the next pay reference period ends.

    National Minimum Wage Regulations 2015, regulation 59, as changed from 1 April 2021 (NMWM12020). It was three years.
    """
    return years_after(next_period_ends_on, years) - timedelta(days=1)


def united_states_keeps_until(last_entry_on: date, *, is_payroll: bool) -> date:
    """Three years for payroll (29 CFR 516.5), two for time cards, units and rate tables (516.6), from the entry."""
    return years_after(last_entry_on, 3 if is_payroll else 2) - timedelta(days=1)
