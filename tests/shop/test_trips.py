"""What is away: listed until it is back, and counted in pieces."""

import uuid

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Trip
from shop.models import Hand
from shop.trade_acts import send
from shop.trades import read_list
from shop.waiting import trips_away
from tests.factories import NOW, fact, lot_of, task
from timing.record import record


def go_away(one: Task, pieces: int | None = None, to_whom: str = "Bram") -> Trip:
    return send(one, token=uuid.uuid4(), to_whom=to_whom, expected_on=None, pieces=pieces, at=NOW)


@pytest.fixture
def hoop(order: Order) -> Task:
    """The first wheel's hoop."""
    return task(order, "weld-tyre", lot_of(order).wheels.get(number=1))


def drop_its_wheel(hoop: Task, osk: Hand) -> None:
    assert hoop.wheel
    drop_wheel(hoop.wheel, at=NOW)


def finish_at_the_bench(hoop: Task, osk: Hand) -> None:
    record(fact(hoop, osk, made=hoop.wanted), now=NOW)


@pytest.mark.parametrize(
    ("meanwhile", "why"), [(drop_its_wheel, "left out of the order"), (finish_at_the_bench, "all done")]
)
def test_what_is_away_is_listed_till_it_is_back(
    owner: Client, order: Order, osk: Hand, hoop: Task, meanwhile: object, why: str
) -> None:
    trip = go_away(hoop)
    meanwhile(hoop, osk)  # type: ignore[operator]
    listed = read_list("smith", now=NOW)
    assert (listed.away, [row.trip for row in listed.wanted if row.trip]) == (1, [trip])
    page = owner.get(reverse("shop:smith")).content.decode()
    assert reverse("shop:trade-back", args=[trip.pk]) in page
    assert "1 at the forge." in page
    assert why in page
    assert owner.get(reverse("shop:trade-piece", args=[hoop.pk])).status_code == 200
    assert owner.post(reverse("shop:trade-back", args=[trip.pk]), {"token": uuid.uuid4()}).status_code == 302
    assert trips_away([order])[order.pk] == []
    assert hoop.pk not in [row.task.pk for row in read_list("smith", now=NOW).rows]


def test_a_wheel_left_out_with_nothing_away_is_not_listed(order: Order, hoop: Task) -> None:
    assert hoop.wheel
    drop_wheel(hoop.wheel, at=NOW)
    assert hoop.wheel_id not in [row.wheel.pk for row in read_list("smith", now=NOW).rows if row.wheel]


def test_two_trips_of_one_task_are_both_listed(owner: Client, order: Order) -> None:
    bands = task(order, "make-band")
    first, second = go_away(bands, 1, "Bram"), go_away(bands, 2, "Forge Lane")
    assert read_list("smith", now=NOW).away == 3
    page = owner.get(reverse("shop:smith")).content.decode()
    assert "to Bram; 2 sent" in page
    for trip in (first, second):
        page = owner.get(reverse("shop:smith")).content.decode()
        assert reverse("shop:trade-back", args=[trip.pk]) in page
        owner.post(reverse("shop:trade-back", args=[trip.pk]), {"token": uuid.uuid4()})
    assert read_list("smith", now=NOW).away == 0
