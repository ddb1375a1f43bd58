"""Pieces of a changed make-up that are cut again from an earlier operation, or are of no more use."""

import uuid
from dataclasses import replace

import pytest

from jobs.models import Order, Task
from jobs.progress import loose_by_stage
from jobs.work import load_lot
from shop.models import Hand
from tests.factories import NOW, fact, take_pair, task
from timing.corrections import can_be_corrected
from timing.facts import Cancel, FactRefused
from timing.models import Move, Stretch
from timing.moves import MoveWish, cancel_move, move_cut_again
from timing.record import cancel, record
from timing.recount import find_faults
from timing.setting_aside import AsideWish, set_aside

SPOKES = ("rough-spoke", "cut-foot", "shave-spoke")


@pytest.fixture
def shaved(order: Order, osk: Hand) -> Task:
    """Ten spokes roughed out, eight of them footed, six of those shaved."""
    for key, number in zip(SPOKES, (10, 8, 6), strict=True):
        record(fact(task(order, key), osk, made=number), now=NOW)
    return task(order, "shave-spoke")


def at(order: Order) -> list[int]:
    """Loose spokes whose last operation each is."""
    lot, work = load_lot(order.lots.get().pk)
    there = {
        each.operation.key: pieces for each, pieces in loose_by_stage("spoke", lot, work.tasks(lot=lot), work.counts)
    }
    return [there.get(key, 0) for key in SPOKES]


def aside(of: Task, hand: Hand, pieces: int, back_to: Task | None = None) -> AsideWish:
    return AsideWish(uuid.uuid4(), of.pk, pieces, "11 mm now", hand.user_id, NOW, back_to and back_to.pk)


def test_useless_pieces_are_wanted_again_from_the_first_operation(order: Order, osk: Hand, shaved: Task) -> None:
    told = aside(shaved, osk, 2)
    for fresh in (True, False):
        assert set_aside(told, now=NOW).fresh is fresh
    lot, work = load_lot(shaved.lot_id)
    left = {each.operation.key: work.left(each) for each in work.loose_tasks(lot)}
    assert [left[key] for key in SPOKES] == [28 - 8, 28 - 6, 28 - 4]
    assert at(order) == [2, 2, 4]
    stretch = Stretch.objects.get(token=told.token)
    assert (stretch.seconds, stretch.source, stretch.note) == (0, "desk", "11 mm now")
    assert find_faults() == []


def test_pieces_put_back_lose_only_what_was_done_since(order: Order, osk: Hand, shaved: Task) -> None:
    set_aside(aside(shaved, osk, 2, task(order, "rough-spoke")), now=NOW)
    assert at(order) == [4, 2, 4]
    assert find_faults() == []


def test_no_more_is_lost_of_an_operation_than_was_written_down(order: Order, osk: Hand, shaved: Task) -> None:
    """Ten are shaved by the book and eight footed: cut again from the roughing, no footing is lost that never was."""
    record(fact(shaved, osk, made=4), now=NOW)
    set_aside(aside(shaved, osk, 10, task(order, "rough-spoke")), now=NOW)
    assert [task(order, key).lost for key in SPOKES] == [0, 8, 10]


def test_what_was_cut_again_is_no_longer_offered_where_it_was(order: Order, osk: Hand, shaved: Task) -> None:
    other = take_pair()
    wish = MoveWish(
        uuid.uuid4(), task(order, "rough-spoke").pk, task(other, "rough-spoke").pk, 6, "11 mm", osk.user_id, NOW
    )
    move_cut_again(wish, stage_task_id=shaved.pk, now=NOW)
    assert (at(order), at(other)) == ([2, 2, 0], [6, 0, 0])
    assert find_faults() == []
    cancel_move(wish.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert (at(order), at(other)) == ([2, 2, 6], [0, 0, 0])
    assert find_faults() == []


def test_what_goes_with_a_move_is_undone_with_it_alone(order: Order, osk: Hand, shaved: Task) -> None:
    """Undone by itself, six spokes would be shaved in the one lot and roughed out in the other."""
    wish = MoveWish(
        *(uuid.uuid4(), task(order, "rough-spoke").pk, task(take_pair(), "rough-spoke").pk),
        *(6, "11 mm", osk.user_id, NOW),
    )
    move_cut_again(wish, stage_task_id=shaved.pk, now=NOW)
    stretch = Stretch.objects.get(source="desk")
    with pytest.raises(FactRefused, match="undo the move"):
        cancel(Cancel(uuid.uuid4(), stretch.token, osk.user_id, NOW), now=NOW)
    cancel_move(wish.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert at(order) == [2, 2, 6]


def test_what_was_set_aside_without_a_move_is_undone_by_itself(order: Order, osk: Hand, shaved: Task) -> None:
    told = aside(shaved, osk, 2)
    set_aside(told, now=NOW)
    cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    assert at(order) == [2, 2, 6]


def test_all_or_nothing_is_cut_again(order: Order, osk: Hand, shaved: Task) -> None:
    """The other lot lacks nothing here but the pieces: nothing is set aside for a move that is refused."""
    other = take_pair()
    wish = MoveWish(
        uuid.uuid4(), task(order, "rough-spoke").pk, task(other, "cut-foot").pk, 1, "11 mm", osk.user_id, NOW
    )
    with pytest.raises(FactRefused, match="same operation"):
        move_cut_again(wish, stage_task_id=shaved.pk, now=NOW)
    assert at(order) == [2, 2, 6]
    assert not Move.objects.exists()
    assert not Stretch.objects.filter(source="desk").exists()


def test_what_can_not_be_is_refused(order: Order, osk: Hand, shaved: Task) -> None:
    drive = task(order, "drive-spoke", order.lots.get().wheels.all()[0])
    foot = task(order, "cut-foot")
    for told, sentence in (
        (aside(shaved, osk, 7), "only 6 such pieces"),
        (aside(shaved, osk, 0), "one or more"),
        (aside(foot, osk, 3), "only 2 such pieces"),
        (aside(foot, osk, 1, shaved), "from an earlier operation"),
        (aside(foot, osk, 1, task(order, "saw-felloe")), "no such loose pieces"),
        (aside(drive, osk, 1), "no such loose pieces"),
        (replace(aside(foot, osk, 1), task_id=0), "no such loose pieces"),
    ):
        with pytest.raises(FactRefused, match=sentence):
            set_aside(told, now=NOW)
    assert at(order) == [2, 2, 6]


def test_the_same_token_with_other_content_is_refused(order: Order, osk: Hand, shaved: Task) -> None:
    told = aside(shaved, osk, 2)
    set_aside(told, now=NOW)
    with pytest.raises(FactRefused, match="other content"):
        set_aside(replace(told, pieces=1), now=NOW)
    assert at(order) == [2, 2, 4]


def test_more_than_a_slip_s_worth_may_be_set_aside(order: Order, osk: Hand) -> None:
    """What is counted from what is there is no slip of a finger."""
    rough = task(order, "rough-spoke")
    for _ in range(2):
        record(fact(rough, osk, made=700), now=NOW)
    set_aside(aside(rough, osk, 1200), now=NOW)
    assert at(order) == [200, 0, 0]


def test_put_back_pieces_are_not_put_right_by_a_new_count(order: Order, osk: Hand, shaved: Task) -> None:
    told = aside(shaved, osk, 2, task(order, "rough-spoke"))
    set_aside(told, now=NOW)
    stretch = Stretch.objects.get(token=told.token)
    assert not can_be_corrected(stretch, list(stretch.tallies.select_related("task__operation")))
