"""Proves that the counters of every task equal the sums of its facts."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import F, Model, QuerySet, Sum

from jobs.models import Task
from jobs.writing import writing
from timing.models import AwaitedCancel, Move, Stretch, Tally

COUNTERS = ("made", "spoiled", "lost", "seconds")
AT_ONCE = 500  # rows; their tokens are asked for by name, of which SQLite takes some thousands at once
M = TypeVar("M", bound=Model)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong, in one sentence; `task_id` where a counter is, and what the facts say it should be."""

    sentence: str
    task_id: int | None = None
    should_be: tuple[int, ...] = ()


def find_faults() -> list[Fault]:
    """Every counter that differs from its facts, and every cancel that does not balance its stretch."""
    return [*_counter_faults(), *_cancel_faults(), *_waiting_faults()]


def mend() -> int:
    """Set every counter to what the facts say; returns how many tasks were mended. Facts are never touched.

    A running shop waits meanwhile: a tap between the counting and the setting would be lost.
    """
    with writing():
        locked = Task.objects.order_by("pk").select_for_update()
        list(locked.values_list("pk", flat=True))
        faults = list(_counter_faults())
        for fault in faults:
            values = dict(zip(COUNTERS, fault.should_be, strict=True))
            Task.objects.filter(pk=fault.task_id or 0).update(**values)
    return len(faults)


def _counter_faults() -> Iterator[Fault]:
    for tasks in _in_batches(Task.objects.only(*COUNTERS)):
        facts = _facts_between(tasks[0].pk, tasks[-1].pk)
        for task in tasks:
            counted, should_be = [getattr(task, name) for name in COUNTERS], facts[task.pk]
            if counted != should_be:
                yield Fault(
                    f"Task {task.pk} counts {dict(zip(COUNTERS, counted, strict=True))}, "
                    f"its facts {dict(zip(COUNTERS, should_be, strict=True))}.",
                    task.pk,
                    tuple(should_be),
                )


def _facts_between(first: int, last: int) -> dict[int, list[int]]:
    """What the facts say of the tasks with ids from `first` to `last`, in the order of COUNTERS."""
    facts: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    summed = (
        Tally.objects.filter(task__gte=first, task__lte=last)
        .values_list("task_id")
        .annotate(Sum("made"), Sum("spoiled"), Sum("lost"), Sum("seconds"))
    )
    for task_id, *sums in summed:
        facts[task_id] = [number or 0 for number in sums]
    for end, sign in (("from_task", -1), ("to_task", 1)):
        moves = Move.objects.filter(**{f"{end}__gte": first, f"{end}__lte": last})
        for task_id, units in moves.values_list(end).annotate(units=Sum(F("pieces") * F(f"{end}__units"))):
            facts[task_id][0] += sign * units
    return facts


def _cancel_faults() -> Iterator[Fault]:
    """A cancel and its stretch sum to nothing, tally by tally and in seconds."""
    for contras in _in_batches(Stretch.objects.exclude(cancels_token=None).prefetch_related("tallies")):
        named = Stretch.objects.filter(token__in=[contra.cancels_token for contra in contras])
        originals = {stretch.token: stretch for stretch in named.prefetch_related("tallies")}
        for contra in contras:
            original = originals.get(contra.cancels_token) if contra.cancels_token else None
            if original is None:
                yield Fault(f"Stretch {contra.token} undoes {contra.cancels_token}, which is missing.")
            elif not _balances(original, contra):
                yield Fault(f"Stretch {contra.token} does not balance {original.token}.")


def _in_batches(rows: QuerySet[M]) -> Iterator[list[M]]:
    """All rows by their ids, `AT_ONCE` at a time, so that a long history needs no more memory than a short one."""
    last = 0
    while batch := list(rows.filter(pk__gt=last).order_by("pk")[:AT_ONCE]):
        yield batch
        last = batch[-1].pk


def _balances(original: Stretch, contra: Stretch) -> bool:
    sums: dict[int | None, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for stretch in (original, contra):
        for tally in stretch.tallies.all():
            row = sums[tally.task_id]
            for index, number in enumerate((tally.made, tally.spoiled, tally.lost, tally.seconds or 0)):
                row[index] += number
    level = (original.seconds or 0) + (contra.seconds or 0) == 0 and original.done_on == contra.done_on
    return level and not any(number for row in sums.values() for number in row)


def _waiting_faults() -> list[Fault]:
    overdue = AwaitedCancel.objects.filter(cancels_token__in=Stretch.objects.values("token"))
    return [Fault(f"Cancel {row.token} still waits for {row.cancels_token}.") for row in overdue]
