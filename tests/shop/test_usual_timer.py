"""The clock that works usual times out anew once the bench is quiet."""

import threading
from datetime import datetime, timedelta

import pytest

from jobs.models import Operation, Order
from shop import usual_timer
from shop.models import Hand, Shop
from shop.usual_timer import UsualTimer, usual_times_kept_up
from tests.factories import NOW, HandFactory, fact, task
from timing.forecast import WorkRefused
from timing.models import SavedFit
from timing.record import record


class Clock:
    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def timer(clock: Clock) -> UsualTimer:
    return UsualTimer(clock=clock)


def made_at() -> list[datetime]:
    return list(SavedFit.objects.values_list("made_at", flat=True))


def test_the_first_are_worked_out_as_soon_as_there_are_facts(
    order: Order, osk: Hand, timer: UsualTimer, clock: Clock
) -> None:
    assert timer.round()
    assert made_at() == []
    record(fact(task(order, "shave-spoke"), osk), now=NOW)
    assert timer.round()
    assert made_at() == [NOW]


def test_then_they_wait_until_the_bench_is_quiet_but_not_for_ever(
    order: Order, osk: Hand, timer: UsualTimer, clock: Clock
) -> None:
    shaving = task(order, "shave-spoke")
    record(fact(shaving, osk), now=NOW)
    timer.round()
    told_at = clock.now = NOW + timedelta(hours=1)
    record(fact(shaving, osk), now=told_at)
    clock.now = told_at + timedelta(minutes=9)
    timer.round()
    assert made_at() == [NOW]
    clock.now = quiet_at = told_at + timedelta(minutes=10)
    timer.round()
    assert made_at() == [quiet_at]
    busy_since = clock.now = NOW + timedelta(hours=5)
    for _ in range(12 * 3):
        record(fact(shaving, osk), now=clock.now)
        timer.round()
        clock.now += timedelta(minutes=5)
    assert made_at() == [quiet_at]
    timer.round()
    assert made_at() == [busy_since + usual_timer.LATEST_AFTER]


def test_a_setting_is_heeded_and_nothing_new_is_no_work(
    order: Order, timer: UsualTimer, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    wat = HandFactory.create(apprentice=True)
    record(fact(task(order, "shave-spoke"), wat), now=NOW)
    timer.round()
    assert SavedFit.objects.get().timings == 1
    clock.now = NOW + timedelta(hours=1)
    Shop.objects.update(leaves_out_apprentices=True)
    timer.round()
    assert SavedFit.objects.get().timings == 0
    monkeypatch.setattr(usual_timer, "work_out_for_shop", pytest.fail)
    assert timer.round()


def test_a_failure_is_logged_and_tried_again(
    order: Order, osk: Hand, timer: UsualTimer, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def refuse(at: datetime) -> None:
        raise WorkRefused("There are no operations to fit.")

    record(fact(task(order, "shave-spoke"), osk), now=NOW)
    with monkeypatch.context() as broken:
        broken.setattr(usual_timer, "work_out_for_shop", refuse)
        assert not timer.round()
    assert "The usual times were not worked out: There are no operations to fit." in caplog.text
    assert timer.round()
    assert made_at() == [NOW]


def test_operations_alone_are_no_reason_without_facts(shop: Shop, timer: UsualTimer) -> None:
    Operation.objects.update(book_seconds=60)
    assert not timer.is_due(NOW)


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_an_error_that_nobody_foresaw_does_not_end_it_and_the_server_does(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[int] = []
    twice = threading.Event()

    def one(self: UsualTimer) -> bool:
        begun.append(1)
        if len(begun) == 1:
            raise ZeroDivisionError
        twice.set()
        return True

    monkeypatch.setattr(usual_timer, "RETRY_AFTER", timedelta(0))
    monkeypatch.setattr(UsualTimer, "round", one)
    with usual_times_kept_up() as timer:
        assert twice.wait(20)
        assert timer._thread.is_alive()
    assert not timer._thread.is_alive()
    assert len(begun) == 2


def test_a_fit_of_an_older_program_is_worked_out_at_once(
    order: Order, osk: Hand, timer: UsualTimer, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    record(fact(task(order, "shave-spoke"), osk), now=NOW)
    timer.round()
    monkeypatch.setattr("timing.forecast.keeping.VERSION", 99)
    assert timer.is_due(NOW)
