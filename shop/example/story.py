"""What happened round the work of the example: promises, holds, trips to the forge, measures, and how orders ended."""

import math
import uuid
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from random import Random
from zoneinfo import ZoneInfo

from jobs.models import Hold, Measure, Order, Promise, Trip
from shop.example.people import SMITH
from shop.example.taking import TOKENS, Job, OrderWork
from shop.example.work import Away

MILLIMETRE_NM = 1_000_000
TO_WHOM = f"{SMITH}’s forge, Ford Lane"


def tell_story(
    works: Sequence[OrderWork],
    away: Sequence[Away],
    *,
    users: Mapping[str, int],
    zone: ZoneInfo,
    until: datetime,
) -> list[Trip]:
    """Enter it all, as it stood at `until` (the shop's own time); gives the trips."""
    rng = Random(len(works))  # noqa: S311 - an invented shop
    for work in works:
        _date_promises(work, users["Tamsin"], zone, until)
        _end(work, rng, until.date())
    Order.objects.bulk_update([work.order for work in works], ["due_on", "ended_on", "created_at"])
    Hold.objects.bulk_create(hold for work in works for hold in _holds(work, zone, until))
    Measure.objects.bulk_create(
        measure
        for work in works
        for job in work.jobs
        if job.finished_at and job.finished_at < until
        for measure in _measures(job, users, zone, rng)
    )
    return Trip.objects.bulk_create(
        _trip(number, one, zone, until) for number, one in enumerate(away) if one.sent_at < until
    )


def _at(day: date, hour: int, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(hour), tzinfo=zone)


def _date_promises(work: OrderWork, user_id: int, zone: ZoneInfo, until: datetime) -> None:
    """The first promise on the day it was given, and the one it was moved to, if it was."""
    order, moved = work.order, work.plan.moved
    order.created_at = _at(work.taken_on, 11, zone)
    Promise.objects.filter(order=order).update(recorded_at=order.created_at)
    if moved is None:
        return
    told_on = work.due_on - timedelta(days=moved.told_before)
    if told_on >= until.date():
        return
    order.due_on = work.due_on + timedelta(days=moved.days)
    promise = Promise.objects.create(
        order=order, promised_on=order.due_on, reason=moved.reason, told_on=told_on, recorded_by_id=user_id
    )
    Promise.objects.filter(pk=promise.pk).update(recorded_at=_at(told_on, 15, zone))


def _end(work: OrderWork, rng: Random, today: date) -> None:
    days = rng.randint(1, 6)
    if work.plan.state == Order.State.DROPPED:
        work.order.ended_on = work.taken_on + timedelta(days=9)
    elif work.plan.is_closed and work.finished_at:
        ended_on = work.finished_at.date() + timedelta(days=days)
        # Nobody fetches on a Sunday.
        work.order.ended_on = min(ended_on + timedelta(days=ended_on.weekday() == 6), today)


def _holds(work: OrderWork, zone: ZoneInfo, until: datetime) -> Iterator[Hold]:
    """Standing holds as the plan says; a repair that went on had waited for the customer's word."""
    if work.plan.hold:
        kind, what, days = work.plan.hold
        placed = work.looked_over_at or datetime.combine(work.taken_on, time(16))
        yield Hold(
            order=work.order,
            kind=kind,
            what=what,
            expected_on=until.date() + timedelta(days=days),
            placed_at=min(placed, until - timedelta(hours=8)).replace(tzinfo=zone),
        )
    elif work.looked_over_at and work.word_at and any(job.is_found for job in work.jobs):
        yield Hold(
            order=work.order,
            kind=Hold.Kind.CUSTOMER,
            what="The customer's word on what was found",
            placed_at=work.looked_over_at.replace(tzinfo=zone),
            lifted_at=work.word_at.replace(tzinfo=zone),
        )


def _trip(number: int, away: Away, zone: ZoneInfo, until: datetime) -> Trip:
    return Trip(
        task_id=away.job.task_id,
        to_whom=TO_WHOM,
        sent_at=away.sent_at.replace(tzinfo=zone),
        expected_on=away.back_at.date(),
        back_at=away.back_at.replace(tzinfo=zone) if away.back_at < until else None,
        token=uuid.uuid5(TOKENS, f"trip {number}"),
    )


def _measures(job: Job, users: Mapping[str, int], zone: ZoneInfo, rng: Random) -> Iterator[Measure]:
    """Seats of a turned hub, run and draw of the wood, the welded hoop, and the dish before and after tyring."""
    if job.wheel_id is None or job.finished_at is None:
        return
    makeup, values = job.lot.makeup, {}
    if job.key == "turn-hub":
        seat = makeup.hub_diameter_nm * 3 // 4
        values = {Measure.Kind.FRONT_SEAT: seat * 9 // 10, Measure.Kind.BACK_SEAT: seat}
    elif job.key == "run-wheel":
        values = {
            Measure.Kind.RUN: round(math.pi * makeup.wood_diameter_nm),
            Measure.Kind.DRAW: 12 * MILLIMETRE_NM,
            Measure.Kind.DISH_BEFORE: makeup.dish_nm * 2 // 3,
        }
    elif job.key == "weld-tyre":
        values = {Measure.Kind.INSIDE_RUN: round(math.pi * makeup.wood_diameter_nm) - 12 * MILLIMETRE_NM}
    elif job.key == "shrink-tyre":
        values = {Measure.Kind.DISH_AFTER: makeup.dish_nm}
    by = SMITH if job.key in ("weld-tyre", "shrink-tyre") else (job.begun_by or "Osk")
    for kind, value in values.items():
        millimetres = max(0, round(value / MILLIMETRE_NM) + rng.choice([-1, 0, 0, 0, 1]))
        yield Measure(
            wheel_id=job.wheel_id,
            kind=kind,
            value_nm=millimetres * MILLIMETRE_NM,
            taken_at=job.finished_at.replace(tzinfo=zone),
            taken_by_id=users[by],
        )
