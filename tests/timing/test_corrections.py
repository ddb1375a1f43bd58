"""Putting a stretch right: undone and told anew in one write."""

import uuid
from dataclasses import replace
from datetime import UTC, timedelta

import pytest

from jobs.models import Order
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.corrections import as_told, can_be_corrected, correct, dispute, with_changes
from timing.facts import Cancel, Fact, FactRefused, Yield
from timing.models import Stretch, Tally
from timing.record import cancel, record
from timing.recount import find_faults
from timing.spoiling import record_spoiled_hub

TOMORROW = NOW + timedelta(days=1)


def kept(told: Fact) -> tuple[Stretch, list[Tally]]:
    stretch = record(told, now=NOW).stretch
    assert stretch is not None
    return stretch, list(stretch.tallies.select_related("task__operation").order_by("task_id"))


@pytest.fixture
def stretch(order: Order, osk: Hand, wren: Hand) -> tuple[Stretch, list[Tally]]:
    return kept(fact(task(order, "rough-spoke"), osk, made=12, minutes=70, helper_ids=(wren.user_id,), note="knotty"))


def counters(order: Order) -> tuple[int, int]:
    row = task(order, "rough-spoke")
    return row.made, row.seconds


def test_as_told_is_the_same_again(order: Order, stretch: tuple[Stretch, list[Tally]], osk: Hand, wren: Hand) -> None:
    again = as_told(*stretch, token=uuid.uuid4())
    correct(stretch[0], again, by_id=osk.user_id, now=TOMORROW)
    new = Stretch.objects.filter(cancels_token=None).latest("pk")
    assert counters(order) == (12, 4200)
    assert (new.done_on, new.seconds, new.note, new.entered_by) == (NOW.date(), 4200, "knotty", None)
    assert [row.hand_id for row in new.helpers.all()] == [wren.user_id]
    assert find_faults() == []


def test_an_owners_correction_says_who_entered_it(stretch: tuple[Stretch, list[Tally]], osk: Hand, wren: Hand) -> None:
    new = with_changes(as_told(*stretch, token=uuid.uuid4()), made=10, seconds=3600, note="")
    done = correct(stretch[0], new, by_id=wren.user_id, now=TOMORROW, source="desk").stretch
    assert done is not None
    assert (done.hand, done.entered_by, done.source) == (osk.user, wren.user, "bench")
    assert Stretch.objects.get(cancels_token=stretch[0].token).entered_by == wren.user


def test_a_refused_new_stretch_leaves_the_old_one_standing(
    order: Order, stretch: tuple[Stretch, list[Tally]], osk: Hand
) -> None:
    wrong = with_changes(as_told(*stretch, token=uuid.uuid4()), made=10_000, seconds=60, note="")
    with pytest.raises(FactRefused):
        correct(stretch[0], wrong, by_id=osk.user_id, now=TOMORROW)
    assert counters(order) == (12, 4200)
    assert Stretch.objects.count() == 1


def test_the_same_twice_is_once_and_another_is_refused(
    order: Order, stretch: tuple[Stretch, list[Tally]], osk: Hand
) -> None:
    new = with_changes(as_told(*stretch, token=uuid.uuid4()), made=10, seconds=3600, note="")
    correct(stretch[0], new, by_id=osk.user_id, now=TOMORROW)
    assert not correct(stretch[0], new, by_id=osk.user_id, now=TOMORROW + timedelta(minutes=1)).fresh
    with pytest.raises(FactRefused, match="put right already"):
        correct(stretch[0], replace(new, token=uuid.uuid4()), by_id=osk.user_id, now=TOMORROW)
    assert counters(order) == (10, 3600)


def test_what_was_undone_is_not_put_right(order: Order, stretch: tuple[Stretch, list[Tally]], osk: Hand) -> None:
    cancel(Cancel(uuid.uuid4(), stretch[0].token, osk.user_id, NOW), now=NOW)
    with pytest.raises(FactRefused, match="undone"):
        correct(stretch[0], as_told(*stretch, token=uuid.uuid4()), by_id=osk.user_id, now=NOW)
    assert counters(order) == (0, 0)


def test_what_was_written_down_elsewhere_never_becomes_a_tap(order: Order, osk: Hand, wren: Hand) -> None:
    """Nor does a tap stay one whose moment somebody wrote down."""
    for source, disputed, by_the_owner in (
        ("bench", "bench", "bench"),
        ("desk", "desk", "desk"),
        ("list", "list", "desk"),
    ):
        told = kept(fact(task(order, "rough-spoke"), osk, source=source))
        row = dispute(*told, "not mine", token=uuid.uuid4(), zone=UTC, now=TOMORROW).stretch
        assert row is not None
        again = as_told(row, list(row.tallies.all()), token=uuid.uuid4())
        moved = replace(again, token=uuid.uuid4(), done_at=again.done_at + timedelta(hours=1), started_at=None)
        right = correct(row, again, by_id=wren.user_id, now=TOMORROW, source="desk").stretch
        assert right is not None
        later = correct(right, moved, by_id=wren.user_id, now=TOMORROW, source="desk").stretch
        assert later is not None
        assert (row.source, right.source, later.source) == (disputed, by_the_owner, "desk"), source


