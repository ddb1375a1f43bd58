"""What a device keeps of the bench to go on without the network: the list of what is ready, and each job on it."""

from dataclasses import dataclass
from datetime import date

from jobs.models import Lot, Task
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
    """The first page of what is ready for the hand, and the job in hand before those that are listed."""
    found = list_jobs(me.hand.trade, words=me.shop.words, zone=me.shop.zone, now=me.now)
    lots = {lot.pk: lot for of_order in found.orders for lot in found.work.lots(of_order.order)}
    listed = [row.task for of_order in found.orders for row in of_order.ready]
    tasks = sorted(listed, key=lambda task: in_hand is None or task.pk != in_hand.pk)[:MOST_KEPT]
    lasts = {lot_id: last_of(me.user.pk, lot_id) for lot_id in {task.lot_id for task in tasks}}
    return Kept(found, [_kept_job(task, lots[task.lot_id], found, me, lasts[task.lot_id]) for task in tasks])


def _kept_job(task: Task, lot: Lot, found: JobList, me: AtWork, last: Last | None) -> KeptJob:
    today: date = me.today
    job = job_of(lot, found.work, task.pk, hand_id=me.user.pk, words=me.shop.words, now=me.now, today=today, last=last)
    at = SpoiledAt.of(task, lot, found.work, is_in_hand=True)
    return KeptJob(job, NumberForm(), at, at.form())
