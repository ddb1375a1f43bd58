"""A hub that was spoiled by a slip of the finger comes back, and only that one."""

import uuid
from datetime import datetime, timedelta

import pytest

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Wheel
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.facts import Cancel, Fact, Yield
from timing.record import cancel, record
from timing.recount import find_faults
from timing.spoiling import record_spoiled_hub


@pytest.fixture
def wheel(order: Order) -> Wheel:
    return order.lots.get().wheels.all()[0]


def spoiled(wheel: Wheel, hand: Hand, *, key: str = "chop-mortise") -> Fact:
    row = task(wheel.lot.order, key, wheel)
    return fact(row, hand, yields=(Yield(spoiled=1, reason="work", wheel_id=wheel.pk),))


def undo(told: Fact, *, now: datetime) -> None:
    cancel(Cancel(token=uuid.uuid4(), cancels_token=told.token, hand_id=told.hand_id, done_at=NOW), now=now)


def minutes(number: int) -> datetime:
    return NOW + timedelta(minutes=number)


def hub(wheel: Wheel) -> Task:
    return task(wheel.lot.order, "chop-mortise", wheel)


def test_it_works(wheel: Wheel, osk: Hand) -> None:
    before = hub(wheel)
    told = spoiled(wheel, osk)
    record_spoiled_hub(told, wheel, saved={}, now=minutes(1))
    assert hub(wheel) != before
    undo(told, now=minutes(2))
    assert hub(wheel) == before


def test_a_hub_taken_back_may_be_spoiled_again(wheel: Wheel, osk: Hand) -> None:
    before = hub(wheel)
    for number in (1, 3):
        told = spoiled(wheel, osk)
        record_spoiled_hub(told, wheel, saved={}, now=minutes(number))
        assert hub(wheel) != before
        undo(told, now=minutes(number + 1))
        assert hub(wheel) == before
    assert find_faults() == []


def test_undoing_another_spoiled_piece_leaves_the_new_hub(wheel: Wheel, osk: Hand) -> None:
    other = spoiled(wheel, osk, key="turn-hub")
    record(other, now=minutes(1))
    record_spoiled_hub(spoiled(wheel, osk), wheel, saved={}, now=minutes(2))
    fresh = hub(wheel)
    undo(other, now=minutes(3))
    assert hub(wheel) == fresh


def test_what_was_begun_afresh_stays(wheel: Wheel, osk: Hand) -> None:
    told = spoiled(wheel, osk)
    record_spoiled_hub(told, wheel, saved={}, now=minutes(1))
    fresh = hub(wheel)
    record(fact(fresh, osk), now=minutes(2))
    undo(told, now=minutes(3))
    assert hub(wheel) == fresh


def test_a_dropped_wheel_stays_dropped(wheel: Wheel, osk: Hand) -> None:
    told = spoiled(wheel, osk)
    record_spoiled_hub(told, wheel, saved={}, now=minutes(1))
    drop_wheel(wheel, at=minutes(2))
    undo(told, now=minutes(3))
    assert not Task.objects.live().filter(wheel=wheel).exists()
