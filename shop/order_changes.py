"""Changes that touch more than one room: pieces that go with a changed make-up, and pieces moved between lots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from uuid import UUID, uuid5

from jobs.found import leave_found_out
from jobs.models import Hold, Lot, Operation, Order, Task
from jobs.models.operations import PartKind
from jobs.orders import OrderRefused, lift_hold, set_state
from jobs.progress import loose_by_stage
from jobs.words import in_words
from jobs.work import Work
from jobs.writing import writing
from timing.models import Move
from timing.moves import MoveWish, move_pieces

LOOSE_KINDS = (PartKind.SPOKE, PartKind.FELLOE)


@dataclass(frozen=True, slots=True)
class Stage:
    """Loose pieces of a lot that have come as far as one task and no further, and are in no wheel yet."""

    task: Task
    pieces: int


def stage_in_words(stage: Stage, words: Mapping[str, str]) -> str:
    """As "9 spokes as far as “shave spoke”"."""
    nouns = {PartKind.SPOKE: ("spoke", "spokes"), PartKind.FELLOE: (words["felloe"], words["felloes"])}
    one, many = nouns[PartKind(stage.task.operation.part)]
    name = in_words(stage.task.operation.name, words)
    return f"{stage.pieces} {one if stage.pieces == 1 else many} as far as “{name[:1].lower()}{name[1:]}”"


def stages(work: Work, lot: Lot) -> list[Stage]:
    """All loose pieces of a lot by how far they are, the furthest last; spoiled and driven ones are not among them."""
    tasks = work.tasks(lot=lot, dropped=True)
    return [
        Stage(task, pieces) for kind in LOOSE_KINDS for task, pieces in loose_by_stage(kind, lot, tasks, work.counts)
    ]


@dataclass(frozen=True, slots=True)
class Carried:
    """Of the pieces at one stage: so many fit as they are, and so many are cut again from an earlier operation."""

    stage: Stage
    fits: int
    again: int
    again_from: Operation | None = None


def earlier(work: Work, stage: Stage) -> list[Operation]:
    """The operations that a piece at this stage may be put back to, the latest first."""
    task = stage.task
    behind = [
        other.operation
        for other in work.tasks(lot=None, wheel=None, dropped=True)
        if other.part_id == task.part_id and other.operation.position < task.operation.position
    ]
    return list(reversed(behind))


def carry_over(
    carried: Sequence[Carried], new: Lot, *, token: UUID, hand_id: int, now: datetime, zone: tzinfo, reason: str
) -> int:
    """Move the pieces that fit a changed make-up, and those that are cut again; the rest stay where they are.

    Returns how many pieces went over. The same token again moves nothing. Raises OrderRefused where more are
    said than there are; FactRefused where pieces went elsewhere meanwhile.
    """
    for one in carried:
        _check(one)
    moved = 0
    with writing():
        ahead = {task.operation_id: task for task in Task.objects.live().filter(lot=new, wheel=None)}
        for one in carried:
            for pieces, operation in ((one.fits, one.stage.task.operation), (one.again, one.again_from)):
                if not pieces or operation is None:
                    continue
                source = Task.objects.filter(part_id=one.stage.task.part_id, operation=operation).first()
                target = ahead.get(operation.pk)
                if source is None or target is None:
                    raise OrderRefused(f"The {new.name} has no such work: “{operation.name}”.")
                own_token = _token_of(token, one.stage.task.pk, operation.pk)
                if Move.objects.filter(token=own_token).exists():
                    continue
                move_pieces(MoveWish(own_token, source.pk, target.pk, pieces, reason, hand_id, now), zone=zone, now=now)
                moved += pieces
    return moved


def _token_of(token: UUID, task_id: int, operation_id: int) -> UUID:
    return uuid5(token, f"{task_id}/{operation_id}")


def was_carried(token: str, old: Lot) -> bool:
    """Whether a form with this token has carried pieces of this lot over before."""
    asked = _uuid(token)
    if asked is None:
        return False
    loose = list(Task.objects.filter(lot=old, wheel=None).values_list("pk", "operation_id"))
    tokens = [_token_of(asked, task_id, operation_id) for task_id, _ in loose for _, operation_id in loose]
    return Move.objects.filter(token__in=tokens).exists()


def was_moved(token: str) -> bool:
    """Whether a form with this token has moved pieces before."""
    asked = _uuid(token)
    return asked is not None and Move.objects.filter(token=asked).exists()


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _check(one: Carried) -> None:
    if one.fits + one.again > one.stage.pieces:
        raise OrderRefused(f"There are {one.stage.pieces} of these, and {one.fits + one.again} are accounted for.")
    if one.again and one.again_from is None:
        raise OrderRefused("Say from which operation they are cut again.")


def move_between(
    stage: Stage, to: Lot, pieces: int, *, token: UUID, hand_id: int, now: datetime, zone: tzinfo, reason: str
) -> None:
    """Carry loose pieces to the same operation of another lot. The same token again moves nothing.

    Raises OrderRefused for more pieces than there are, or a lot without that work; FactRefused as moves do.
    """
    with writing():
        if Move.objects.filter(token=token).exists():
            return
        if pieces > stage.pieces:
            raise OrderRefused(f"There are only {stage.pieces} of these to move.")
        target = Task.objects.live().filter(lot=to, wheel=None, operation=stage.task.operation).first()
        if target is None:
            raise OrderRefused(f"The {to.name} has no such work, so these pieces have no place there.")
        move_pieces(MoveWish(token, stage.task.pk, target.pk, pieces, reason, hand_id, now), zone=zone, now=now)


def answer_hold(hold: Hold, *, said: str, yes: bool, at: datetime, zone: tzinfo) -> None:
    """What was waited for is here, or the customer has spoken. No leaves out what was found and not begun.

    What was said is kept with the order's note, with its day.
    """
    with writing():
        lift_hold(hold, at=at)
        if not yes and hold.lot is not None:
            leave_found_out(hold.lot, at=at)
        words = said or ("" if yes else "no")
        if words:
            day = at.astimezone(zone)
            order = Order.objects.select_for_update().get(pk=hold.order_id)
            line = f"{day.day} {day:%B %Y}, {hold.what}: {words}"
            if line not in order.note.splitlines():
                order.note = f"{order.note}\n{line}".strip()
                order.save(update_fields=["note"])


def go_on_to(order: Order, state: str, *, seen: str, at: datetime, zone: tzinfo) -> None:
    """Move an order on in its life from the state in which the person saw it.

    Sent twice it changes nothing; OrderRefused where it was moved elsewhere meanwhile.
    """
    if state not in Order.State.values:
        raise OrderRefused("There is no such state of an order.")
    with writing():
        now = Order.objects.select_for_update().get(pk=order.pk)
        if now.state == state:
            return
        if now.state != seen:
            raise OrderRefused(f"This order was put to “{now.get_state_display()}” meanwhile: look at it as it is now.")
        set_state(now, state, on=at.astimezone(zone).date())
