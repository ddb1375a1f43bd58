"""The clock that each hand sees."""

from dataclasses import replace
from datetime import timedelta

import pytest

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.clock import clock_of, clock_ran_to, set_back, set_clock
from timing.record import record

LATER = NOW + timedelta(minutes=10)


@pytest.fixture
def saw(order: Order) -> Task:
    return task(order, "saw-felloe")


def started(hand: Hand) -> object:
    clock = clock_of(hand.user_id)
    return clock and clock.started_at


def test_before_the_first_job_there_is_none(osk: Hand) -> None:
    assert clock_of(osk.user_id) is None


def test_one_row_a_hand_and_none_of_another(saw: Task, osk: Hand, wren: Hand) -> None:
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=saw)
    set_clock(osk.user_id, now=LATER, started_at=None, task=saw)
    assert started(osk) is None
    assert clock_of(wren.user_id) is None


def test_it_is_read_with_its_task_in_one_query(saw: Task, osk: Hand, django_assert_num_queries: object) -> None:
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=saw)
    with django_assert_num_queries(1):  # type: ignore[operator]
        clock = clock_of(osk.user_id)
        assert clock is not None
        assert clock.task is not None
        assert (clock.task.operation.key, clock.task.lot.order.number, clock.task.wheel) == ("saw-felloe", 1, None)


def test_it_runs_on_and_never_back_and_only_on_its_own_task(order: Order, saw: Task, osk: Hand) -> None:
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=saw)
    clock_ran_to(osk.user_id, saw.pk, NOW - timedelta(minutes=1))
    clock_ran_to(osk.user_id, task(order, "rough-spoke").pk, LATER)
    assert started(osk) == NOW
    clock_ran_to(osk.user_id, saw.pk, LATER)
    assert started(osk) == LATER


def test_a_clock_that_stands_is_not_set_going_by_a_fact(saw: Task, osk: Hand) -> None:
    set_clock(osk.user_id, now=NOW, started_at=None, task=saw)
    clock_ran_to(osk.user_id, saw.pk, LATER)
    assert started(osk) is None


def test_it_is_set_back_by_what_is_undone_if_it_ran_on_from_there(saw: Task, osk: Hand) -> None:
    wrong = timedelta(hours=3)
    told = replace(
        fact(saw, osk), sent_at=NOW - wrong, done_at=NOW - wrong, started_at=NOW - wrong - timedelta(minutes=8)
    )
    stretch = record(told, now=NOW).stretch
    assert stretch is not None
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=saw)
    set_back(osk.user_id, stretch, at=LATER)
    assert started(osk) == NOW - timedelta(minutes=8)
    set_clock(osk.user_id, now=NOW, started_at=LATER, task=saw)
    set_back(osk.user_id, stretch, at=LATER)
    assert started(osk) == LATER


def test_untimed_work_sets_nothing_back(saw: Task, osk: Hand) -> None:
    stretch = record(fact(saw, osk, minutes=None), now=NOW).stretch
    assert stretch is not None
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=saw)
    set_back(osk.user_id, stretch, at=LATER)
    assert started(osk) == NOW
