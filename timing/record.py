"""The one way in: writes facts and moves the counters of their tasks, in one short transaction.

Nothing but this, `timing.bulk` for many and `timing.moves` writes stretches, tallies, moves or the counters of a
task. `manage.py recount` proves that the counters equal the facts.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from uuid import UUID, uuid5

from django.contrib.auth import get_user_model
from django.db import connection
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils import timezone

from jobs.changes import renew_parts, take_back_renewal
from jobs.models import Operation, Part, Task, Wheel
from jobs.writing import writing
from timing.facts import Cancel, Fact, FactRefused, Settled, settle
from timing.models import AwaitedCancel, Helper, Move, Stretch, Tally
from timing.models.facts import Source

SEEN_WITH_OTHER_CONTENT = "This was sent before with other content: it is kept as it was then."
NO_SUCH_HELPER = "There is no such helper in the shop."
A_CANCEL_STAYS = "What was undone can't be brought back by undoing again: enter the work anew."
GOES_WITH_A_MOVE = "This was told with a move of pieces: undo the move, and it is undone too."


@dataclass(frozen=True, slots=True)
class Recorded:
    """What became of a fact: its stretch (None for a cancel that still waits), and whether it was new."""

    stretch: Stretch | None
    fresh: bool


# What is to be done in the same write as a fact that is new; it is given the tasks of the yields.
Beside = Callable[[Sequence[int | None]], object]


def record(fact: Fact, *, zone: tzinfo = UTC, now: datetime | None = None, beside: Beside | None = None) -> Recorded:
    """Save one stretch. The same token with the same content answers as the first time and adds nothing.

    `zone` is the shop's, for its day. Raises FactRefused with one sentence for what can't be read.
    """
    settled = settle(fact, received_at=now or timezone.now(), zone=zone)
    with writing():
        hold_token(fact.token)
        task_id = _task_of_unseen(fact)
        if task_id:
            return Recorded(_write_stretch(settled, [task_id], beside), fresh=True)
        cancels = list(AwaitedCancel.objects.filter(Q(token=fact.token) | Q(cancels_token=fact.token)))
        before = _replayed(fact.token, fact.content_hash, cancels)
        if before:
            return before
        stretch = _write_stretch(settled, _lock(find_tasks(fact)), beside)
        if fact.renews and fact.renews_wheel_id:
            renew_parts(Wheel.objects.get(pk=fact.renews_wheel_id), fact.renews, at=settled.received_at)
        for awaited in cancels:
            # A hand undoes its own; what another's device said too early about it is let be, as it would be later.
            if awaited.hand_id == stretch.hand_id or awaited.source == Source.DESK:
                _write_contra(stretch, awaited)
            awaited.delete()
    return Recorded(stretch, fresh=True)


def cancel(wish: Cancel, *, now: datetime | None = None) -> Recorded:
    """Undo one stretch by negated tallies on its own day; each stretch is undone once at most.

    A cancel that comes before its stretch waits for it. Raises FactRefused for a cancel of a cancel, or a
    token seen before with other content.
    """
    received_at = now or timezone.now()
    with writing():
        hold_token(wish.cancels_token)
        cancels = list(AwaitedCancel.objects.filter(Q(token=wish.token) | Q(cancels_token=wish.cancels_token)))
        before = _replayed(wish.token, wish.content_hash, cancels) or _undone_already(wish, cancels)
        if before:
            return before
        row = awaited_row(wish, received_at)
        original = Stretch.objects.filter(token=wish.cancels_token).first()
        if original is None:
            row.save()
            return Recorded(None, fresh=True)
        if original.cancels_token is not None:
            raise FactRefused(A_CANCEL_STAYS)
        if _goes_with_a_move(original):
            raise FactRefused(GOES_WITH_A_MOVE)
        return Recorded(_write_contra(original, row), fresh=True)


def aside_token(move_token: UUID) -> UUID:
    """The token of what is set aside for a move: the later work on pieces that are cut again."""
    return uuid5(move_token, "set aside")


def _goes_with_a_move(stretch: Stretch) -> bool:
    """Whether a move that stands set this aside: undone by itself, the same pieces would be in two places."""
    if stretch.source != Source.DESK or stretch.seconds:
        return False
    undone = Move.objects.filter(cancels_token=OuterRef("token"))
    # A move has the moment of what was set aside for it.
    moves = Move.objects.filter(done_at=stretch.done_at, cancels_token=None).exclude(Exists(undone))
    return any(aside_token(token) == stretch.token for token in moves.values_list("token", flat=True))


def awaited_row(wish: Cancel, received_at: datetime) -> AwaitedCancel:
    """The unsaved row of a cancel, saved only where its stretch has not come yet."""
    return AwaitedCancel(
        token=wish.token,
        content_hash=wish.content_hash,
        cancels_token=wish.cancels_token,
        hand_id=wish.hand_id,
        done_at=wish.done_at,
        sent_at=wish.sent_at,
        received_at=received_at,
        source=wish.source,
        entered_by_id=wish.entered_by_id,
    )


def _task_of_unseen(fact: Fact) -> int | None:
    """For the touch of every day, one task and a token never seen: all that must be asked, in one query."""
    if len(fact.yields) != 1 or fact.renews or fact.yields[0].old_order or fact.yields[0].task_id:
        return None
    there = fact.yields[0]
    place = tasks_at(fact.operation_id or 0, lot_id=there.lot_id, wheel_id=there.wheel_id)
    awaited = AwaitedCancel.objects.filter(Q(token=fact.token) | Q(cancels_token=fact.token))
    found = place.annotate(seen=Exists(Stretch.objects.filter(token=fact.token)) | Exists(awaited)).values_list(
        "id", "seen"
    )
    task_id, seen = found.first() or (None, True)
    return None if seen else task_id


def find_tasks(fact: Fact) -> list[int | None]:
    """The task of each yield; one named by its lot or wheel is found by the operation.

    Raises FactRefused where the operation is not among the work there.
    """
    return [
        None if one.old_order else one.task_id or _task_at(fact.operation_id or 0, one.lot_id, one.wheel_id)
        for one in fact.yields
    ]


def _task_at(operation_id: int, lot_id: int | None, wheel_id: int | None) -> int:
    task_id = find_task_id(operation_id, lot_id=lot_id, wheel_id=wheel_id)
    if task_id is not None:
        return task_id
    if not Operation.objects.filter(pk=operation_id).exists():
        raise FactRefused("There is no such operation.")
    raise FactRefused("That operation is not among the work of that lot or wheel.")


def find_task_id(operation_id: int, *, lot_id: int | None, wheel_id: int | None) -> int | None:
    """The task of an operation at a lot or a wheel: the live one, else the last that was there.

    An operation on loose pieces is found by the wheel too: it is its lot's.
    """
    return tasks_at(operation_id, lot_id=lot_id, wheel_id=wheel_id).values_list("id", flat=True).first()


def tasks_at(operation_id: int, *, lot_id: int | None, wheel_id: int | None) -> QuerySet[Task]:
    """All that an operation has had at a lot or a wheel, as `find_task_id` looks it up."""
    if wheel_id is not None:
        place = Q(wheel_id=wheel_id) | Q(wheel=None, lot__wheels=wheel_id)
    elif lot_id is not None:
        place = Q(wheel=None, lot_id=lot_id)
    else:
        return Task.objects.none()
    return Task.objects.filter(place, operation_id=operation_id).order_by(
        F("wheel_id").desc(nulls_last=True), F("dropped_at").desc(nulls_first=True), "-id"
    )


def hold_token(token: UUID) -> None:
    """On PostgreSQL, make a fact, its replay and its cancel wait for each other; SQLite has one writer anyway."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [token.int % 2**63])


