"""The fuzz sees what it is there to see: views that are wrong on purpose are told, each for what is wrong with it."""

from collections.abc import Callable

import pytest
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import path

from jobs.models import Customer, Task
from jobs.writing import writing
from shop.access import open_to_all
from shop.audit import note_change
from shop.models import Device, Hand, Shop
from shop.urls import urlpatterns as of_the_shop
from tests.factories import fact, task
from tests.fuzz.faults import faults_after, faults_of
from tests.fuzz.world import World
from tests.written import install, written
from timing.record import record

View = Callable[[HttpRequest], HttpResponse]


@pytest.fixture(autouse=True)
def _watched(shop: Shop) -> None:
    Customer.objects.create(name="Corbel Hall stables")
    install()


def add_and_refuse(request: HttpRequest) -> HttpResponse:
    with writing():
        Customer.objects.create(name="half of it")
    return HttpResponse("no", status=422)


def change_and_refuse(request: HttpRequest) -> HttpResponse:
    Customer.objects.update(contact="the yard")
    return HttpResponse("no", status=409)


def take_away_and_refuse(request: HttpRequest) -> HttpResponse:
    Customer.objects.all().delete()
    return HttpResponse("no", status=400)


def fail(request: HttpRequest) -> HttpResponse:
    return HttpResponse("oh", status=500)


def change_the_shop_in_silence(request: HttpRequest) -> HttpResponse:
    Shop.objects.update(name="Another")
    return HttpResponse("yes")


def tell_what_was_not_done(request: HttpRequest) -> HttpResponse:
    with writing():
        note_change("shop", "The shop", by=None, after="bigger")
    return HttpResponse("yes")


def roll_back_and_refuse(request: HttpRequest) -> HttpResponse:
    try:
        with writing():
            Customer.objects.create(name="none of it")
            raise ValueError
    except ValueError:
        return HttpResponse("no", status=422)


def set_as_it_was_and_refuse(request: HttpRequest) -> HttpResponse:
    Customer.objects.update(contact=F("contact"))
    return HttpResponse("no", status=422)


WRONG = [
    (add_and_refuse, "was refused with 422 and left written {('jobs_customer', 'INSERT'): 1}"),
    (change_and_refuse, "was refused with 409 and left written {('jobs_customer', 'UPDATE'): 1}"),
    (take_away_and_refuse, "was refused with 400 and left written {('jobs_customer', 'DELETE'): 1}"),
    (fail, "answered 500"),
    (change_the_shop_in_silence, "left 0 lines of who changed ['shop_shop']"),
    (tell_what_was_not_done, "left 1 lines of who changed nothing"),
]
RIGHT = [roll_back_and_refuse, set_as_it_was_and_refuse]
urlpatterns = [*of_the_shop, *(path(f"{view.__name__}/", open_to_all(view)) for view in [*dict(WRONG), *RIGHT])]


def asked(view: View, method: str = "POST") -> list[str]:
    answer = Client().generic(method, f"/{view.__name__}/")
    return faults_of(answer, method=method)


@pytest.mark.urls(__name__)
@pytest.mark.parametrize(("view", "sentence"), WRONG)
def test_a_view_that_is_wrong_is_told(view: View, sentence: str) -> None:
    assert asked(view) == [sentence]


@pytest.mark.urls(__name__)
def test_a_get_that_writes_is_told() -> None:
    assert asked(change_the_shop_in_silence, "GET")[0] == "was only asked, and wrote {('shop_shop', 'UPDATE'): 1}"


@pytest.mark.urls(__name__)
@pytest.mark.parametrize("view", RIGHT)
def test_what_leaves_all_as_it_was_is_no_fault(view: View) -> None:
    assert asked(view) == []


def test_every_table_is_watched_but_sessions_and_tries(wren: Hand) -> None:
    written()
    Device.objects.create(name="x", secret_hash="y", enrolled_at="2026-03-02T10:00Z", enrolled_by=wren.user)
    assert written() == {("shop_device", "INSERT"): 1}
    assert written() == {}


def test_a_counter_that_is_off_is_told(wren: Hand, order: object) -> None:
    there = task(order, "rough-spoke")  # type: ignore[arg-type]
    record(fact(there, wren))
    assert faults_after(World({}), look=False) == []
    Task.objects.filter(pk=there.pk).update(made=7)
    assert len(faults_after(World({}), look=False)) == 1
