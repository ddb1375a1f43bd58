"""The example is the same each time it is loaded in a week, and grows by what the days between bring."""

import hashlib
from datetime import date

import pytest
from django.contrib.auth.models import User
from django.db import transaction

from jobs.models import LibraryMakeUp, Order, Task, Trip
from shop.example import ExampleRefused, load_example
from shop.models import Issue, Outwork, Shop
from timing.models import Stretch, Tally


def digest(until: date) -> str:
    """Of all that was told before a day, without the numbers that a database gives out."""
    tallies = Tally.objects.filter(stretch__done_on__lt=until).order_by("stretch__token", "task__operation__key")
    told = list(
        tallies.values_list(
            "stretch__token",
            "stretch__hand__username",
            "stretch__done_at",
            "task__lot__order__number",
            "task__operation__key",
            "task__wheel__number",
            "made",
            "spoiled",
            "seconds",
        )
    )
    assert len(told) > 9000
    orders = list(Order.objects.order_by("number").values_list("number", "carriage", "state", "taken_on", "due_on"))
    return hashlib.sha256(repr((told, orders)).encode()).hexdigest()


@pytest.mark.django_db
def test_two_loads_in_a_week_tell_the_same() -> None:
    monday, friday = date(2026, 3, 30), date(2026, 4, 3)
    with transaction.atomic():
        loaded = load_example(monday)
        first = digest(monday)
        transaction.set_rollback(True)
    assert not User.objects.exists()
    later = load_example(friday)
    assert digest(monday) == first
    assert later.stretches > loaded.stretches
    assert Trip.objects.filter(back_at=None).count() == 1
    finished = Order.objects.filter(state__in=[Order.State.PAID, Order.State.FETCHED, Order.State.READY])
    assert not Task.objects.live().filter(lot__order__in=finished, made=0).exists()
    assert Stretch.objects.filter(done_on__range=(monday, friday)).exists()
    for charged in (Issue, Outwork):
        assert not charged.objects.filter(on__gte=friday).exists()


@pytest.mark.django_db
def test_it_refuses_a_shop_with_anything_in_it() -> None:
    User.objects.create(username="somebody")
    with pytest.raises(ExampleRefused, match="holds other data, and the example goes only into an empty one"):
        load_example(date(2026, 3, 30))
    assert not Order.objects.exists()
    assert not LibraryMakeUp.objects.exists()


@pytest.mark.django_db
def test_a_load_that_fails_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*args: object, **told: object) -> None:
        raise RuntimeError("the power is off")

    monkeypatch.setattr("shop.example.loading.MadeUpShop", fail)
    with pytest.raises(RuntimeError, match="the power is off"):
        load_example(date(2026, 3, 30))
    assert not User.objects.exists()
    assert not Shop.objects.exists()
    assert not Order.objects.exists()
