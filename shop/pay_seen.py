"""How many facts pay was reckoned from: facts are only added, so that as many rows as then are the same rows."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from datetime import date
from itertools import accumulate

from django.db.models import Count, QuerySet

from shop.attendance import BESIDE
from shop.models import Attendance, Bonus, OutputMean, OutputNotice, OvertimeAgreement, Passed, PayTerms, Rate
from timing.models import Helper, Stretch

# Stretches, helpers, passed ones, attendance, bonuses, rates, terms, mean outputs, notices and overtime agreed.
Counts = tuple[int, ...]
KINDS = 10

OF_PAY = (Rate.Kind.WAGE, Rate.Kind.PIECE, Rate.Kind.GUARANTEE)


def count_facts(periods: Sequence[tuple[date, date]]) -> list[Counts]:
    """The facts of each period: a query for each kind, all periods at once, by an index of days.

    Rates, terms and what was agreed count from whatever day on; a night begins on the day before, and ends on the
    day after.
    """
    if not periods:
        return []
    first = min(begins for begins, _ in periods) - BESIDE
    last = max(ends for _, ends in periods) + BESIDE
    by_day = [
        _by_day(Stretch.objects.all(), "done_on", first, last),
        _by_day(Helper.objects.all(), "stretch__done_on", first, last),
        _by_day(Passed.objects.all(), "stretch__done_on", first, last),
        _by_day(Attendance.objects.all(), "done_on", first, last),
        _by_day(Bonus.objects.all(), "on", first, last),
    ]
    since = [
        sorted(Rate.objects.filter(kind__in=OF_PAY).values_list("from_on", flat=True)),
        sorted(PayTerms.objects.values_list("from_on", flat=True)),
        sorted(OutputMean.objects.values_list("from_on", flat=True)),
        sorted(OutputNotice.objects.values_list("given_on", flat=True)),
        sorted(OvertimeAgreement.objects.values_list("begins_on", flat=True)),
    ]
    return [
        (
            *(between(begins - BESIDE, ends + BESIDE) for between in by_day),
            *(bisect_right(days, ends) for days in since),
        )
        for begins, ends in periods
    ]


def counts_read(told: Sequence[int]) -> Counts:
    """Counts that a run kept; of kinds that there were none of in its time, none."""
    return (*told, *(0 for _ in range(KINDS - len(told))))


def of_rates(counts: Counts) -> int:
    """How many rates of pay are among them."""
    return counts[5]


def of_terms(counts: Counts) -> int:
    """How many terms are among them."""
    return counts[6]


def _by_day(rows: "QuerySet[object]", column: str, first: date, last: date) -> Callable[[date, date], int]:  # type: ignore[type-var]
    """Counts rows between two days, both with them."""
    asked = rows.filter(**{f"{column}__gte": first, f"{column}__lte": last}).order_by()
    found = sorted(asked.values_list(column).annotate(Count("pk")))
    days = [day for day, _ in found]
    upto = [0, *accumulate(count for _, count in found)]
    return lambda begins, ends: upto[bisect_right(days, ends)] - upto[bisect_left(days, begins)]
