"""Recording stretches, replays, cancels and what they do to the counters."""

import uuid
from dataclasses import replace
from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from jobs.models import Order
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.facts import Cancel, FactRefused, NeedsConfirming, Yield
from timing.models import AwaitedCancel, Stretch, Tally
from timing.record import cancel, record
from timing.recount import find_faults


def wish(token: uuid.UUID, hand: Hand) -> Cancel:
    return Cancel(token=uuid.uuid4(), cancels_token=token, hand_id=hand.user_id, done_at=NOW)


def counters(order: Order, key: str) -> tuple[int, int, int, int]:
    row = task(order, key)
    return row.made, row.spoiled, row.lost, row.seconds


def test_it_works(order: Order, osk: Hand) -> None:
    recorded = record(fact(task(order, "rough-spoke"), osk, made=3, minutes=20), now=NOW)
    assert recorded.fresh
    assert recorded.stretch is not None
    assert recorded.stretch.seconds == 1200
    assert counters(order, "rough-spoke") == (3, 0, 0, 1200)


def test_replay_counts_once(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    first = record(told, now=NOW)
    again = record(replace(told, sent_at=NOW + timedelta(hours=1)), now=NOW + timedelta(hours=1))
    assert again.stretch == first.stretch
    assert not again.fresh
    assert counters(order, "rough-spoke") == (1, 0, 0, 600)


def test_same_token_with_other_content_is_refused(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    record(told, now=NOW)
    with pytest.raises(FactRefused, match="sent before with other content"):
        record(replace(told, done_at=NOW - timedelta(minutes=1)), now=NOW)
    assert counters(order, "rough-spoke") == (1, 0, 0, 600)


def test_cancel_takes_back_count_and_time(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk, helper_ids=(osk.user_id + 1000,))
    User.objects.create(pk=osk.user_id + 1000, username="helper")
    record(told, now=NOW)
    undone = cancel(wish(told.token, osk), now=NOW + timedelta(days=1))
    assert undone.stretch is not None
    assert undone.stretch.seconds == -600
    assert undone.stretch.done_on == NOW.date()
    assert undone.stretch.helpers.count() == 1
    assert counters(order, "rough-spoke") == (0, 0, 0, 0)


def test_second_cancel_of_the_same_stretch_adds_nothing(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    record(told, now=NOW)
    first, second = cancel(wish(told.token, osk), now=NOW), cancel(wish(told.token, osk), now=NOW)
    assert second.stretch == first.stretch
    assert counters(order, "rough-spoke") == (0, 0, 0, 0)


def test_cancel_before_its_original_waits_for_it(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    early = wish(told.token, osk)
    assert cancel(early, now=NOW).stretch is None
    assert AwaitedCancel.objects.count() == 1
    record(told, now=NOW)
    assert AwaitedCancel.objects.count() == 0
    assert counters(order, "rough-spoke") == (0, 0, 0, 0)
    assert not cancel(early, now=NOW).fresh


def test_another_hand_s_cancel_that_comes_too_early_undoes_nothing(order: Order, osk: Hand, bram: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk, made=3)
    cancel(wish(told.token, bram), now=NOW)
    record(told, now=NOW)
    assert task(order, "rough-spoke").made == 3
    assert AwaitedCancel.objects.count() == 0
    assert find_faults() == []


def test_a_cancel_is_not_cancelled(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    record(told, now=NOW)
    undone = cancel(wish(told.token, osk), now=NOW)
    assert undone.stretch is not None
    with pytest.raises(FactRefused, match="enter the work anew"):
        cancel(wish(undone.stretch.token, osk), now=NOW)


def test_zero_made_keeps_unfinished_time(order: Order, osk: Hand) -> None:
    record(fact(task(order, "rough-spoke"), osk, made=0, minutes=7), now=NOW)
    assert counters(order, "rough-spoke") == (0, 0, 0, 420)
    assert Tally.objects.get().made == 0


def test_untimed_work_counts_and_has_no_seconds(order: Order, osk: Hand) -> None:
    recorded = record(fact(task(order, "rough-spoke"), osk, minutes=None), now=NOW)
    assert recorded.stretch is not None
    assert recorded.stretch.seconds is None
    assert counters(order, "rough-spoke") == (1, 0, 0, 0)


def test_a_fire_serves_many_wheels_and_its_seconds_add_up(order: Order, osk: Hand) -> None:
    weld = task(order, "weld-tyre")
    near, off = order.lots.get().wheels.all()
    yields = (Yield(made=1, wheel_id=near.pk), Yield(made=2, wheel_id=off.pk))
    record(fact(weld, osk, yields=yields, started_at=NOW - timedelta(seconds=100)), now=NOW)
    assert [row.seconds for row in Tally.objects.order_by("task_id")] == [33, 67]
    assert find_faults() == []


def test_work_on_a_dropped_order_is_kept(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    order.state = Order.State.DROPPED
    order.save(update_fields=["state"])
    assert record(told, now=NOW).fresh


def test_spoiled_goes_with_its_reason(order: Order, osk: Hand) -> None:
    shave = task(order, "shave-spoke")
    spoiled = Yield(spoiled=1, reason="timber", lot_id=shave.lot_id)
    record(fact(shave, osk, yields=(spoiled,)), now=NOW)
    assert counters(order, "shave-spoke") == (0, 1, 0, 600)
    with pytest.raises(FactRefused, match="Say why"):
        record(fact(shave, osk, yields=(replace(spoiled, reason=""),)), now=NOW)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"started_at": NOW + timedelta(minutes=1)}, "ends before it begins"),
        ({"seconds": -1}, "less than no time"),
        ({"done_at": NOW + timedelta(minutes=6), "started_at": None}, "in the future"),
        ({"yields": (Yield(made=10_000, lot_id=1),)}, "More than 999 at once"),
        ({"yields": (Yield(made=-1, lot_id=1),)}, "from 0 up"),
        ({"kind": "play"}, "no kind of stretch"),
        ({"operation_id": None}, "needs its operation"),
        ({"done_at": NOW.replace(tzinfo=None), "started_at": None}, "offset from UTC"),
        ({"yields": (Yield(made=1, lot_id=0),)}, "not among the work"),
        ({"operation_id": 0}, "no such operation"),
        ({"helper_ids": (987_654,)}, "no such helper"),
        ({"started_at": None, "done_at": NOW.replace(year=1)}, "year can't be right"),
        ({"sent_at": NOW.replace(year=9999)}, "year can't be right"),
    ],
)
def test_what_cannot_be_read_is_refused(order: Order, osk: Hand, changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(FactRefused, match=sentence):
        record(replace(fact(task(order, "rough-spoke"), osk), **changes), now=NOW)  # type: ignore[arg-type]
    assert Stretch.objects.count() == 0


def test_more_than_sixteen_hours_wants_confirming(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk, minutes=16 * 60 + 1)
    with pytest.raises(NeedsConfirming):
        record(told, now=NOW)
    assert record(replace(told, confirmed=True), now=NOW).fresh


def test_a_wrong_device_clock_is_allowed_for(order: Order, osk: Hand) -> None:
    ahead = timedelta(hours=30)
    told = fact(task(order, "rough-spoke"), osk, done_at=NOW + ahead, started_at=NOW + ahead - timedelta(minutes=9))
    recorded = record(replace(told, sent_at=NOW + ahead + timedelta(minutes=1)), now=NOW + timedelta(minutes=1))
    assert recorded.stretch is not None
    assert recorded.stretch.done_on == NOW.date()
    assert recorded.stretch.seconds == 540
