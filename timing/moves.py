"""Moves: made pieces carried to another lot, or to the rack and from it, with their cost and without pay.

A move carries pieces at one stage with all that was done on them. Of pieces that are to be cut again, the later work
is set aside first (`timing.setting_aside`) under a token of the move's, so that undoing the move takes that back too.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from uuid import UUID, uuid5

from django.db.models import F
from django.utils import timezone

from jobs.models import Task
from jobs.writing import writing
from timing.facts import FactRefused
from timing.loose import LoosePieces, lock_part
from timing.models import Move
from timing.record import SEEN_WITH_OTHER_CONTENT, aside_token, hold_token
from timing.setting_aside import AsideWish, set_aside, take_back


@dataclass(frozen=True, slots=True)
class MoveWish:
    """Carry `pieces` whose last operation is `from_task` to where `to_task` would have made them."""

    token: UUID
    from_task_id: int
    to_task_id: int
    pieces: int
    reason: str
    hand_id: int
    done_at: datetime

    @property
    def content_hash(self) -> str:
        what = f"{self.from_task_id} {self.to_task_id} {self.pieces} {self.reason} {self.hand_id} {self.done_at}"
        return hashlib.sha256(what.encode()).hexdigest()


def move_pieces(wish: MoveWish, *, zone: tzinfo = UTC, now: datetime | None = None) -> list[Move]:
    """Carry pieces over: their last operation and all those before it that both places have.

    Raises FactRefused where there are not so many, or the two tasks are not of the same operation.
    """
    received_at = now or timezone.now()
    if wish.pieces < 1:
        raise FactRefused("Say how many pieces are moved: one or more.")
    if wish.from_task_id == wish.to_task_id:
        raise FactRefused("The pieces are there already.")
    with writing():
        hold_token(wish.token)
        before = Move.objects.filter(token=wish.token).first()
        if before:
            if before.content_hash != wish.content_hash:
                raise FactRefused(SEEN_WITH_OTHER_CONTENT)
            return [before]
        tasks = lock_part(wish.from_task_id, wish.to_task_id)
        if wish.from_task_id not in tasks or wish.to_task_id not in tasks:
            raise FactRefused("There is no such work to move pieces between.")
        source, target = tasks[wish.from_task_id], tasks[wish.to_task_id]
        _check_ends(source, target)
        there = LoosePieces(source)
        if there.at(source) < wish.pieces:
            as_far = f"as far as “{source.operation.name}” and no further"
            raise FactRefused(f"There are only {there.at(source)} such pieces to move: {as_far}.")
        moves = [
            Move(
                token=wish.token if own.pk == source.pk else uuid5(wish.token, str(own.operation_id)),
                content_hash=wish.content_hash,
                from_task=own,
                to_task=other,
                pieces=min(wish.pieces, there.written_down(own)),
                reason=wish.reason,
                done_at=wish.done_at,
                done_on=wish.done_at.astimezone(zone).date(),
                received_at=received_at,
                hand_id=wish.hand_id,
            )
            for own, other in _paired(
                there.up_to(source), [task for task in tasks.values() if task.part_id == target.part_id]
            )
            if there.written_down(own)
        ]
        Move.objects.bulk_create(moves)
        _carry(moves)
    return moves


def move_cut_again(wish: MoveWish, *, stage_task_id: int, zone: tzinfo = UTC, now: datetime | None = None) -> None:
    """Carry pieces over as `move_pieces` does, of which all that was done after `from_task` is lost.

    `stage_task_id` is the last operation that they have had. Raises FactRefused.
    """
    with writing():
        # Everything at once and in the one order, so that no two writes wait for each other.
        hold_token(wish.token)
        hold_token(aside_token(wish.token))
        lock_part(stage_task_id, wish.from_task_id, wish.to_task_id)
        aside = AsideWish(
            token=aside_token(wish.token),
            task_id=stage_task_id,
            pieces=wish.pieces,
            note=f"cut again: {wish.reason}",
            hand_id=wish.hand_id,
            done_at=wish.done_at,
            back_to_task_id=wish.from_task_id,
        )
        set_aside(aside, zone=zone, now=now)
        move_pieces(wish, zone=zone, now=now)


def cancel_move(token: UUID, *, cancel_token: UUID, hand_id: int, now: datetime | None = None) -> list[Move]:
    """Carry the pieces of a move back, with what was set aside for it; each move is undone once at most.

    Raises FactRefused where there is no such move, or its pieces are not there any more as they came.
    """
    received_at = now or timezone.now()
    with writing():
        first = Move.objects.select_for_update().filter(token=token, cancels_token=None).first()
        if first is None:
            raise FactRefused("There is no such move to undo.")
        done = Move.objects.filter(cancels_token=token)
        if done.exists():
            return list(done)
        together = _told_with(first)
        for one in sorted(aside_token(move.token) for move in together):
            hold_token(one)
        lock_part(*(task_id for move in together for task_id in (move.from_task_id, move.to_task_id)))
        _check_still_there(together)
        moves = [
            Move(
                token=cancel_token if move.pk == first.pk else uuid5(cancel_token, str(move.pk)),
                content_hash=first.content_hash,
                from_task_id=move.from_task_id,
                to_task_id=move.to_task_id,
                pieces=-move.pieces,
                reason=move.reason,
                done_at=received_at,
                done_on=move.done_on,
                received_at=received_at,
                hand_id=hand_id,
                cancels_token=move.token,
            )
            for move in together
        ]
        Move.objects.bulk_create(moves)
        _carry(moves)
        for move in together:
            take_back(aside_token(move.token), hand_id=hand_id, at=received_at)
    return moves


def _told_with(move: Move) -> list[Move]:
    """The rows that one wish made, from any of them; a like wish of the same moment has its own."""
    like = Move.objects.filter(content_hash=move.content_hash, received_at=move.received_at, cancels_token=None)
    rows = list(like.select_related("from_task__operation", "to_task__operation").order_by("pk"))
    groups = [
        [row for row in rows if row.token in (head.token, uuid5(head.token, str(row.from_task.operation_id)))]
        for head in rows
    ]
    return max((group for group in groups if move in group), key=len)


def _check_ends(source: Task, target: Task) -> None:
    if source.operation_id != target.operation_id:
        raise FactRefused("Pieces are moved between the same operation of two lots.")
    if source.wheel_id is not None or target.wheel_id is not None:
        raise FactRefused("Only loose pieces are moved: what is in a wheel stays in it.")


def _check_still_there(moves: list[Move]) -> None:
    """What was worked on since, or is in a wheel, is not carried back as if it were not."""
    furthest = max(moves, key=lambda move: move.from_task.operation.position)
    there = LoosePieces(furthest.to_task).at(furthest.to_task)
    if there < furthest.pieces:
        raise FactRefused(
            f"Of these {furthest.pieces} pieces only {there} are still as they came: the others were worked on since, "
            "or are in a wheel. Move back what there is as it is now."
        )


def _paired(behind: Iterable[Task], ahead: Iterable[Task]) -> list[tuple[Task, Task]]:
    """The operations behind a piece that has come this far, with those of the place it goes to."""
    there = {task.operation_id: task for task in ahead}
    return [(own, there[own.operation_id]) for own in behind if own.operation_id in there]


def _carry(moves: Iterable[Move]) -> None:
    """A piece counts for as many units as the operation has in one, on either side."""
    for move in moves:
        Task.objects.filter(pk=move.from_task_id).update(made=F("made") - move.pieces * F("units"))
        Task.objects.filter(pk=move.to_task_id).update(made=F("made") + move.pieces * F("units"))
