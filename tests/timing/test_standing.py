"""When a task was last worked on, by the clock of the shop."""

import uuid
from datetime import timedelta

import pytest

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.facts import Cancel
from timing.record import cancel, record
from timing.standing import last_done


@pytest.fixture
def glued(order: Order) -> Task:
    """A task on which other work stands till it has set."""
    return Task.objects.filter(lot__order=order, operation__waited_on_by__standing_minutes__gt=0).order_by("pk")[0]


@pytest.mark.parametrize("hours", [-3, 0, 3])
def test_a_device_that_is_hours_wrong_tells_the_hour_of_the_shop(
    order: Order, glued: Task, osk: Hand, hours: int
) -> None:
    """Else glue or paint that was put on by a slow device would read as dry hours too early."""
    by_device = NOW + timedelta(hours=hours)
    told = fact(glued, osk, done_at=by_device - timedelta(minutes=20), started_at=None, sent_at=by_device)
    record(told, now=NOW)
    assert last_done([order]) == {glued.pk: NOW - timedelta(minutes=20)}


def test_the_latest_stands_whatever_its_device_called_it(order: Order, glued: Task, osk: Hand) -> None:
    early, late = NOW - timedelta(hours=2), NOW
    record(
        fact(glued, osk, done_at=early + timedelta(hours=1), started_at=None, sent_at=early + timedelta(hours=1)),
        now=early,
    )
    record(
        fact(glued, osk, done_at=late - timedelta(hours=3), started_at=None, sent_at=late - timedelta(hours=3)),
        now=late,
    )
    assert last_done([order]) == {glued.pk: late}


def test_what_does_not_say_when_it_was_sent_is_taken_at_its_word(order: Order, glued: Task, osk: Hand) -> None:
    record(fact(glued, osk), now=NOW + timedelta(hours=5))
    assert last_done([order]) == {glued.pk: NOW}


def test_only_what_was_made_and_stands_counts(order: Order, glued: Task, osk: Hand) -> None:
    told = fact(glued, osk)
    record(told, now=NOW)
    cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    record(fact(glued, osk, made=0), now=NOW)
    record(fact(task(order, "rough-spoke"), osk), now=NOW)
    assert last_done([order]) == {}
