"""A device that goes on by itself tells the time so far as a fact, and then the turn; late, twice, beside another."""

import uuid
from datetime import datetime, time, timedelta

import pytest
from django.http import HttpResponse
from django.urls import reverse
from django.utils import timezone

from jobs.models import Order, Task
from shop.models import Hand, Shop
from tests.factories import take_pair, task
from tests.shop.benching import Bench, Wall
from timing.models import Clock, Stretch
from timing.models.facts import Kind
from timing.recount import find_faults


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def turn(bench: Bench, page: str, *, ago: timedelta = timedelta(), **told: object) -> HttpResponse:
    """A turn as the outbox sends it, made so long ago."""
    now = timezone.now()
    fields = {"token": uuid.uuid4(), "closed": "1", "done_at": (now - ago).isoformat(), "sent_at": now.isoformat()}
    return bench.send(fields | told, page)


def close(bench: Bench, row: Task, **changes: object) -> HttpResponse:
    """The time so far on a task, with nothing made of it."""
    return bench.tap(row, made=0, **changes)


def clock() -> Clock:
    return Clock.objects.get()


def test_a_turn_puts_the_clock_where_the_hand_went(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    turn(bench, "bench-start", task=rough.pk)
    wall.on(minutes=30)
    assert close(bench, rough).status_code == 200
    answer = turn(bench, "bench-start", task=saw.pk)
    assert f'data-task="{saw.pk}"' in answer.content.decode()
    assert (clock().task_id, clock().started_at) == (saw.pk, wall.now)
    assert Stretch.objects.get().seconds == 1800


def test_told_late_it_counts_from_its_own_moment(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    wall.on(hours=2)
    turn(bench, "bench-start", task=rough.pk, ago=timedelta(minutes=50))
    assert clock().started_at == wall.now - timedelta(minutes=50)


def test_a_device_an_hour_slow_is_allowed_for(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    slow = wall.now - timedelta(hours=1)
    told = {"done_at": (slow - timedelta(minutes=5)).isoformat(), "sent_at": slow.isoformat()}
    turn(bench, "bench-start", task=rough.pk, **told)
    assert clock().started_at == wall.now - timedelta(minutes=5)


def test_what_came_late_turns_no_clock_back(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    wall.on(hours=1)
    bench.start(saw)
    turn(bench, "bench-start", task=rough.pk, ago=timedelta(minutes=30))
    assert (clock().task_id, clock().started_at) == (saw.pk, wall.now)


def test_the_same_turn_twice_is_one(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    turn(bench, "bench-start", task=rough.pk)
    wall.on(minutes=10)
    closing = bench.fact(rough, made=0)
    for _ in range(2):
        bench.send(closing)
        turn(bench, "bench-start", task=saw.pk)
    assert Stretch.objects.get().seconds == 600
    assert find_faults() == []


def test_pause_and_go_on(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    turn(bench, "bench-start", task=rough.pk)
    wall.on(minutes=10)
    turn(bench, "bench-pause", ago=timedelta(minutes=2))
    assert clock().started_at is None
    assert Stretch.objects.count() == 0  # the time so far is told apart
    turn(bench, "bench-go-on", ago=timedelta(minutes=1))
    assert clock().started_at == wall.now - timedelta(minutes=1)


def test_shop_work_with_its_note(order: Order, bench: Bench, wall: Wall) -> None:
    turn(bench, "bench-start", kind=Kind.SHOP, note="Sharpening")
    wall.on(minutes=20)
    now = wall.now.isoformat()
    told = {"kind": "shop", "made": "0", "note": "Sharpening", "started_at": clock().started_at, "done_at": now}
    assert bench.send(told | {"token": uuid.uuid4(), "sent_at": now}).status_code == 200
    assert (Stretch.objects.get().note, Stretch.objects.get().seconds) == ("Sharpening", 1200)


def test_a_second_device_doubles_no_time(order: Order, bench: Bench, wall: Wall, osk: Hand) -> None:
    """Both show the same clock; each closes it when the hand turns away there."""
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    other = Bench(osk, "bench 3").come_in()
    turn(bench, "bench-start", task=rough.pk)
    begun = clock().started_at
    wall.on(minutes=30)
    close(bench, rough)
    turn(bench, "bench-start", task=saw.pk)
    wall.on(minutes=10)
    close(other, rough, started_at=begun.isoformat())  # type: ignore[union-attr]
    assert sum(row.seconds or 0 for row in Stretch.objects.all()) == 2400
    close(other, rough, started_at=begun.isoformat())  # type: ignore[union-attr]
    assert sum(row.seconds or 0 for row in Stretch.objects.all()) == 2400


def test_the_end_of_a_stretch_is_taken_when_it_is_sent_again(order: Order, bench: Bench, wall: Wall, osk: Hand) -> None:
    """Its answer was lost. The half told elsewhere was left out of it; a device that sends all again is no liar."""
    rough = task(order, "rough-spoke")
    other = Bench(osk, "bench 3").come_in()
    bench.start(rough)
    late = bench.fact(rough, made=0)
    wall.on(minutes=30)
    close(other, rough)
    wall.on(minutes=10)
    late |= {"done_at": wall.now.isoformat()}
    for _ in range(2):
        assert bench.send(late | {"sent_at": wall.now.isoformat()}).status_code == 200
        wall.on(minutes=1)
    assert [row.seconds for row in Stretch.objects.order_by("pk")] == [1800, 600]


def test_an_end_that_was_sent_before_of_other_work_is_refused(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    elsewhere = task(take_pair(), "rough-spoke")
    bench.start(rough)
    wall.on(minutes=30)
    told = bench.fact(rough, made=0)
    bench.send(told)
    for changes in ({"operation": saw.operation_id}, {"lot": elsewhere.lot_id}, {"lot": 999_999}, {"made": 1}):
        assert bench.send(told | changes).status_code == 422
    assert Stretch.objects.get().seconds == 1800


def test_a_stretch_over_dinner_is_asked_about_before_the_turn(order: Order, bench: Bench, wall: Wall) -> None:
    Shop.objects.update(dinner_from=time(12), dinner_to=time(12, 45))
    rough = task(order, "rough-spoke")
    turn(bench, "bench-start", task=rough.pk)
    wall.on(hours=4)
    answer = close(bench, rough)
    assert answer.status_code == 422
    assert "Take off 12.00 to 12.45?" in answer.content.decode()
    assert Stretch.objects.count() == 0


@pytest.mark.parametrize("page", ["bench-start", "bench-pause", "bench-go-on", "bench-leave"])
def test_a_turn_without_its_moment_is_refused_with_a_sentence(bench: Bench, page: str) -> None:
    answer = turn(bench, page, kind="shop", done_at="")
    assert (answer.status_code, "Say when the hand turned" in answer.content.decode()) == (422, True)


def test_work_that_is_gone_is_refused_for_good(bench: Bench) -> None:
    answer = turn(bench, "bench-start", task=999_999)
    assert (answer.status_code, "no longer in the shop" in answer.content.decode()) == (422, True)


def test_another_hand_s_turn_is_not_taken(order: Order, bench: Bench, wren: Hand) -> None:
    assert turn(bench, "bench-start", task=task(order, "rough-spoke").pk, hand=wren.user_id).status_code == 403
    assert not Clock.objects.exists()


def test_spoiled_is_told_late_for_a_job_that_was_left(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    turn(bench, "bench-start", task=saw.pk)
    wall.on(minutes=9)
    now = wall.now.isoformat()
    told = {"token": uuid.uuid4(), "task": rough.pk, "reason": "timber", "spoiled": 1, "lost": 0, "sent_at": now}
    told |= {"started_at": (wall.now - timedelta(minutes=8)).isoformat(), "done_at": now}
    for _ in range(2):
        answer = bench.send(told, "bench-spoiled")
        assert (answer.status_code, f'data-task="{rough.pk}"' in answer.content.decode()) == (200, True)
    assert Stretch.objects.get().seconds == 480
    rough.refresh_from_db()
    assert rough.spoiled == 1


def test_spoiled_with_what_was_counted_is_taken_once_though_its_answer_was_lost(order: Order, bench: Bench) -> None:
    """The second time nothing is counted any more that could be taken off; it is saved all the same."""
    shave = task(order, "shave-spoke")
    bench.start(shave)
    bench.tap(shave)
    told = {"token": uuid.uuid4(), "task": shave.pk, "reason": "work", "spoiled": 1, "lost": 1}
    assert [bench.send(told, "bench-spoiled").status_code for _ in range(2)] == [200, 200]
    shave.refresh_from_db()
    assert (shave.made, shave.spoiled, shave.lost) == (1, 1, 1)


def test_what_was_spoiled_is_refused_with_its_sentence(order: Order, bench: Bench) -> None:
    told = {"token": uuid.uuid4(), "task": task(order, "shave-spoke").pk, "spoiled": 1, "lost": 0}
    answer = bench.send(told, "bench-spoiled")
    assert (answer.status_code, "Say why it was spoiled." in answer.content.decode()) == (422, True)
    assert 'id="trouble"' in answer.content.decode()


def spoil(bench: Bench, row: Task, *, begun: datetime, ago: timedelta) -> None:
    """The part of a task told spoiled now, so long after it was."""
    now = timezone.now()
    told = {"token": uuid.uuid4(), "task": row.pk, "reason": "timber", "spoiled": 1, "sent_at": now.isoformat()}
    told |= {"started_at": begun.isoformat(), "done_at": (now - ago).isoformat()}
    assert bench.send(told, "bench-spoiled").status_code == 200


def test_a_hub_told_spoiled_late_leaves_the_time_since_and_the_next_turn(
    order: Order, bench: Bench, wall: Wall
) -> None:
    hub, saw = task(order, "turn-hub", order.lots.get().wheels.all()[0]), task(order, "saw-felloe")
    bench.start(hub)
    begun = wall.now
    wall.on(hours=2)
    spoil(bench, hub, begun=begun, ago=timedelta(minutes=90))
    assert clock().started_at == wall.now - timedelta(minutes=90)
    turn(bench, "bench-start", task=saw.pk, ago=timedelta(minutes=60))
    assert (clock().task_id, clock().started_at) == (saw.pk, wall.now - timedelta(minutes=60))


def test_a_hub_told_spoiled_late_turns_no_clock_back(order: Order, bench: Bench, wall: Wall, osk: Hand) -> None:
    hub = task(order, "turn-hub", order.lots.get().wheels.all()[0])
    bench.start(hub)
    begun = wall.now
    wall.on(hours=1)
    Bench(osk, "bench 3").come_in().tap(hub)
    spoil(bench, hub, begun=begun, ago=timedelta(minutes=30))
    assert clock().started_at == wall.now


def test_an_undo_told_late_leaves_the_next_turn(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    bench.start(rough)
    begun = wall.now
    wall.on(minutes=10)
    told = bench.fact(rough)
    bench.send(told)
    wall.on(hours=2)
    undone_at, sent_at = begun + timedelta(minutes=12), wall.now.isoformat()
    cancel = {"token": uuid.uuid4(), "cancels": told["token"], "done_at": undone_at.isoformat(), "sent_at": sent_at}
    bench.send(cancel, "bench-undo")
    assert clock().started_at == begun
    turn(bench, "bench-start", task=saw.pk, ago=timedelta(minutes=100))
    assert (clock().task_id, clock().started_at) == (saw.pk, wall.now - timedelta(minutes=100))


def test_go_on_told_late_starts_no_clock_that_was_stopped_since(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    turn(bench, "bench-start", task=rough.pk)
    wall.on(hours=3)
    bench.post("bench-pause")
    for page, told in (("bench-go-on", {}), ("bench-start", {"task": rough.pk})):
        turn(bench, page, ago=timedelta(hours=2), **told)
        assert clock().started_at is None
    turn(bench, "bench-go-on", ago=timedelta(seconds=30))
    assert clock().started_at == wall.now - timedelta(seconds=30)


def test_spoiled_of_work_that_is_gone_is_refused_for_good(order: Order, bench: Bench) -> None:
    """Anything but a refusal would be sent again and again, and hold up all that the hand told after it."""
    for row, sentence in (("999999", "no longer in the shop"), ("x", "no longer in the shop"), ("", "Say what work")):
        told = {"token": uuid.uuid4(), "task": row, "reason": "timber", "spoiled": 1}
        answer = bench.send(told, "bench-spoiled")
        assert (answer.status_code, sentence in answer.content.decode()) == (422, True)
    assert bench.client.get(reverse("shop:bench-spoiled"), {"task": 999_999}).status_code == 404


ODD = ["", "-1", "999999", "9" * 15, "9" * 40, "\0", "²", "break"]
FIELDS = {
    "bench-fact": ("operation", "lot", "wheel", "made", "seconds", "minutes", "helper", "kind", "note", "reason"),
    "bench-undo": ("token", "cancels", "done_at"),
    "bench-start": ("task", "kind", "note", "done_at"),
    "bench-pause": ("done_at",),
    "bench-go-on": ("done_at",),
    "bench-spoiled": ("token", "task", "reason", "spoiled", "lost", "started_at", "done_at", "saved_spoke"),
}


@pytest.mark.parametrize("page", FIELDS)
def test_no_odd_fact_is_left_waiting(order: Order, bench: Bench, page: str) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    sound = bench.fact(rough) | {"task": rough.pk, "closed": "1", "reason": "timber", "spoiled": "1"}
    for field in FIELDS[page]:
        for odd in ODD:
            told = sound | {"token": uuid.uuid4(), "cancels": uuid.uuid4(), field: odd}
            answer = bench.send(told, page)
            assert answer.status_code in (200, 422), (field, odd)
