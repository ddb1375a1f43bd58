"""Rates from a day on: the newest row of a day stands."""

from datetime import date

import pytest
from django.db import IntegrityError
from hypothesis import given
from hypothesis import strategies as st

from jobs.models import Operation
from shop.models import Hand, Rate
from shop.rates import RateBook, Subject
from shop.rates_written import record_rate
from tests.factories import NOW

OVERHEAD: Subject = ("overhead", None)
JAN, FEB, MAR = date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1)


def test_a_rate_stands_from_its_day_until_the_next() -> None:
    book = RateBook.of([(OVERHEAD, MAR, 300), (OVERHEAD, JAN, 100)])
    assert [book.overhead(day) for day in (date(2025, 12, 31), JAN, date(2026, 2, 28), MAR)] == [None, 100, 100, 300]


def test_a_correction_of_an_old_day_leaves_later_days() -> None:
    book = RateBook.of([(OVERHEAD, JAN, 100), (OVERHEAD, MAR, 300), (OVERHEAD, JAN, 150)])
    assert (book.overhead(FEB), book.overhead(MAR)) == (150, 300)


def test_each_subject_has_its_own() -> None:
    book = RateBook.of(
        [(("cost", 1), JAN, 10), (("wage", 1), JAN, 20), (("cost", 2), JAN, 30), (("piece", 1), JAN, 40)]
    )
    assert (book.cost(1, FEB), book.wage(1, FEB), book.cost(2, FEB), book.piece(1, FEB)) == (10, 20, 30, 40)
    assert book.overhead(FEB) is None
    assert book.piece(2, FEB) is None


@given(
    st.lists(st.tuples(st.dates(JAN, MAR), st.integers(0, 10**9)), max_size=30),
    st.dates(JAN, MAR),
)
def test_it_is_the_last_written_of_the_newest_day(rows: list[tuple[date, int]], on: date) -> None:
    begun = [day for day, _ in rows if day <= on]
    wanted = [amount for day, amount in rows if begun and day == max(begun)][-1] if begun else None
    assert RateBook.of((OVERHEAD, day, amount) for day, amount in rows).overhead(on) == wanted


def test_it_reads_the_rates_in_one_query(wren: Hand, osk: Hand, django_assert_num_queries: object) -> None:
    operation = Operation.objects.get(key="saw-felloe")
    record_rate(kind="cost", hand=osk.user, amount_millipence=1_850_000, from_on=JAN, at=NOW, by=wren.user)
    record_rate(kind="piece", operation=operation, amount_millipence=1_250, from_on=FEB, at=NOW, by=wren.user)
    with django_assert_num_queries(1):  # type: ignore[operator]
        book = RateBook.load()
    assert (book.cost(osk.user_id, FEB), book.piece(operation.pk, FEB), book.piece(operation.pk, JAN)) == (
        1_850_000,
        1_250,
        None,
    )


def test_the_same_rate_sent_twice_is_one_row(wren: Hand) -> None:
    for amount in (500, 500, 600, 500):
        record_rate(kind="overhead", amount_millipence=amount, from_on=JAN, at=NOW, by=wren.user)
    assert list(Rate.objects.order_by("id").values_list("amount_millipence", flat=True)) == [500, 600, 500]


def test_a_rate_without_its_subject_is_refused_by_the_database(wren: Hand) -> None:
    with pytest.raises(IntegrityError, match="rate_names_its_subject"):
        record_rate(kind="cost", amount_millipence=1, from_on=JAN, at=NOW, by=wren.user)
