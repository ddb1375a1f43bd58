"""Changes that touch more than one room: pieces that go with a changed make-up, and pieces moved between lots."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from uuid import UUID, uuid5

from django.contrib.auth.models import User

from jobs.found import leave_found_out
from jobs.models import Hold, Lot, Operation, Order, Task
from jobs.models.operations import PartKind
from jobs.orders import OrderRefused, hold_order, lift_hold, promise, set_state
from jobs.progress import loose_by_stage
from jobs.words import in_words
from jobs.work import Work
from jobs.writing import writing
from shop.audit import Kind, day_or_none, note_change
from timing.models import Move, Stretch
from timing.moves import MoveWish, move_cut_again, move_pieces
from timing.record import hold_token
from timing.setting_aside import AsideWish, set_aside

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
    """Of the pieces at one stage: so many fit as they are, so many are cut again from an earlier operation, and so
    many are of no more use."""

    stage: Stage
    fits: int = 0
    again: int = 0
    again_from: Operation | None = None
    lost: int = 0

    @property
    def said(self) -> int:
        return self.fits + self.again + self.lost


def earlier(work: Work, stage: Stage) -> list[Operation]:
    """The operations that a piece at this stage may be put back to, the latest first.

    One that was written down for fewer pieces than the stage itself is none of them: where the book is behind, nobody
    can say which pieces have had it.
    """
    task = stage.task
    behind = [
        other.operation
        for other in work.tasks(lot=None, wheel=None, dropped=True)
        if other.part_id == task.part_id
        and other.operation.position < task.operation.position
        and work.good(other) // other.units >= work.good(task) // task.units
    ]
    return list(reversed(behind))


@dataclass(frozen=True, slots=True)
class Carrying:
    """The change that pieces are carried over for: to which lot, said under which token, by whom, when and why."""

    new: Lot
    token: UUID
    hand_id: int
    now: datetime
    zone: tzinfo
    reason: str

    def carry_over(self, carried: Sequence[Carried]) -> int:
        """Move the pieces that fit the changed make-up and those that are cut again, and count what is of no more
        use as lost; the rest stay where they are.

        Returns how many pieces went over. The same token again changes nothing. Raises OrderRefused where more are
        said than there are; FactRefused where pieces went elsewhere meanwhile.
        """
        for one in carried:
            _check(one)
        with writing():
            hold_token(self.token)
            if was_carried(str(self.token), [one.stage.task.pk for one in carried]):
                return 0
            for one in carried:
                self._carry(one)
        return sum(one.fits + one.again for one in carried)

    def _carry(self, one: Carried) -> None:
        last = one.stage.task
        if one.fits:
            move_pieces(self._wish(one, last.operation, "fits", one.fits), zone=self.zone, now=self.now)
        if one.again and one.again_from:
            wish = self._wish(one, one.again_from, "again", one.again)
            move_cut_again(wish, stage_task_id=last.pk, zone=self.zone, now=self.now)
        if one.lost:
            token = _token_of(self.token, last.pk, "lost")
            note = f"of no more use: {self.reason}"
            set_aside(AsideWish(token, last.pk, one.lost, note, self.hand_id, self.now), zone=self.zone, now=self.now)

    def _wish(self, one: Carried, operation: Operation, what: str, pieces: int) -> MoveWish:
        part_id = one.stage.task.part_id
        source = Task.objects.filter(part_id=part_id, operation=operation).first()
        target = Task.objects.live().filter(lot=self.new, wheel=None, operation=operation).first()
        if source is None or target is None:
            raise OrderRefused(f"The {self.new.name} has no such work: “{operation.name}”.")
        token = _token_of(self.token, one.stage.task.pk, what)
        return MoveWish(token, source.pk, target.pk, pieces, self.reason, self.hand_id, self.now)


def _token_of(token: UUID, task_id: int, what: str) -> UUID:
    return uuid5(token, f"{task_id}/{what}")


def was_carried(token: str, task_ids: Iterable[int]) -> bool:
    """Whether a form with this token has said before what becomes of pieces at these tasks."""
    asked = _uuid(token)
    if asked is None:
        return False
    tokens = [_token_of(asked, task_id, what) for task_id in task_ids for what in ("fits", "again", "lost")]
    return Move.objects.filter(token__in=tokens).exists() or Stretch.objects.filter(token__in=tokens).exists()


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
    if one.said > one.stage.pieces:
        raise OrderRefused(f"There are {one.stage.pieces} of these, and {one.said} are accounted for.")
    if one.again and one.again_from is None:
        raise OrderRefused("Say from which operation they are cut again.")


def move_between(
    stage: Stage, to: Lot, pieces: int, *, token: UUID, hand_id: int, now: datetime, zone: tzinfo, reason: str
) -> None:
    """Carry loose pieces to the same operation of another lot. The same token again moves nothing.

    Raises OrderRefused for more pieces than there are, or a lot without that work; FactRefused as moves do.
    """
    with writing():
        hold_token(token)
        if Move.objects.filter(token=token).exists():
            return
        if pieces > stage.pieces:
            raise OrderRefused(f"There are only {stage.pieces} of these to move.")
        target = Task.objects.live().filter(lot=to, wheel=None, operation=stage.task.operation).first()
        if target is None:
            raise OrderRefused(f"The {to.name} has no such work, so these pieces have no place there.")
        move_pieces(MoveWish(token, stage.task.pk, target.pk, pieces, reason, hand_id, now), zone=zone, now=now)


def answer_hold(hold: Hold, *, said: str, yes: bool, at: datetime, zone: tzinfo) -> bool:
    """What was waited for is here, or the customer has spoken. No leaves out what this hold asked for.

    What was said is kept with the order's note, with its day. False, and nothing changed, where it was answered
    before. Raises OrderRefused for a no where nobody was asked.
    """
    if not yes and hold.kind != Hold.Kind.CUSTOMER:
        raise OrderRefused("Only the customer may say no: say that it is here, or leave it waiting.")
    with writing():
        hold_order(hold.order_id)
        if not lift_hold(hold, at=at):
            return False
        if not yes:
            leave_found_out(hold, at=at)
        words = said or ("" if yes else "no")
        if words:
            _write_down(hold, words, at.astimezone(zone))
    return True


def _write_down(hold: Hold, words: str, day: datetime) -> None:
    """Add to the order's note what was said, once."""
    order = Order.objects.get(pk=hold.order_id)
    line = f"{day.day} {day:%B %Y}, {hold.what}: {words}"
    if line not in order.note.splitlines():
        order.note = f"{order.note}\n{line}".strip()
        order.save(update_fields=["note"])


def promise_day(order: Order, promised_on: date | None, *, reason: str, told_on: date | None, by: User) -> None:
    """Promise another day for an order, as `jobs.orders.promise` says."""
    with writing():
        hold_order(order.pk)
        before = Order.objects.get(pk=order.pk).due_on
        if promise(order, promised_on, reason=reason, told_on=told_on, by=by):
            after = ", ".join(filter(None, [day_or_none(promised_on), reason]))
            what = f"Order {order.number}, {order.carriage}"
            note_change(Kind.PROMISE, what, by=by, before=day_or_none(before), after=after)


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
