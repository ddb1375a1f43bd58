"""Pay periods: weeks, or months, counted from the first day of one. Pure days."""

from datetime import date, timedelta

WEEK, MONTH = "week", "month"
# Later days are not in every month.
LAST_OF_EVERY_MONTH = 28


def period_of(day: date, *, length: str, first_on: date) -> tuple[date, date]:
    """The first and last day of the period that holds a day; `first_on` begins one, and so do all that follow by it.

    A month begins on the same day of each month. ValueError where that day is not in every month.
    """
    if length == WEEK:
        first = day - timedelta(days=(day - first_on).days % 7)
        return first, first + timedelta(days=6)
    if first_on.day > LAST_OF_EVERY_MONTH:
        raise ValueError(f"A period by the month begins on a day from the 1st to the {LAST_OF_EVERY_MONTH}th.")
    begins = date(day.year, day.month, first_on.day)
    if begins > day:
        begins = _month_before(begins)
    return begins, _month_after(begins) - timedelta(days=1)


def period_after(last: date, *, length: str, first_on: date) -> tuple[date, date]:
    """What follows a period that ended: up to the end of the period of its first day.

    Where the length was changed meanwhile, that may be a short one: no day is left out, and none is in two.
    """
    first = last + timedelta(days=1)
    return first, period_of(first, length=length, first_on=first_on)[1]


def _month_after(day: date) -> date:
    return date(day.year + day.month // 12, day.month % 12 + 1, day.day)


def _month_before(day: date) -> date:
    return date(day.year - (day.month == 1), (day.month - 2) % 12 + 1, day.day)
