"""A spoiled hub takes its mortises with it, and may take spokes and bands: one fact, with what was saved."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo

from jobs.models import Operation, Task, Wheel
from jobs.models.operations import PartKind
from jobs.work import load_lot, taking_operations
from jobs.writing import writing
from timing.facts import Fact, FactRefused, Yield
from timing.models import Stretch
from timing.record import Recorded, record

# What stands in a hub or on it, and what puts it there is an operation that waits for enough in the lot.
IN_A_HUB = (PartKind.BAND, PartKind.SPOKE)


@dataclass(frozen=True, slots=True)
class InWheel:
    """Pieces of a kind that are in a wheel now, by the task that put them there."""

    kind: str
    task_id: int
    pieces: int


def in_the_wheel(wheel: Wheel) -> list[InWheel]:
    """What would be lost with the wheel's hub unless it is saved."""
    _, work = load_lot(wheel_id=wheel.pk)
    taking = taking_operations()
    own = [task for task in work.tasks(wheel=wheel) if task.operation.part in IN_A_HUB and task.operation_id in taking]
    return [InWheel(task.operation.part, task.pk, work.good(task)) for task in own if work.good(task) > 0]


def record_spoiled_hub(
    fact: Fact, wheel: Wheel, *, saved: Mapping[str, int], zone: tzinfo = UTC, now: datetime | None = None
) -> Recorded:
    """Save that the hub of a wheel was spoiled in the work that `fact` tells of (made 0).

    `saved` is the number of spokes and bands saved, by kind; the rest is counted spoiled with the hub's own
    reason. The hub, its spokes and bands become new parts, to be worked afresh. Raises FactRefused.
    """
    fact = replace(fact, told=f"hub of wheel {wheel.pk}, saved {sorted(saved.items())}, {fact.content_hash}")
    with writing():
        if not Stretch.objects.filter(token=fact.token).exists():
            hub_task = _last_hub_task(wheel)
            if hub_task.dropped_at is None:
                fact = replace(fact, renews=(PartKind.HUB, *IN_A_HUB), renews_wheel_id=wheel.pk)
            yields = _yields(wheel, hub_task, saved, fact.yields[0].reason)
            fact = replace(fact, yields=tuple(_with_all_seconds(yields, _seconds(fact))))
        return record(fact, zone=zone, now=now)


def _yields(wheel: Wheel, hub_task: Task, saved: Mapping[str, int], reason: str) -> list[Yield]:
    """The hub, and what was in it and was not saved; each with what it had of the very operation it is counted at."""
    gone = max(0, hub_task.made - hub_task.lost)
    yields = [Yield(task_id=hub_task.pk, spoiled=1, lost=gone, reason=reason)]
    for there in in_the_wheel(wheel):
        kept = saved.get(there.kind, 0)
        if not 0 <= kept <= there.pieces:
            what = PartKind(there.kind).label
            raise FactRefused(f"There are {there.pieces} {what} in the wheel: you can't save {kept}.")
        if there.pieces > kept:
            gone = there.pieces - kept
            yields.append(Yield(task_id=there.task_id, spoiled=gone, lost=gone, reason=reason))
    return yields


def _seconds(fact: Fact) -> int | None:
    if fact.seconds is None and fact.started_at:
        return round((fact.done_at - fact.started_at).total_seconds())
    return fact.seconds


def _with_all_seconds(yields: list[Yield], seconds: int | None) -> list[Yield]:
    """The unfinished time stays with the hub; the pieces lost with it took none of their own."""
    if seconds is None:
        return yields
    return [replace(one, seconds=seconds if index == 0 else 0) for index, one in enumerate(yields)]


def _last_hub_task(wheel: Wheel) -> Task:
    """The furthest operation that the hub has had, or its first; of a wheel left out meanwhile, the hub that it had."""
    every = Task.objects.filter(wheel=wheel, part__kind=PartKind.HUB).select_related("operation")
    live = every.live()
    tasks = live if live.exists() else every.filter(part=every.order_by("-part_id").values("part")[:1])
    task = (
        tasks.filter(made__gt=0).order_by("-operation__position").first()
        or tasks.order_by("operation__position").first()
    )
    if task is None:
        raise FactRefused("That wheel has no hub in the work.")
    return task


def spoils_a_hub(operation: Operation, wheel: Wheel | None) -> bool:
    """Whether a piece spoiled in this operation is the hub itself."""
    return wheel is not None and operation.part == PartKind.HUB
