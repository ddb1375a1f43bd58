"""Pieces carried to another lot and back."""

import uuid
from dataclasses import replace
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import NOW, fact, take_pair, task
from timing.facts import FactRefused, Yield
from timing.models import Move
from timing.moves import MoveWish, cancel_move, move_pieces
from timing.record import record
from timing.recount import find_faults


@pytest.fixture
def other(order: Order) -> Order:
    return take_pair()


@pytest.fixture
def footed(order: Order, osk: Hand) -> Task:
    """Ten spokes roughed out and six of them footed."""
    record(fact(task(order, "rough-spoke"), osk, made=10), now=NOW)
    foot = task(order, "cut-foot")
    record(fact(foot, osk, made=6), now=NOW)
    return foot


def wish(source: Task, target: Task, hand: Hand, *, pieces: int = 4) -> MoveWish:
    return MoveWish(
        token=uuid.uuid4(),
        from_task_id=source.pk,
        to_task_id=target.pk,
        pieces=pieces,
        reason="they fit",
        hand_id=hand.user_id,
        done_at=NOW,
    )


def made(order: Order) -> list[int]:
    return [task(order, key).made for key in ("rough-spoke", "cut-foot", "shave-spoke")]


def test_pieces_go_with_all_that_was_done_on_them(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    moves = move_pieces(wish(footed, task(other, "cut-foot"), osk), now=NOW)
    assert [move.pieces for move in moves] == [4, 4]
    assert made(order) == [6, 2, 0]
    assert made(other) == [4, 4, 0]
    assert find_faults() == []


def test_replay_moves_once(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    told = wish(footed, task(other, "cut-foot"), osk)
    move_pieces(told, now=NOW)
    move_pieces(told, now=NOW)
    assert made(other) == [4, 4, 0]
    with pytest.raises(FactRefused, match="other content"):
        move_pieces(replace(told, pieces=1), now=NOW)


def test_a_move_is_undone_once(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    told = wish(footed, task(other, "cut-foot"), osk)
    move_pieces(told, now=NOW)
    for _ in range(2):
        cancel_move(told.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert made(order) == [10, 6, 0]
    assert made(other) == [0, 0, 0]
    assert Move.objects.count() == 4
    assert find_faults() == []


def test_two_like_moves_are_undone_apart(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    """Two moves told alike at one moment are two moves."""
    first, second = (wish(footed, task(other, "cut-foot"), osk, pieces=3) for _ in range(2))
    move_pieces(first, now=NOW)
    move_pieces(second, now=NOW)
    cancel_move(first.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert made(other) == [3, 3, 0]
    # Any row of a move names it whole.
    second_row = Move.objects.filter(cancels_token=None).order_by("pk")[2]
    assert second_row.token != second.token
    cancel_move(second_row.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert made(other) == [0, 0, 0]
    assert find_faults() == []


def test_pieces_that_came_further_are_not_moved_as_if_they_had_not(
    order: Order, other: Order, footed: Task, osk: Hand
) -> None:
    """Of ten that are roughed out six are footed: as merely roughed out, four may go."""
    rough = task(order, "rough-spoke")
    with pytest.raises(FactRefused, match="only 4 such pieces"):
        move_pieces(wish(rough, task(other, "rough-spoke"), osk, pieces=5), now=NOW)
    move_pieces(wish(rough, task(other, "rough-spoke"), osk, pieces=4), now=NOW)
    assert (made(order), made(other)) == ([6, 6, 0], [4, 0, 0])


def test_a_piece_is_as_many_units_as_the_operation_has_in_one(order: Order, other: Order, osk: Hand) -> None:
    rough, there = task(order, "rough-spoke"), task(other, "rough-spoke")
    Task.objects.filter(pk=rough.pk).update(units=2)
    Task.objects.filter(pk=there.pk).update(units=3)
    record(fact(rough, osk, made=9), now=NOW)
    with pytest.raises(FactRefused, match="only 4 such pieces"):
        move_pieces(wish(rough, there, osk, pieces=5), now=NOW)
    told = wish(rough, there, osk, pieces=4)
    move_pieces(told, now=NOW)
    assert (made(order)[0], made(other)[0]) == (1, 12)
    assert find_faults() == []
    cancel_move(told.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert (made(order)[0], made(other)[0]) == (9, 0)
    assert find_faults() == []


def test_no_more_of_an_early_operation_goes_than_was_written_down(
    order: Order, other: Order, footed: Task, osk: Hand
) -> None:
    """Fourteen are footed by the book and ten roughed out: the two moved last take nothing of the roughing along."""
    record(fact(footed, osk, made=8), now=NOW)
    move_pieces(wish(footed, task(other, "cut-foot"), osk, pieces=12), now=NOW)
    assert (made(order), made(other)) == ([0, 2, 0], [10, 12, 0])


@pytest.mark.parametrize("since", ["shave-spoke", "drive-spoke"])
def test_what_was_worked_on_since_is_not_carried_back(
    order: Order, other: Order, footed: Task, osk: Hand, since: str
) -> None:
    told = wish(footed, task(other, "cut-foot"), osk)
    move_pieces(told, now=NOW)
    wheel = other.lots.get().wheels.all()[0] if since == "drive-spoke" else None
    record(fact(task(other, since, wheel), osk, made=3), now=NOW)
    with pytest.raises(FactRefused, match="only 1 are still as they came"):
        cancel_move(told.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert (made(order), made(other)[:2]) == ([6, 2, 0], [4, 4])
    assert find_faults() == []


@pytest.mark.parametrize(("pieces", "sentence"), [(7, "only 6 such pieces"), (0, "one or more"), (-1, "one or more")])
def test_a_count_that_is_not_there_is_refused(
    order: Order, other: Order, footed: Task, osk: Hand, pieces: int, sentence: str
) -> None:
    with pytest.raises(FactRefused, match=sentence):
        move_pieces(wish(footed, task(other, "cut-foot"), osk, pieces=pieces), now=NOW)
    assert made(order) == [10, 6, 0]


def test_what_is_driven_is_no_longer_loose(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    """Of six that are footed four are in a wheel: two may go."""
    drive = task(order, "drive-spoke", order.lots.get().wheels.all()[0])
    record(fact(drive, osk, made=4), now=NOW)
    with pytest.raises(FactRefused, match="only 2 such pieces"):
        move_pieces(wish(footed, task(other, "cut-foot"), osk, pieces=3), now=NOW)
    move_pieces(wish(footed, task(other, "cut-foot"), osk, pieces=2), now=NOW)
    assert (made(order), made(other)) == ([8, 4, 0], [2, 2, 0])


def test_what_was_spoiled_later_is_not_moved(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    shave = task(order, "shave-spoke")
    spoiled = Yield(spoiled=1, reason="work", lot_id=shave.lot_id)
    record(fact(shave, osk, yields=(spoiled,)), now=NOW)
    with pytest.raises(FactRefused, match="only 5 such pieces"):
        move_pieces(wish(footed, task(other, "cut-foot"), osk, pieces=6), now=NOW)


def test_ends_that_do_not_match_are_refused(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    wheels = [row.lots.get().wheels.all()[0] for row in (order, other)]
    driven = [task(row, "drive-spoke", wheel) for row, wheel in zip((order, other), wheels, strict=True)]
    for told, sentence in (
        (wish(footed, footed, osk), "there already"),
        (wish(footed, task(other, "shave-spoke"), osk), "same operation"),
        (wish(driven[0], driven[1], osk), "Only loose pieces"),
        (replace(wish(footed, footed, osk), to_task_id=0), "no such work"),
    ):
        with pytest.raises(FactRefused, match=sentence):
            move_pieces(told, now=NOW)
    assert Move.objects.count() == 0


def test_a_move_that_never_was_is_not_undone(order: Order, osk: Hand) -> None:
    with pytest.raises(FactRefused, match="no such move"):
        cancel_move(uuid.uuid4(), cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)


def test_its_day_is_the_shop_s(order: Order, other: Order, footed: Task, osk: Hand) -> None:
    late = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)
    told = replace(wish(footed, task(other, "cut-foot"), osk), done_at=late)
    move = move_pieces(told, zone=ZoneInfo("Europe/London"), now=late)[0]
    assert move.done_on == date(2026, 6, 2)