def _replayed(token: UUID, content_hash: str, cancels: Sequence[AwaitedCancel]) -> Recorded | None:
    """The answer of the first time, where this token was seen before."""
    stretch = Stretch.objects.filter(token=token).first()
    seen = stretch or next((row for row in cancels if row.token == token), None)
    if seen is None:
        return None
    if seen.content_hash != content_hash:
        raise FactRefused(SEEN_WITH_OTHER_CONTENT)
    return Recorded(stretch, fresh=False)


def _undone_already(wish: Cancel, cancels: Sequence[AwaitedCancel]) -> Recorded | None:
    stretch = Stretch.objects.filter(cancels_token=wish.cancels_token).first()
    if stretch or cancels:
        return Recorded(stretch, fresh=False)
    return None


def _lock(task_ids: Sequence[int | None]) -> list[int | None]:
    """Lock the tasks in id order, so that two facts never wait for each other in a ring."""
    wanted = {task_id for task_id in task_ids if task_id is not None}
    if len(wanted) != sum(task_id is not None for task_id in task_ids):
        raise FactRefused("One stretch names each piece of work once.")
    found = Task.objects.filter(pk__in=wanted).order_by("pk").select_for_update().values_list("pk", flat=True)
    if set(found) != wanted:
        raise FactRefused("There is no such work.")
    return list(task_ids)


def _write_stretch(settled: Settled, task_ids: Sequence[int | None], beside: Beside | None = None) -> Stretch:
    fact = settled.fact
    if strangers(fact.helper_ids):
        raise FactRefused(NO_SUCH_HELPER)
    stretch = stretch_row(settled)
    stretch.save(force_insert=True)
    Helper.objects.bulk_create(Helper(stretch=stretch, hand_id=hand_id) for hand_id in fact.helper_ids)
    tallies = tally_rows(settled, stretch, task_ids)
    Tally.objects.bulk_create(tallies)
    _move_counters(tallies)
    if beside:
        beside(task_ids)
    return stretch


