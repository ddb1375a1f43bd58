"""Many facts at once: a file, the example shop, a benchmark. The same checks as one, in bulk writes."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from jobs.models import Task
from jobs.writing import writing
from timing.facts import Cancel, Fact, FactRefused, Settled, settle
from timing.models import AwaitedCancel, Helper, Stretch, Tally
from timing.record import (
    SEEN_WITH_OTHER_CONTENT,
    contra_rows,
    contra_tally,
    find_task_id,
    stretch_row,
    tally_rows,
)

BATCH = 2000


@dataclass(frozen=True, slots=True)
class RecordedMany:
    """How many facts were new, and how many were there already."""

    fresh: int
    seen: int


@dataclass(frozen=True, slots=True)
class BadFact:
    """A fact of the sequence that was refused, by its index, and why."""

    index: int
    sentence: str


class ManyRefused(ValueError):
    """Some facts can't be read; none was saved."""

    def __init__(self, bad: Sequence[BadFact]) -> None:
        super().__init__(f"{len(bad)} facts can't be read; the first, number {bad[0].index + 1}: {bad[0].sentence}")
        self.bad = bad


def record_many(facts: Iterable[Fact | Cancel], *, zone: tzinfo = UTC, now: datetime | None = None) -> RecordedMany:
    """Save stretches and cancels, all or none; facts seen before are left out.

    Everything is checked before the write begins, so that others wait only for the rows to go in. Parts made
    anew by a fact are not for here: such a fact goes through `record`. Raises ManyRefused.
    """
    received_at = now or timezone.now()
    settled, cancels = _settle_all(facts, received_at, zone)
    with writing():
        settled, seen = _without_seen(settled)
        tasks = _resolve(settled)
        stretches = Stretch.objects.bulk_create([stretch_row(one) for one in settled], batch_size=BATCH)
        tallies: list[Tally] = []
        helpers: list[Helper] = []
        for one, stretch, task_ids in zip(settled, stretches, tasks, strict=True):
            tallies.extend(tally_rows(one, stretch, task_ids))
            helpers.extend(Helper(stretch=stretch, hand_id=hand_id) for hand_id in one.fact.helper_ids)
        Helper.objects.bulk_create(helpers, batch_size=BATCH)
        Tally.objects.bulk_create(tallies, batch_size=BATCH)
        contras, seen_cancels = _cancel_all(cancels, received_at)
        _move_counters_once([*tallies, *contras])
    return RecordedMany(fresh=len(settled) + len(cancels) - seen_cancels, seen=seen + seen_cancels)


def _settle_all(
    facts: Iterable[Fact | Cancel], received_at: datetime, zone: tzinfo
) -> tuple[list[Settled], list[Cancel]]:
    settled: dict[UUID, Settled] = {}
    cancels: list[Cancel] = []
    bad: list[BadFact] = []
    for index, fact in enumerate(facts):
        if isinstance(fact, Cancel):
            cancels.append(fact)
            continue
        try:
            if fact.renews:
                raise FactRefused("A part made anew goes through the bench, one fact at a time.")
            before = settled.get(fact.token)
            if before and before.fact.content_hash != fact.content_hash:
                raise FactRefused(SEEN_WITH_OTHER_CONTENT)
            settled[fact.token] = before or settle(fact, received_at=received_at, zone=zone)
        except FactRefused as refused:
            bad.append(BadFact(index, str(refused)))
    if bad:
        raise ManyRefused(bad)
    return list(settled.values()), cancels


def _without_seen(settled: list[Settled]) -> tuple[list[Settled], int]:
    hashes: dict[UUID, str] = {}
    tokens = [one.fact.token for one in settled]
    for start in range(0, len(tokens), BATCH):
        hashes.update(
            Stretch.objects.filter(token__in=tokens[start : start + BATCH]).values_list("token", "content_hash")
        )
    bad = [
        BadFact(index, SEEN_WITH_OTHER_CONTENT)
        for index, one in enumerate(settled)
        if hashes.get(one.fact.token, one.fact.content_hash) != one.fact.content_hash
    ]
    if bad:
        raise ManyRefused(bad)
    return [one for one in settled if one.fact.token not in hashes], len(hashes)


def _resolve(settled: Sequence[Settled]) -> list[list[int | None]]:
    """The task of each yield; a place and operation is looked up once however often it comes."""
    known: dict[tuple[int | None, int | None, int | None], int | None] = {}
    resolved: list[list[int | None]] = []
    bad: list[BadFact] = []
    for index, one in enumerate(settled):
        row: list[int | None] = []
        for yielded in one.fact.yields:
            if yielded.old_order or yielded.task_id is not None:
                row.append(None if yielded.old_order else yielded.task_id)
                continue
            key = (one.fact.operation_id, yielded.lot_id, yielded.wheel_id)
            if key not in known and one.fact.operation_id is not None:
                known[key] = find_task_id(one.fact.operation_id, lot_id=yielded.lot_id, wheel_id=yielded.wheel_id)
            if known.get(key) is None:
                bad.append(BadFact(index, "That operation is not among the work of that lot or wheel."))
            row.append(known.get(key))
        resolved.append(row)
    if bad:
        raise ManyRefused(bad)
    return resolved


def _cancel_all(cancels: Sequence[Cancel], received_at: datetime) -> tuple[list[Tally], int]:
    """Write the contra stretches of cancels whose stretch is there; the others wait for theirs."""
    wanted = {wish.cancels_token: wish for wish in cancels}
    originals = {
        stretch.token: stretch
        for stretch in Stretch.objects.filter(token__in=wanted).prefetch_related("tallies", "helpers")
    }
    undone = set(Stretch.objects.filter(cancels_token__in=wanted).values_list("cancels_token", flat=True))
    undone |= set(AwaitedCancel.objects.filter(cancels_token__in=wanted).values_list("cancels_token", flat=True))
    tallies: list[Tally] = []
    for token, wish in wanted.items():
        if token in undone:
            continue
        by = AwaitedCancel(
            token=wish.token,
            content_hash=wish.content_hash,
            cancels_token=token,
            hand_id=wish.hand_id,
            done_at=wish.done_at,
            received_at=received_at,
            source=wish.source,
            entered_by_id=wish.entered_by_id,
        )
        original = originals.get(token)
        if original is None:
            by.save()
            continue
        contra = contra_rows(original, by)
        contra.save(force_insert=True)
        Helper.objects.bulk_create(Helper(stretch=contra, hand_id=helper.hand_id) for helper in original.helpers.all())
        rows = [contra_tally(tally, contra) for tally in original.tallies.all()]
        Tally.objects.bulk_create(rows)
        tallies.extend(rows)
    return tallies, len(undone)


def _move_counters_once(tallies: Iterable[Tally]) -> None:
    sums: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for tally in tallies:
        if tally.task_id is not None:
            row = sums[tally.task_id]
            row[0] += tally.made
            row[1] += tally.spoiled
            row[2] += tally.lost
            row[3] += tally.seconds or 0
    for task_id in sorted(sums):
        made, spoiled, lost, seconds = sums[task_id]
        Task.objects.filter(pk=task_id).update(
            made=F("made") + made,
            spoiled=F("spoiled") + spoiled,
            lost=F("lost") + lost,
            seconds=F("seconds") + seconds,
        )
