"""Moves: made pieces carried to another lot, or to the rack and from it, with their cost and without pay."""

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from uuid import UUID, uuid5

from django.db.models import F
from django.utils import timezone

from jobs.models import Task
from jobs.progress import loose_by_stage
from jobs.work import load_lot
from jobs.writing import writing
from timing.facts import FactRefused
from timing.models import Move
from timing.record import hold_token


@dataclass(frozen=True, slots=True)
class MoveWish:
    """Carry `pieces` that have come as far as `from_task` to where `to_task` would have made them."""

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
                raise FactRefused("This was sent before with other content: it is kept as it was then.")
            return [before]
        ends = Task.objects.filter(pk__in=[wish.from_task_id, wish.to_task_id]).order_by("pk")
        tasks = {task.pk: task for task in ends.select_for_update(of=("self",)).select_related("operation")}
        if len(tasks) != 2:
            raise FactRefused("There is no such work to move pieces between.")
        source, target = tasks[wish.from_task_id], tasks[wish.to_task_id]
        _check_ends(source, target, wish.pieces)
        moves = [
            Move(
                token=wish.token if own.pk == source.pk else uuid5(wish.token, str(own.operation_id)),
                content_hash=wish.content_hash,
                from_task=own,
                to_task=other,
                pieces=wish.pieces,
                reason=wish.reason,
                done_at=wish.done_at,
                done_on=wish.done_at.astimezone(zone).date(),
                received_at=received_at,
                hand_id=wish.hand_id,
            )
            for own, other in _history(source, target)
        ]
        Move.objects.bulk_create(moves)
        _carry(moves)
    return moves


def cancel_move(token: UUID, *, cancel_token: UUID, hand_id: int, now: datetime | None = None) -> list[Move]:
    """Carry the pieces of a move back; each move is undone once at most."""
    received_at = now or timezone.now()
    with writing():
        first = Move.objects.select_for_update().filter(token=token, cancels_token=None).first()
        if first is None:
            raise FactRefused("There is no such move to undo.")
        done = Move.objects.filter(cancels_token=token)
        if done.exists():
            return list(done)
        together = _told_with(first)
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
    return moves


def _told_with(move: Move) -> list[Move]:
    """The rows that one wish made, from any of them; a like wish of the same moment has its own."""
    like = Move.objects.filter(content_hash=move.content_hash, received_at=move.received_at, cancels_token=None)
    rows = list(like.select_related("from_task").order_by("pk"))
    groups = [
        [row for row in rows if row.token in (head.token, uuid5(head.token, str(row.from_task.operation_id)))]
        for head in rows
    ]
    return max((group for group in groups if move in group), key=len)


def _check_ends(source: Task, target: Task, pieces: int) -> None:
    if source.operation_id != target.operation_id:
        raise FactRefused("Pieces are moved between the same operation of two lots.")
    if source.wheel_id is not None or target.wheel_id is not None:
        raise FactRefused("Only loose pieces are moved: what is in a wheel stays in it.")
    there = _loose_as_far_as(source)
    if there < pieces:
        raise FactRefused(f"There are only {there} such pieces to move.")


def _loose_as_far_as(task: Task) -> int:
    """Pieces that have this operation behind them, are not spoiled, and are in no wheel yet."""
    lot, work = load_lot(task.lot_id)
    stages = loose_by_stage(task.operation.part, lot, work.tasks(lot=lot, dropped=True), work.counts)
    further = sum(pieces for at, pieces in stages if at.operation.position >= task.operation.position)
    return max(0, min(further, work.good(task)))


def _history(source: Task, target: Task) -> list[tuple[Task, Task]]:
    """The operations behind a piece that has come this far, paired with those of the place it goes to."""
    behind = Task.objects.filter(part_id=source.part_id, operation__position__lte=source.operation.position)
    ahead = {task.operation_id: task for task in Task.objects.filter(part_id=target.part_id)}
    return [(own, ahead[own.operation_id]) for own in behind.order_by("pk") if own.operation_id in ahead]


def _carry(moves: list[Move]) -> None:
    for move in moves:
        Task.objects.filter(pk=move.from_task_id).update(made=F("made") - move.pieces)
        Task.objects.filter(pk=move.to_task_id).update(made=F("made") + move.pieces)