def strangers(user_ids: Collection[int]) -> set[int]:
    """Those of some user ids that are nobody's; nothing is asked where none is given."""
    if not user_ids:
        return set()
    there = get_user_model().objects.filter(pk__in=user_ids).values_list("pk", flat=True)
    return set(user_ids) - set(there)


def stretch_row(settled: Settled) -> Stretch:
    """The unsaved stretch of a settled fact."""
    fact = settled.fact
    return Stretch(
        token=fact.token,
        content_hash=fact.content_hash,
        kind=fact.kind,
        hand_id=fact.hand_id,
        operation_id=fact.operation_id,
        started_at=fact.started_at,
        done_at=fact.done_at,
        done_on=settled.done_on,
        sent_at=fact.sent_at,
        received_at=settled.received_at,
        seconds=settled.seconds,
        source=fact.source,
        entered_by_id=fact.entered_by_id,
        note=fact.note,
    )


def tally_rows(settled: Settled, stretch: Stretch, task_ids: Sequence[int | None]) -> list[Tally]:
    """The unsaved tallies of a settled fact."""
    return [
        Tally(
            stretch=stretch,
            task_id=task_id,
            made=one.made,
            spoiled=one.spoiled,
            lost=one.lost,
            reason=one.reason,
            seconds=seconds,
            old_order=one.old_order,
            old_wheel=one.old_wheel,
            old_diameter_nm=one.old_diameter_nm,
        )
        for one, task_id, seconds in zip(settled.fact.yields, task_ids, settled.shares, strict=True)
    ]


def contra_rows(original: Stretch, by: AwaitedCancel) -> Stretch:
    """The unsaved stretch that undoes another: its seconds negated, on its day, in its hand's name."""
    return Stretch(
        token=by.token,
        content_hash=by.content_hash,
        kind=original.kind,
        hand_id=original.hand_id,
        operation_id=original.operation_id,
        done_at=by.done_at,
        done_on=original.done_on,
        sent_at=by.sent_at,
        received_at=by.received_at,
        seconds=None if original.seconds is None else -original.seconds,
        cancels_token=original.token,
        source=by.source,
        entered_by_id=by.entered_by_id or (by.hand_id if by.hand_id != original.hand_id else None),
    )


def contra_tally(tally: Tally, contra: Stretch) -> Tally:
    """The unsaved tally that undoes another."""
    return Tally(
        stretch=contra,
        task_id=tally.task_id,
        made=-tally.made,
        spoiled=-tally.spoiled,
        lost=-tally.lost,
        reason=tally.reason,
        seconds=None if tally.seconds is None else -tally.seconds,
        old_order=tally.old_order,
        old_wheel=tally.old_wheel,
        old_diameter_nm=tally.old_diameter_nm,
    )


def _write_contra(original: Stretch, by: AwaitedCancel) -> Stretch:
    contra = contra_rows(original, by)
    contra.save(force_insert=True)
    Helper.objects.bulk_create(
        Helper(stretch=contra, hand_id=hand_id) for hand_id in original.helpers.values_list("hand_id", flat=True)
    )
    originals = list(original.tallies.order_by("task_id"))
    _lock([tally.task_id for tally in originals])
    tallies = [contra_tally(tally, contra) for tally in originals]
    Tally.objects.bulk_create(tallies)
    _move_counters(tallies)
    take_back_renewals(original, originals, at=by.received_at)
    return contra


def take_back_renewals(original: Stretch, tallies: Iterable[Tally], *, at: datetime) -> None:
    """Undo what a stretch that is undone had renewed: a hub was not split after all.

    Only what came with this very stretch: other pieces of the old part may have been spoiled too.
    """
    spoiled = [tally.task_id for tally in tallies if tally.spoiled]
    if not spoiled:
        return
    renewed = Part.objects.filter(
        replaces__tasks__in=spoiled, replaces__dropped_at=original.received_at, dropped_at=None
    )
    for part in renewed.distinct():
        _take_back_all_renewed_with(part, at=at)


def _take_back_all_renewed_with(part: Part, *, at: datetime) -> None:
    """A hub's spoiling renewed its spokes and bands too: taking it back takes them all back."""
    assert part.replaces is not None  # noqa: S101 - asked for by the query
    together = Part.objects.filter(
        wheel=part.wheel, dropped_at=None, replaces__dropped_at=part.replaces.dropped_at
    ).select_related("replaces")
    for renewed in together:
        take_back_renewal(renewed, at=at)


def _move_counters(tallies: Iterable[Tally]) -> None:
    for tally in tallies:
        if tally.task_id is not None:
            Task.objects.filter(pk=tally.task_id).update(
                made=F("made") + tally.made,
                spoiled=F("spoiled") + tally.spoiled,
                lost=F("lost") + tally.lost,
                seconds=F("seconds") + (tally.seconds or 0),
            )
