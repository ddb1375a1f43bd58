"""What of a hand's time was not told yet: two devices that close the same stretch must not make it twice as long."""

from dataclasses import replace
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef

from timing.facts import Fact, device_error
from timing.models import Stretch, Tally
from timing.models.facts import Source
from timing.record import tasks_at

# Two devices' clocks, and the way over the network, are never known closer.
TOLERANCE = timedelta(seconds=2)
A_DAY = timedelta(days=1)


def closes(fact: Fact) -> bool:
    """Whether a fact only tells how long something was under way, by the clock, with nothing made or spoiled of it."""
    nothing = not any(one.made or one.spoiled or one.lost for one in fact.yields)
    return nothing and fact.started_at is not None and fact.seconds is None


def told_before(fact: Fact) -> bool:
    """Whether the hand sent this closing fact before, of the same work to the same end; it may have been shortened."""
    before = Stretch.objects.filter(token=fact.token, hand_id=fact.hand_id).first()
    what = (fact.kind, fact.operation_id, fact.done_at)
    if before is None or (before.kind, before.operation_id, before.done_at) != what:
        return False
    tallies = list(Tally.objects.filter(stretch=before))
    if any(tally.made or tally.spoiled for tally in tallies):
        return False
    for one in fact.yields:
        # Its work may have been made anew since.
        there = tasks_at(fact.operation_id or 0, lot_id=one.lot_id, wheel_id=one.wheel_id)
        if not there.filter(pk__in=[tally.task_id for tally in tallies]).exists():
            return False
    return True


def untold(fact: Fact, *, now: datetime) -> Fact | None:
    """A closing stretch from where the hand's told time ends; None where all of it was told, on whatever device.

    What was sent before is given back as it is, for the one way in to answer. Moments are compared by the shop's
    clock: each with the error of the device that told it.
    """
    if fact.started_at is None or Stretch.objects.filter(token=fact.token).exists():
        return fact
    error = device_error(fact.sent_at, now)
    begun, done = fact.started_at + error, fact.done_at + error
    told_to = begun
    for row in _told_about(fact.hand_id, begun, done):
        there = device_error(row.sent_at, row.received_at)
        ended = row.done_at + there
        started = row.started_at + there if row.started_at else ended - timedelta(seconds=row.seconds or 0)
        if started < done and ended > told_to:
            told_to = min(ended, done)
    if told_to - begun <= TOLERANCE:
        return fact
    return None if done - told_to <= TOLERANCE else replace(fact, started_at=told_to - error)


def _told_about(hand_id: int, begun: datetime, done: datetime) -> list[Stretch]:
    """The hand's standing timed stretches from the bench, of the days about those moments."""
    undone = Stretch.objects.filter(cancels_token=OuterRef("token"))
    return list(
        Stretch.objects.filter(
            hand_id=hand_id,
            done_on__range=((begun - A_DAY).date(), (done + A_DAY).date()),
            source=Source.BENCH,
            cancels_token=None,
            seconds__gt=0,
        )
        .exclude(Exists(undone))
        .only("started_at", "done_at", "sent_at", "received_at", "seconds")
    )
