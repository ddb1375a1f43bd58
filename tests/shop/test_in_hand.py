"""The first work on an order that was taken puts it in hand, from the bench and from the smith's list."""

import uuid

import pytest
from django.test import Client

from jobs.models import Order, Task
from tests.factories import task


def start(client: Client, row: Task) -> None:
    assert client.post("/bench/start/", {"task": row.pk, "token": str(uuid.uuid4())}).status_code == 302


def send(client: Client, row: Task) -> None:
    form = {"token": str(uuid.uuid4()), "to_whom": "the forge"}
    assert client.post(f"/trades/piece/{row.pk}/sent/", form).status_code == 302


def say_made(client: Client, row: Task) -> None:
    form = {"token": str(uuid.uuid4()), "units": "1"}
    assert client.post(f"/trades/piece/{row.pk}/made/", form).status_code == 302


def work(client: Client, order: Order, act: str) -> None:
    near = order.lots.get().wheels.get(number=1)
    weld = task(order, "weld-tyre", near)
    {
        "start": lambda: start(client, task(order, "rough-spoke")),
        "send": lambda: send(client, weld),
        "made": lambda: say_made(client, weld),
    }[act]()
    order.refresh_from_db()


@pytest.mark.parametrize("act", ["start", "send", "made"])
def test_first_work_puts_a_taken_order_in_hand(owner: Client, order: Order, act: str) -> None:
    work(owner, order, act)
    assert order.state == Order.State.IN_HAND


@pytest.mark.parametrize("state", [Order.State.QUOTED, Order.State.READY, Order.State.PAID])
def test_work_changes_no_other_state(owner: Client, order: Order, state: str) -> None:
    order.state = state
    order.save(update_fields=["state"])
    work(owner, order, "start")
    assert order.state == state
