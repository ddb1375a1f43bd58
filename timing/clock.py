"""The clock of each hand: what is worked on, and since when. It is shown and asked about, never summed."""

from datetime import datetime

from jobs.models import Task
from timing.facts import device_error
from timing.models import Clock, Stretch
from timing.models.facts import Kind


def clock_of(hand_id: int) -> Clock | None:
    """The clock of a hand with its task, operation and lot; None before the first job."""
    return (
        Clock.objects.filter(hand_id=hand_id)
        .select_related("task__operation", "task__lot__order", "task__wheel")
        .first()
    )


def set_clock(
    hand_id: int, *, now: datetime, started_at: datetime | None, task: Task | None, kind: str = Kind.WORK
) -> Clock:
    """Put a hand to a task, or to shop work or a break; `started_at` None leaves the clock standing."""
    clock, _ = Clock.objects.update_or_create(
        hand_id=hand_id, defaults={"kind": kind, "task": task, "started_at": started_at, "changed_at": now}
    )
    return clock


def clock_ran_to(hand_id: int, task_id: int, done_at: datetime) -> None:
    """The next piece starts where the last one was done. A fact that came late does not turn the clock back."""
    Clock.objects.filter(hand_id=hand_id, task_id=task_id, started_at__lt=done_at).update(
        started_at=done_at, changed_at=done_at
    )


def set_back(hand_id: int, undone: Stretch, *, at: datetime) -> None:
    """Where the clock has run on from a stretch that is undone, let it run from where that stretch began.

    `at` is when it was undone, by the shop's clock: turns that the hand made after it are still to count.
    """
    if undone.started_at is None:
        return
    error = device_error(undone.sent_at, undone.received_at)
    Clock.objects.filter(hand_id=hand_id, started_at=undone.done_at + error).update(
        started_at=undone.started_at + error, changed_at=at
    )