def test_a_fire_keeps_the_seconds_of_each_wheel(order: Order, osk: Hand) -> None:
    weld = task(order, "weld-tyre")
    near, off = order.lots.get().wheels.all()
    yields = (Yield(made=1, wheel_id=near.pk, seconds=100), Yield(made=1, wheel_id=off.pk, seconds=500))
    original = kept(fact(weld, osk, yields=yields, minutes=10))
    correct(original[0], as_told(*original, token=uuid.uuid4()), by_id=osk.user_id, now=TOMORROW)
    assert [task(order, "weld-tyre", wheel).seconds for wheel in (near, off)] == [100, 500]


def test_a_stretch_of_a_device_that_was_ahead_can_be_put_right_at_once(order: Order, osk: Hand) -> None:
    ahead = timedelta(hours=30)
    told = fact(task(order, "rough-spoke"), osk, done_at=NOW + ahead, started_at=NOW + ahead - timedelta(minutes=9))
    original = kept(replace(told, sent_at=NOW + ahead))
    new = correct(original[0], as_told(*original, token=uuid.uuid4()), by_id=osk.user_id, now=NOW).stretch
    assert new is not None
    assert (new.done_at, new.done_on, new.seconds) == (NOW, NOW.date(), 540)


def test_a_dispute_keeps_every_figure(order: Order, stretch: tuple[Stretch, list[Tally]]) -> None:
    new = dispute(*stretch, " not mine ", token=uuid.uuid4(), zone=UTC, now=TOMORROW).stretch
    assert new is not None
    assert new.note == "Disputed: not mine"
    assert counters(order) == (12, 4200)
    with pytest.raises(FactRefused, match="few words"):
        dispute(*stretch, " ", token=uuid.uuid4(), zone=UTC, now=TOMORROW)


def test_what_can_be_corrected(order: Order, stretch: tuple[Stretch, list[Tally]], osk: Hand) -> None:
    turn = task(order, "turn-hub", order.lots.get().wheels.first())
    hub = kept(fact(turn, osk, yields=(Yield(spoiled=1, reason="work", wheel_id=turn.wheel_id),)))
    undo = cancel(Cancel(uuid.uuid4(), stretch[0].token, osk.user_id, NOW), now=NOW).stretch
    assert undo is not None
    assert can_be_corrected(*stretch)
    assert not can_be_corrected(*hub)
    assert not can_be_corrected(undo, [])


def test_a_stretch_on_several_tasks_keeps_what_it_made_on_each(order: Order, osk: Hand) -> None:
    near, off = order.lots.get().wheels.all()
    yields = (Yield(made=1, wheel_id=near.pk), Yield(made=2, wheel_id=off.pk))
    fire = kept(fact(task(order, "weld-tyre"), osk, yields=yields))
    shorter = with_changes(as_told(*fire, token=uuid.uuid4()), made=None, seconds=300, note="")
    correct(fire[0], shorter, by_id=osk.user_id, now=TOMORROW)
    new = Stretch.objects.filter(cancels_token=None).latest("pk")
    assert [(row.made, row.seconds) for row in new.tallies.order_by("task_id")] == [(1, 100), (2, 200)]


def test_disputing_a_spoiled_hub_leaves_it_spoiled(order: Order, osk: Hand) -> None:
    """Undone and told anew, the hub made in its place would be taken back."""
    wheel = order.lots.get().wheels.all()[0]
    chop = task(order, "chop-mortise", wheel)
    record(fact(chop, osk, made=3), now=NOW)
    told = fact(chop, osk, minutes=5, yields=(Yield(reason="timber", wheel_id=wheel.pk),))
    spoiled = record_spoiled_hub(told, wheel, saved={}, now=NOW).stretch
    assert spoiled is not None
    tallies = list(spoiled.tallies.select_related("task__operation"))
    for _ in range(2):
        dispute(spoiled, tallies, "it was shaken before", token=uuid.UUID(int=7), zone=UTC, now=TOMORROW)
    assert task(order, "chop-mortise", wheel).pk != chop.pk
    assert not Stretch.objects.exclude(cancels_token=None).exists()
    (words,) = Stretch.objects.filter(note="Disputed: it was shaken before")
    assert (words.seconds, words.done_on, [row.made for row in words.tallies.all()]) == (0, TOMORROW.date(), [0])
    assert find_faults() == []
