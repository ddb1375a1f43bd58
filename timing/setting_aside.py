"""Loose pieces that a changed make-up has made useless, in whole or in part: a fact of no time, entered at the desk."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from uuid import UUID, uuid5

from jobs.models import Task
from jobs.writing import writing
from timing.facts import Cancel, Fact, FactRefused, Yield
from timing.loose import LoosePieces, lock_part
from timing.models import Stretch
from timing.models.facts import Reason, Source
from timing.record import Recorded, cancel, hold_token, record


@dataclass(frozen=True, slots=True)
class AsideWish:
    """Of the pieces whose last operation is `task`, so many are cut again from `back_to`; where that is None, they
    are of no more use at all."""

    token: UUID
    task_id: int
    pieces: int
    note: str
    hand_id: int
    done_at: datetime
    back_to_task_id: int | None = None


def set_aside(wish: AsideWish, *, zone: tzinfo = UTC, now: datetime | None = None) -> Recorded:
    """Count pieces as lost, or only what was done on them after an earlier operation; what it cost stays there.

    The same token again adds nothing. Raises FactRefused where there are not so many pieces.
    """
    fact = Fact(
        token=wish.token,
        hand_id=wish.hand_id,
        done_at=wish.done_at,
        seconds=0,
        source=Source.DESK,
        note=wish.note[: Stretch._meta.get_field("note").max_length],
        sets_aside=True,
        told=f"aside {wish.task_id} {wish.pieces} {wish.back_to_task_id}",
    )
    if wish.pieces < 1:
        raise FactRefused("Say how many pieces: one or more.")
    with writing():
        hold_token(wish.token)
        there = lock_part(wish.task_id)
        task = there.get(wish.task_id)
        back_to = there.get(wish.back_to_task_id or 0)
        if task is None or task.wheel_id is not None or (wish.back_to_task_id and back_to is None):
            raise FactRefused("There are no such loose pieces.")
        # A replay is known by its token and by what was told: its pieces are not there a second time.
        is_new = not Stretch.objects.filter(token=wish.token).exists()
        yields = _yields(wish, task, back_to) if is_new else (Yield(task_id=task.pk),)
        return record(replace(fact, operation_id=task.operation_id, yields=yields), zone=zone, now=now)


def _yields(wish: AsideWish, task: Task, back_to: Task | None) -> tuple[Yield, ...]:
    """A useless piece is spoiled at its last operation, which takes the earlier ones with it; one that is cut again
    loses only the units of the operations since."""
    loose = LoosePieces(task)
    if loose.at(task) < wish.pieces:
        raise FactRefused(f"There are only {loose.at(task)} such pieces.")
    if back_to is None:
        return (_lost(task, wish.pieces, spoiled=wish.pieces),)
    if back_to.operation.position >= task.operation.position:
        raise FactRefused("Pieces are cut again from an earlier operation than their last.")
    since = [own for own in loose.up_to(task) if own.operation.position > back_to.operation.position]
    lost = [_lost(own, min(wish.pieces, loose.written_down(own))) for own in since]
    return tuple(one for one in lost if one.lost)


def _lost(task: Task, pieces: int, *, spoiled: int = 0) -> Yield:
    return Yield(task_id=task.pk, spoiled=spoiled, lost=pieces * task.units, reason=Reason.OTHER)


def take_back(token: UUID, *, hand_id: int, at: datetime) -> None:
    """The pieces that a fact set aside are whole again; nothing where there is no such fact, or it was undone."""
    if Stretch.objects.filter(token=token).exists():
        wish = Cancel(uuid5(token, "taken back"), token, hand_id, at, source=Source.DESK)
        cancel(wish, now=at)
