"""What a hand does at the bench: takes a job, keeps facts, stops and goes on, undoes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Self
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from jobs.models import Task, Wheel
from jobs.orders import put_in_hand
from jobs.turns import take_turns
from jobs.writing import writing
from shop.models import Shop
from shop.pay_runs import PAID, was_paid
from timing.clock import clock_of, clock_ran_to, set_back, set_clock
from timing.facts import Cancel, Fact, FactRefused, Yield, device_error
from timing.models import Clock, Stretch, Tally
from timing.models.facts import Kind, Source
from timing.record import Recorded, cancel, find_task_id, record
from timing.spoiling import record_spoiled_hub
from timing.untold import told_before, untold

# A turn and what was told just before it come at nearly one moment, by two ways over the network.
SAME_MOMENT = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Job:
    """What a hand turns to: a task, or a kind of stretch without one (shop work, waiting, training, a break)."""

    kind: str
    task: Task | None = None


def keep(fact: Fact, shop: Shop, *, now: datetime, taken_off: Fact | None = None) -> Recorded:
    """Save a fact from the bench, with the break that was taken inside it, and let the hand's clock run on from it.

    All of it is one write. Raises FactRefused, NeedsConfirming.
    """

    def run_clock(task_ids: Sequence[int | None]) -> None:
        for task_id in task_ids:
            if task_id is not None and _is_timed(fact):
                clock_ran_to(fact.hand_id, task_id, _ended_at(fact, now))

    if taken_off is None:
        return record(fact, zone=shop.zone, now=now, beside=run_clock)
    with writing():
        recorded = record(fact, zone=shop.zone, now=now, beside=run_clock)
        record(taken_off, zone=shop.zone, now=now)
    return recorded


def keep_closing(fact: Fact, shop: Shop, *, now: datetime, taken_off: Fact | None = None) -> None:
    """Save what of a stretch that only ends was not told yet; the same again adds nothing, however much was left out.

    What was told is read in the same write: of two devices that come back together the second sees the first.
    Raises FactRefused, NeedsConfirming.
    """
    with writing():
        _take_turns_of(fact.hand_id)
        if told_before(fact):
            return
        left = untold(fact, now=now)
        if left is not None:
            keep(left, shop, now=now, taken_off=taken_off)


def _take_turns_of(hand_id: int) -> None:
    """Have those who end a stretch of one hand wait for each other; a tap waits for none of them."""
    take_turns(f"time of hand {hand_id}")


def _is_timed(fact: Fact) -> bool:
    return fact.started_at is not None or fact.seconds is not None


def _ended_at(told: Fact | Cancel, now: datetime) -> datetime:
    """When what was told was done, by the shop's clock; it may be told hours later."""
    return told.done_at + device_error(told.sent_at, now)


def sent_before(fact: Fact) -> Fact:
    """The same fact with the moment of the first time, where a plain form that names none comes again."""
    before = Stretch.objects.filter(token=fact.token, hand_id=fact.hand_id).first()
    return replace(fact, done_at=before.done_at) if before else fact


def closing(
    clock: Clock | None, *, token: UUID, now: datetime, helper_ids: tuple[int, ...], note: str = ""
) -> Fact | None:
    """The stretch that ends when a hand stops or changes job: nothing made yet. None where no clock runs."""
    if clock is None or clock.started_at is None or clock.started_at >= now:
        return None
    if clock.kind == Kind.WORK and clock.task is None:
        return None
    on = clock.task if clock.kind == Kind.WORK else None
    return Fact(
        token=token,
        hand_id=clock.hand_id,
        kind=clock.kind,
        operation_id=on.operation_id if on else None,
        started_at=clock.started_at,
        done_at=now,
        yields=(Yield(task_id=on.pk),) if on else (),
        helper_ids=helper_ids if on else (),
        note=note,
    )


def turn_to(
    hand_id: int,
    job: Job | None,
    shop: Shop,
    *,
    now: datetime,
    closed: Fact | None,
    taken_off: Fact | None = None,
) -> None:
    """Close what the clock ran on and start on a job; with None the clock stands, and the job stays the same.

    Where the clock has run on since `closed` was made, on another device or by a tap, that time is told already.
    """
    with writing():
        _take_turns_of(hand_id)
        if closed is not None and _still_runs_from(closed):
            keep(closed, shop, now=now, taken_off=taken_off)
        if job is not None:
            set_clock(hand_id, now=now, started_at=now, task=job.task, kind=job.kind)
            if job.task is not None:
                put_in_hand(job.task)
        else:
            Clock.objects.filter(hand_id=hand_id).update(started_at=None, changed_at=now)


