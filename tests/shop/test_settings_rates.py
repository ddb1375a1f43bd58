"""Settings of rates: written down from a day on, each for its own subject."""

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from jobs.models import Operation
from shop.models import Hand, Rate
from shop.rates import RateBook
from shop.views.settings_rates import how_they_stand
from tests.conftest import operation
from tests.factories import NOW

MARCH = {"from_on_day": "1", "from_on_month": "3", "from_on_year": "2026"}


def text(page: HttpResponse) -> str:
    return page.content.decode()


def test_a_rate_is_written_down_from_a_day_on(owner: Client, osk: Hand) -> None:
    url = f"/settings/rates/cost/{osk.pk}/"
    assert owner.post(url, {"amount": "18.505", **MARCH})["Location"] == url
    assert RateBook.load().cost(osk.user_id, date(2026, 3, 1)) == 1_850_500
    assert RateBook.load().cost(osk.user_id, date(2026, 2, 28)) is None
    assert Rate.objects.get().recorded_by == User.objects.get(username=Hand.objects.get(name="Wren").user.username)
    assert "£18.505" in text(owner.get(url))
    assert "£18.505" in text(owner.get("/settings/rates/"))


def test_overhead_wages_and_piece_rates_are_kept_apart(owner: Client, osk: Hand) -> None:
    saw = operation("saw-felloe")
    for url, amount in (("overhead/", "6"), (f"wage/{osk.pk}/", "12"), (f"piece/{saw.pk}/", "0.125")):
        assert owner.post(f"/settings/rates/{url}", {"amount": amount, **MARCH}).status_code == 302
    book, day = RateBook.load(), date(2026, 3, 1)
    assert (book.overhead(day), book.wage(osk.user_id, day), book.piece(saw.pk, day)) == (600_000, 1_200_000, 12_500)
    assert book.cost(osk.user_id, day) is None


def test_operations_without_a_piece_rate_are_counted(owner: Client) -> None:
    keep, *others = Operation.objects.in_use()
    Operation.objects.filter(pk__in=[row.pk for row in others]).update(retired_at=NOW)
    assert "1 operation without a piece rate" in text(owner.get("/settings/rates/"))
    owner.post(f"/settings/rates/piece/{keep.pk}/", {"amount": "1", **MARCH})
    assert "without a piece rate" not in text(owner.get("/settings/rates/"))


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"amount": "18.50"}, "Write the day from which it stands"),
        ({"amount": "much", **MARCH}, "“much” is not an amount of money"),
        ({"amount": "-1", **MARCH}, "less than nothing"),
        ({"amount": "1", **MARCH, "from_on_day": "32"}, "There is no 32 March"),
    ],
)
def test_a_wrong_rate_is_not_written_down(owner: Client, answers: dict[str, str], sentence: str) -> None:
    page = owner.post("/settings/rates/overhead/", answers)
    assert page.status_code == 422
    assert sentence in text(page)
    assert not Rate.objects.exists()


@pytest.mark.parametrize("path", ["price/1/", "overhead/1/", "cost/999/", "piece/999/", "nothing/1/"])
def test_rates_of_nothing_are_missing(owner: Client, path: str) -> None:
    assert owner.get(f"/settings/rates/{path}").status_code == 404


def test_it_is_told_how_long_each_rate_stood() -> None:
    days = [(1, date(2026, 1, 1)), (4, date(2026, 1, 1)), (2, date(2026, 3, 1)), (3, date(2026, 5, 1))]
    rows = [Rate(pk=pk, from_on=day) for pk, day in days]
    assert how_they_stand(rows, date(2026, 3, 1)) == [
        "put right by a later entry",
        "stood until 28 February 2026",
        "stands today",
        "to come",
    ]
