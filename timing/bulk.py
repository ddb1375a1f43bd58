"""Many facts at once: a file, the example shop, a benchmark. The same checks as one, in bulk writes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from uuid import UUID

from django.db import connection
from django.utils import timezone

from jobs.models import Task
from jobs.turns import take_turns
from jobs.writing import writing
from timing.bulk_rows import insert_rows, prepare_rows
from timing.facts import Cancel, Fact, FactRefused, Settled, settle
from timing.models import AwaitedCancel, Helper, Stretch, Tally
from timing.models.facts import Source
from timing.record import (
    A_CANCEL_STAYS,
    NO_SUCH_HELPER,
    SEEN_WITH_OTHER_CONTENT,
    awaited_row,
    contra_rows,
    contra_tally,
    find_task_id,
    strangers,
    stretch_row,
    take_back_renewals,
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
    told = _settle_all(facts, received_at, zone)
    with writing():
        settled, seen = _without_seen(told.settled)
        tasks = _resolve(settled)
        _check_cancels(told)
        stretches = Stretch.objects.bulk_create([stretch_row(one.settled) for one in settled], batch_size=BATCH)
        tallies: list[Tally] = []
        helpers: list[Helper] = []
        for one, stretch, task_ids in zip(settled, stretches, tasks, strict=True):
            tallies.extend(tally_rows(one.settled, stretch, task_ids))
            helpers.extend(Helper(stretch=stretch, hand_id=hand_id) for hand_id in one.settled.fact.helper_ids)
        Helper.objects.bulk_create(helpers, batch_size=BATCH)
        Tally.objects.bulk_create(tallies, batch_size=BATCH)
        cancelled = _cancel_all(told.cancels, settled, received_at)
        _move_counters_once([*tallies, *cancelled.tallies])
        for original in cancelled.originals:
            take_back_renewals(original, original.tallies.all(), at=received_at)
    seen += told.repeated + len(told.cancels) - cancelled.fresh
    return RecordedMany(fresh=len(settled) + cancelled.fresh, seen=seen)


def record_old_book(facts: Iterable[Fact], *, now: datetime) -> RecordedMany:
    """Save stretches of an old book, all or none; those whose token was seen before are left out.

    They name no task and are of one yield each, so that the rows are made ready before the write begins: others wait a
    few seconds for 100,000 of them, where Django's own bulk writes take five times as long. Raises ManyRefused.
    """
    told = _settle_all(facts, now, UTC).settled
    if any(one.settled.fact.source != Source.OLD_BOOK or len(one.settled.fact.yields) != 1 for one in told):
        raise ValueError("Only stretches of an old book go this way, each of one yield.")
    stretches = [stretch_row(one.settled) for one in told]
    tallies = [tally_rows(one.settled, stretch, [None])[0] for one, stretch in zip(told, stretches, strict=True)]
    stretch_values, tally_values = prepare_rows(Stretch, stretches), prepare_rows(Tally, tallies)
    tokens, of_old = [stretch.token for stretch in stretches], Stretch.objects.filter(source=Source.OLD_BOOK)
    count, seen = of_old.count(), _hashes_of(tokens)
    with writing():
        take_turns("old book")
        # Facts are added and never taken away: as many as before are the same, and need not be looked through again.
        if of_old.count() != count:
            seen = _hashes_of(tokens)
        fresh = [place for place, token in enumerate(tokens) if token not in seen]
        last = Stretch.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
        insert_rows(Stretch, [stretch_values[place] for place in fresh])
        # In the order in which they went in; of an old book nobody else adds any meanwhile.
        ids = list(of_old.filter(pk__gt=last).order_by("pk").values_list("pk", flat=True))
        insert_rows(Tally, [tally_values[place] for place in fresh], stretch_id=ids)
    return RecordedMany(fresh=len(fresh), seen=len(told) - len(fresh))


@dataclass(frozen=True, slots=True)
class _One:
    """A checked fact and its place in the sequence."""

    index: int
    settled: Settled


@dataclass(frozen=True, slots=True)
class _Told:
    """A sequence taken apart: facts, each once, cancels by their place, and how many facts came again."""

    settled: list[_One]
    cancels: dict[int, Cancel]
    repeated: int


@dataclass(frozen=True, slots=True)
class _Cancelled:
    """How many cancels were new, the tallies that undo, and what was undone."""

    fresh: int
    tallies: list[Tally]
    originals: list[Stretch]


def _settle_all(facts: Iterable[Fact | Cancel], received_at: datetime, zone: tzinfo) -> _Told:
    settled: dict[UUID, _One] = {}
    cancels: dict[int, Cancel] = {}
    bad: list[BadFact] = []
    repeated = 0
    for index, fact in enumerate(facts):
        if isinstance(fact, Cancel):
            cancels[index] = fact
            continue
        try:
            if fact.renews:
                raise FactRefused("A part made anew goes through the bench, one fact at a time.")
            before = settled.get(fact.token)
            if before and before.settled.fact.content_hash != fact.content_hash:
                raise FactRefused(SEEN_WITH_OTHER_CONTENT)
            repeated += before is not None
            settled[fact.token] = before or _One(index, settle(fact, received_at=received_at, zone=zone))
        except FactRefused as refused:
            bad.append(BadFact(index, str(refused)))
    if bad:
        raise ManyRefused(bad)
    return _Told(list(settled.values()), cancels, repeated)


def _without_seen(settled: Sequence[_One]) -> tuple[list[_One], int]:
    seen = _hashes_of([one.settled.fact.token for one in settled])
    bad = [
        BadFact(one.index, SEEN_WITH_OTHER_CONTENT)
        for one in settled
        if one.settled.fact.token in seen and seen[one.settled.fact.token] != one.settled.fact.content_hash
    ]
    if bad:
        raise ManyRefused(bad)
    return [one for one in settled if one.settled.fact.token not in seen], len(seen)


def _hashes_of(tokens: Sequence[UUID]) -> dict[UUID, str]:
    """The content of what was seen under these tokens: stretches, and cancels that wait."""
    hashes: dict[UUID, str] = {}
    for start in range(0, len(tokens), BATCH):
        some = tokens[start : start + BATCH]
        hashes.update(AwaitedCancel.objects.filter(token__in=some).values_list("token", "content_hash"))
        hashes.update(Stretch.objects.filter(token__in=some).values_list("token", "content_hash"))
    return hashes


def _resolve(settled: Sequence[_One]) -> list[list[int | None]]:
    """The task of each yield; a place and operation is looked up once however often it comes."""
    known: dict[tuple[int | None, int | None, int | None], int | None] = {}
    resolved: list[list[int | None]] = []
    bad: list[BadFact] = []
    for one in settled:
        fact = one.settled.fact
        row: list[int | None] = []
        for yielded in fact.yields:
            if yielded.old_order or yielded.task_id is not None:
                row.append(None if yielded.old_order else yielded.task_id)
                continue
            key = (fact.operation_id, yielded.lot_id, yielded.wheel_id)
            if key not in known and fact.operation_id is not None:
                known[key] = find_task_id(fact.operation_id, lot_id=yielded.lot_id, wheel_id=yielded.wheel_id)
            if known.get(key) is None:
                bad.append(BadFact(one.index, "That operation is not among the work of that lot or wheel."))
            row.append(known.get(key))
        named = [task_id for task_id in row if task_id is not None]
        if len(named) != len(set(named)):
            bad.append(BadFact(one.index, "One stretch names each piece of work once."))
        resolved.append(row)
    bad += _without_task(settled, resolved)
    helpers = {hand_id for one in settled for hand_id in one.settled.fact.helper_ids}
    unknown = strangers(helpers)
    bad += [BadFact(one.index, NO_SUCH_HELPER) for one in settled if unknown.intersection(one.settled.fact.helper_ids)]
    if bad:
        raise ManyRefused(sorted(bad, key=lambda fault: fault.index))
    return resolved


def _without_task(settled: Sequence[_One], resolved: Sequence[Sequence[int | None]]) -> list[BadFact]:
    """The facts that name a task which is not there."""
    named = sorted({task_id for row in resolved for task_id in row if task_id is not None})
    there: set[int] = set()
    for start in range(0, len(named), BATCH):
        there.update(Task.objects.filter(pk__in=named[start : start + BATCH]).values_list("pk", flat=True))
    return [
        BadFact(one.index, "There is no such work.")
        for one, row in zip(settled, resolved, strict=True)
        if any(task_id is not None and task_id not in there for task_id in row)
    ]


def _check_cancels(told: _Told) -> None:
    """The refusals of `cancel`: a token that was seen with other content, and a cancel of a cancel."""
    if not told.cancels:
        return
    hashes = _hashes_of([wish.token for wish in told.cancels.values()])
    hashes |= {one.settled.fact.token: one.settled.fact.content_hash for one in told.settled}
    named = [wish.cancels_token for wish in told.cancels.values()]
    cancels: set[UUID] = {wish.token for wish in told.cancels.values()}
    for start in range(0, len(named), BATCH):
        undoing = Stretch.objects.filter(token__in=named[start : start + BATCH]).exclude(cancels_token=None)
        cancels.update(undoing.values_list("token", flat=True))
    bad = []
    for index, wish in told.cancels.items():
        if hashes.setdefault(wish.token, wish.content_hash) != wish.content_hash:
            bad.append(BadFact(index, SEEN_WITH_OTHER_CONTENT))
        elif wish.cancels_token in cancels:
            bad.append(BadFact(index, A_CANCEL_STAYS))
    if bad:
        raise ManyRefused(bad)


def _cancel_all(cancels: Mapping[int, Cancel], settled: Sequence[_One], received_at: datetime) -> _Cancelled:
    """Write the contra stretches of cancels whose stretch is there; the others wait for theirs.

    A cancel that waited for one of these stretches is carried out now.
    """
    fresh = {one.settled.fact.token for one in settled}
    waited = {row.cancels_token: row for row in AwaitedCancel.objects.all()}
    wanted: dict[UUID, AwaitedCancel] = {}
    for wish in cancels.values():
        if wish.cancels_token not in waited:
            wanted.setdefault(wish.cancels_token, awaited_row(wish, received_at))
    carried_out = [row for token, row in waited.items() if token in fresh]
    due = wanted | {row.cancels_token: row for row in carried_out}
    tokens = list(due)
    originals: dict[UUID, Stretch] = {}
    for start in range(0, len(tokens), BATCH):
        some = tokens[start : start + BATCH]
        for undone in Stretch.objects.filter(cancels_token__in=some):
            if undone.cancels_token:
                wanted.pop(undone.cancels_token, None)
                due.pop(undone.cancels_token, None)
        rows = Stretch.objects.filter(token__in=some).prefetch_related("tallies", "helpers")
        originals.update((stretch.token, stretch) for stretch in rows)
    AwaitedCancel.objects.bulk_create(row for token, row in wanted.items() if token not in originals)
    pairs = [(originals[token], row) for token, row in due.items() if token in originals]
    tallies = _write_contras(pairs)
    AwaitedCancel.objects.filter(pk__in=[row.pk for row in carried_out]).delete()
    return _Cancelled(len(wanted), tallies, [original for original, _ in pairs])


def _write_contras(pairs: Sequence[tuple[Stretch, AwaitedCancel]]) -> list[Tally]:
    contras = Stretch.objects.bulk_create([contra_rows(original, by) for original, by in pairs], batch_size=BATCH)
    helpers: list[Helper] = []
    tallies: list[Tally] = []
    for (original, _), contra in zip(pairs, contras, strict=True):
        helpers.extend(Helper(stretch=contra, hand_id=helper.hand_id) for helper in original.helpers.all())
        tallies.extend(contra_tally(tally, contra) for tally in original.tallies.all())
    Helper.objects.bulk_create(helpers, batch_size=BATCH)
    return Tally.objects.bulk_create(tallies, batch_size=BATCH)


_MOVE_COUNTERS = (
    "UPDATE jobs_task SET made = made + %s, spoiled = spoiled + %s, lost = lost + %s, seconds = seconds + %s "
    "WHERE id = %s"
)


def _move_counters_once(tallies: Iterable[Tally]) -> None:
    sums: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for tally in tallies:
        if tally.task_id is not None:
            row = sums[tally.task_id]
            row[0] += tally.made
            row[1] += tally.spoiled
            row[2] += tally.lost
            row[3] += tally.seconds or 0
    # One sentence for all: written out anew for each task, thousands of them took longer than their change.
    with connection.cursor() as cursor:
        cursor.executemany(_MOVE_COUNTERS, [(*sums[task_id], task_id) for task_id in sorted(sums)])
