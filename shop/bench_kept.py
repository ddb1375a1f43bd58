"""What a device keeps of the bench to go on without the network: the list of what is ready, and each job on it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from jobs.models import Lot, Task
from jobs.work import Work, load_lot
from shop.bench import Last, last_of
from shop.bench_context import AtWork
from shop.bench_jobs import JobList, list_jobs
from shop.bench_page import JobNow, job_of
from shop.bench_spoiled import SpoiledAt
from shop.forms.bench import NumberForm, SpoiledForm

# As many as a hand would turn to in a day; each is a page of some kilobytes, and half of that is its picture.
MOST_KEPT = 16


@dataclass(frozen=True, slots=True)
class KeptJob:
    """A job that a hand may turn to, with what is told of it by a number or spoiled."""

    job: JobNow
    number: NumberForm
    spoiled_at: SpoiledAt
    spoiled: SpoiledForm


@dataclass(frozen=True, slots=True)
class Kept:
    """All that a device keeps for one hand."""

    found: JobList
    jobs: list[KeptJob]


def keep_for(me: AtWork, in_hand: Task | None) -> Kept:
    """The first page of what is ready for the hand, and before it the job in hand, whether it is listed or not."""
    found = list_jobs(me.hand.trade, words=me.shop.words, zone=me.shop.zone, now=me.now)
    lots = {lot.pk: lot for of_order in found.orders for lot in found.work.lots(of_order.order)}
    listed = [row.task for of_order in found.orders for row in of_order.ready]
    places = [(task, lots[task.lot_id], found.work) for task in listed if in_hand is None or task.pk != in_hand.pk]
    if in_hand is not None:
        places.insert(0, _place_of(in_hand, lots, found.work))
    del places[MOST_KEPT:]
    lasts = {lot_id: last_of(me.user.pk, lot_id) for lot_id in {lot.pk for _, lot, _ in places}}
    return Kept(found, [_kept_job(task, lot, work, me, lasts[lot.pk]) for task, lot, work in places])


def _place_of(in_hand: Task, lots: Mapping[int, Lot], listed: Work) -> tuple[Task, Lot, Work]:
    """The task in hand with its lot and its work, which is read apart where its lot is not among those listed."""
    if in_hand.lot_id in lots:
        lot, work = lots[in_hand.lot_id], listed
    else:
        lot, work = load_lot(in_hand.lot_id)
    task = next(row for row in work.tasks(lot=lot, dropped=True) if row.pk == in_hand.pk)
    return task, lot, work


def _kept_job(task: Task, lot: Lot, work: Work, me: AtWork, last: Last | None) -> KeptJob:
    today: date = me.today
    job = job_of(lot, work, task.pk, hand_id=me.user.pk, words=me.shop.words, now=me.now, today=today, last=last)
    at = SpoiledAt.of(task, lot, work, is_in_hand=True)
    return KeptJob(job, NumberForm(), at, at.form())