def _still_runs_from(closed: Fact) -> bool:
    """Whether the hand's clock runs from where a stretch began; nobody else moves it before the write ends."""
    clock = Clock.objects.select_for_update().filter(hand_id=closed.hand_id).first()
    return clock is not None and clock.started_at == closed.started_at


def turn_at(hand_id: int, job: Job | None, *, at: datetime) -> None:
    """Put the clock where a device says that its hand has been since a moment of the shop's; with None it stands.

    The time before was told as a fact of its own. What was told late turns no clock back that has gone on since.
    """
    with writing():
        clock = Clock.objects.select_for_update().filter(hand_id=hand_id).first()
        if clock is not None and at < clock.changed_at - SAME_MOMENT:
            return
        if job is None:
            Clock.objects.filter(hand_id=hand_id).update(started_at=None, changed_at=at)
            return
        set_clock(hand_id, now=at, started_at=at, task=job.task, kind=job.kind)
        if job.task is not None:
            put_in_hand(job.task)


def go_on(hand_id: int, *, at: datetime) -> None:
    """Start the clock again where it stands, from `at`; it is not set back where it runs.

    Told late, it starts none that was stopped since.
    """
    with writing():
        standing = Clock.objects.filter(hand_id=hand_id, started_at=None, changed_at__lte=at + SAME_MOMENT)
        standing.update(started_at=at, changed_at=at)


def undo(wish: Cancel, *, now: datetime) -> Recorded:
    """Undo a stretch of one's own; the clock runs from where it began, since the piece is in hand again.

    Work that is paid is the owner's to undo; but what was undone before the period was closed counts, though it comes
    late, and the same again answers as the first time. Raises FactRefused for another's, and for what is paid.
    """
    with writing():
        original = Stretch.objects.filter(token=wish.cancels_token).first()
        if original is not None and original.hand_id != wish.hand_id:
            raise FactRefused("That is another hand's work: only they or the owner can undo it.")
        if original is not None and not _is_undone(original) and was_paid(original, at=_ended_at(wish, now)):
            raise FactRefused(PAID)
        undone = cancel(wish, now=now)
        if undone.fresh and original is not None:
            set_back(wish.hand_id, original, at=min(_ended_at(wish, now), now))
            _go_on_with_what_lives(wish.hand_id)
    return undone


def _is_undone(stretch: Stretch) -> bool:
    return Stretch.objects.filter(cancels_token=stretch.token).exists()


def spoil_hub(fact: Fact, wheel: Wheel, shop: Shop, *, saved: Mapping[str, int], now: datetime) -> Recorded:
    """Save a spoiled hub with what was saved from it; the hand's clock goes on with the new one from there."""
    with writing():
        recorded = record_spoiled_hub(fact, wheel, saved=saved, zone=shop.zone, now=now)
        if recorded.fresh:
            if _is_timed(fact):
                at = _ended_at(fact, now)
                Clock.objects.filter(hand_id=fact.hand_id, started_at__lt=at).update(started_at=at, changed_at=at)
            _go_on_with_what_lives(fact.hand_id)
    return recorded


def _go_on_with_what_lives(hand_id: int) -> None:
    """Where the task on the clock was dropped with its part, put the clock on the same work of the part made anew.

    That is no turn of the hand's: a turn that is told later, and was made before this came, is still to count.
    """
    clock = clock_of(hand_id)
    if clock is None or clock.task is None or clock.task.dropped_at is None:
        return
    task = clock.task
    place = {"lot_id": None, "wheel_id": task.wheel_id} if task.wheel_id else {"lot_id": task.lot_id, "wheel_id": None}
    Clock.objects.filter(pk=clock.pk).update(task_id=find_task_id(task.operation_id, **place))


@dataclass(frozen=True, slots=True)
class Last:
    """What “Undo last” would undo; `task_id` None is the task in hand."""

    token: UUID
    made: int
    spoiled: int
    task_id: int | None = None

    @classmethod
    def of_fact(cls, fact: Fact) -> Self:
        return cls(fact.token, sum(one.made for one in fact.yields), sum(one.spoiled for one in fact.yields))


def last_of(hand_id: int, lot_id: int) -> Last | None:
    """A hand's last stretch on a lot that made or spoiled something and stands; not what they told at the desk."""
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    tally = (
        Tally.objects.filter(
            Q(made__gt=0) | Q(spoiled__gt=0),
            ~Exists(undone),
            task__lot_id=lot_id,
            stretch__hand_id=hand_id,
            stretch__source=Source.BENCH,
            stretch__cancels_token=None,
        )
        .select_related("stretch")
        .order_by("-stretch_id", "id")
        .first()
    )
    return Last(tally.stretch.token, tally.made, tally.spoiled, tally.task_id) if tally else None
