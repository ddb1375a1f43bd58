"""The made-up shop at work: each hand's days, what they take up, and what they tell of it.

Moments are in the shop's own time. A job is taken up once what it waits on is done; everything is drawn from one
seeded source, so that the same day to look from gives the same facts.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from random import Random

from shop.example.pace import Pace
from shop.example.people import MANNERS, SMITH
from shop.example.run import Run
from shop.example.taking import Job, OrderWork, Waits
from shop.example.telling import Did, Draft
from timing.models.facts import Kind

MORNING, TEA, AFTER_TEA = time(7, 30), time(10, 0), time(10, 15)
DINNER, AFTER_DINNER, EVENING = time(12, 0), time(12, 45), time(17, 30)
SATURDAY, THURSDAY = 5, 3
# What the smith does at his own forge, priced by the piece; the rest he does in the yard, by the hour.
AT_HIS_FORGE = ("weld-tyre", "weld-channel", "cut-and-weld")
FORGE = "forge"
GIVEN_UP_AFTER = timedelta(days=2)
HELP_WITHIN = timedelta(minutes=45)
IDLE = timedelta(minutes=45)
SHOP_WORK = ("sharpening", "stacking timber", "mending a jig", "sweeping", "oiling the lathe", "sorting patterns")


@dataclass(slots=True)
class Worker:
    name: str
    at: datetime = datetime.min
    spans: list[tuple[datetime, datetime]] = field(default_factory=list)
    job: Job | None = None
    was_idle: bool = False

    def span_end(self) -> datetime | None:
        """The end of the span that the worker is in; moves on to the next span between two."""
        for start, end in self.spans:
            if self.at < end:
                self.at = max(self.at, start)
                return end
        return None


@dataclass(frozen=True, slots=True)
class Away:
    """A piece that went to the smith's forge: sent, expected and back."""

    job: Job
    sent_at: datetime
    back_at: datetime


class MadeUpShop:
    """Works through the orders from day to day and keeps what was told."""

    def __init__(self, works: Sequence[OrderWork], rng: Random) -> None:
        self.works = works
        self.rng = rng
        self.pace = Pace(rng)
        self.drafts: list[Draft] = []
        self.away: list[Away] = []
        self.workers = [Worker(name) for name in MANNERS]
        self._styles: dict[tuple[str, int], str] = {}
        self._absent = self._holidays()

    def _holidays(self) -> set[tuple[str, int]]:
        """Weeks, counted from the first, in which a hand is away."""
        weeks = [(name, week) for name in MANNERS if name != SMITH for week in self.rng.sample(range(2, 58), 4)]
        return set(weeks)

    def work(self, first: date, last: date) -> None:
        """Work through the days from the first to the last, Sundays left out."""
        open_works: list[OrderWork] = []
        coming = sorted(self.works, key=lambda work: work.taken_on)
        for number in range((last - first).days + 1):
            day = first + timedelta(days=number)
            while coming and coming[0].taken_on < day:
                open_works.append(coming.pop(0))
            open_works = [work for work in open_works if work.finished_at is None]
            open_works.sort(key=lambda work: (work.due_on, work.order.number))
            if day.weekday() <= SATURDAY:
                self._work_day(day, number // 7, open_works)

    def _work_day(self, day: date, week: int, works: list[OrderWork]) -> None:
        for work in works:
            work.seconds_today = 0
        if day.weekday() == THURSDAY:
            self._take_back(datetime.combine(day, time(8, 45)))
        present = [worker for worker in self.workers if self._begin_day(worker, day, week)]
        while True:
            free = [worker for worker in present if worker.span_end()]
            if not free:
                break
            self._step(min(free, key=lambda worker: worker.at), free, works)
        if day.weekday() == THURSDAY:
            self._send_away(datetime.combine(day, time(16, 45)), works)

    def _begin_day(self, worker: Worker, day: date, week: int) -> bool:
        manner = MANNERS[worker.name]
        worker.spans, worker.job, worker.was_idle = [], None, False
        if day.weekday() not in manner.days or (worker.name, week) in self._absent or self.rng.random() < 0.02:
            return False
        worker.spans = list(_spans(day, worker.name))
        worker.at = worker.spans[0][0]
        if manner.tells_of_tea and day.weekday() != SATURDAY:
            self._tell_other(worker, Kind.BREAK, datetime.combine(day, TEA), minutes=15, note="tea")
        if day.weekday() == 0 and worker.name in ("Osk", "Idris"):
            minutes = self.rng.randint(20, 40)
            self._tell_other(worker, Kind.SHOP, worker.at, minutes=minutes, note="sharpening")
            worker.at += timedelta(minutes=minutes)
        if manner.apprentice and day.weekday() == 2:
            self._tell_other(worker, Kind.TRAINING, worker.at, minutes=40, note="taught at the bench")
            worker.at += timedelta(minutes=40)
        return True

    def _tell_other(self, worker: Worker, kind: str, start: datetime, *, minutes: int, note: str) -> None:
        self.drafts.append(Draft(worker.name, start, start + timedelta(minutes=minutes), kind=kind, note=note))

    def _step(self, worker: Worker, free: list[Worker], works: list[OrderWork]) -> None:
        for job in self._jobs_for(worker, works):
            helpers = self._helpers(worker, job, free)
            if helpers is not None:
                self._work_at(worker, job, helpers, works)
                return
        self._idle(worker)

    def _idle(self, worker: Worker) -> None:
        end = worker.span_end()
        minutes = self.rng.randint(20, 45)
        fits = end is not None and worker.at + timedelta(minutes=minutes) <= end
        if fits and not worker.was_idle and self.rng.random() < 0.3 and worker.name != SMITH:
            kind, note = Kind.SHOP, self.rng.choice(SHOP_WORK)
            if self.rng.random() < 0.15:
                kind, note = Kind.WAITING, "nothing to go on with"
            self._tell_other(worker, kind, worker.at, minutes=minutes, note=note)
        worker.was_idle = True
        worker.at += IDLE

    def _jobs_for(self, worker: Worker, works: list[OrderWork]) -> Iterator[Job]:
        """What the worker may take up now: first what was begun, then the most urgent order's."""
        if worker.job and self.allowed(worker.job, worker.at, worker.name):
            yield worker.job
        trades = MANNERS[worker.name].trades
        for work in works:
            # The smith is there one day a week, and does then all that is ready.
            if worker.name != SMITH and work.seconds_today >= work.plan.minutes * 60:
                continue
            for job in work.jobs:
                if job.trade in trades and job.made < job.need and self.allowed(job, worker.at, worker.name):
                    yield job

    def allowed(self, job: Job, now: datetime, name: str) -> int:
        """How many units may be made now by this hand."""
        work = job.lot.order
        if job.away_until or (job.key in AT_HIS_FORGE) != (name == FORGE) or _is_in_other_hands(job, now, name):
            return 0
        if (job.not_before and now < job.not_before) or (job.is_found and not (work.word_at and now >= work.word_at)):
            return 0
        units = job.left
        if job.stop_at is not None:
            units = min(units, job.stop_at - job.made)
        if job.key == "coat":
            units = 0 if job.last_at and job.last_at.date() == now.date() else min(units, job.lot.wheels)
        for wait in job.waits:
            units = min(units, _room(job, wait, now)) if units > 0 else 0
        return max(0, units)

    def _helpers(self, worker: Worker, job: Job, free: list[Worker]) -> list[Worker] | None:
        """The other hands that the job needs, or None where nobody is near."""
        if job.hands == 1:
            return []
        near = [
            other
            for other in free
            if other is not worker and "bench" in MANNERS[other.name].trades and other.at <= worker.at + HELP_WITHIN
        ]
        near.sort(key=lambda other: other.at)
        return near[: job.hands - 1] or None

    def _work_at(self, worker: Worker, job: Job, helpers: list[Worker], works: list[OrderWork]) -> None:
        team = [worker, *helpers]
        start = max(one.at for one in team)
        ends = []
        for one in team:
            one.at = start
            ends.append(one.span_end())
        if any(one.at != start for one in team) or None in ends:
            return  # somebody's dinner came first: all begin again after it
        end = min(end for end in ends if end)
        style = self._styles.setdefault((worker.name, job.task_id), self.pace.style(worker.name))
        group = self._group(worker, job, style, works)
        run = Run(self, worker.name, tuple(one.name for one in helpers), start, end, style)
        for other in group:
            if not run.through(other):
                break
        run.tell()
        for one in team:
            one.at = max(run.now, start + timedelta(seconds=1))
            one.was_idle = False
        worker.job = job

    def _group(self, worker: Worker, job: Job, style: str, works: list[OrderWork]) -> list[Job]:
        """One fire serves every lot that is ready; who counts in lumps takes like wheels together."""
        if job.key == "fire":
            return [
                other
                for work in works
                for other in work.jobs
                if other.key == "fire" and self.allowed(other, worker.at, worker.name)
            ]
        if style == "lump" and job.wheel_id:
            return [job] + [
                other
                for other in job.lot.jobs
                if other.key == job.key and other is not job and self.allowed(other, worker.at, worker.name)
            ]
        return [job]

    def _send_away(self, now: datetime, works: list[OrderWork]) -> None:
        for work in works:
            for job in work.jobs:
                if job.key in AT_HIS_FORGE and self.allowed(job, now, FORGE):
                    job.away_until = now.replace(hour=8) + timedelta(weeks=work.plan.forge_weeks)
                    back_at = datetime.combine(job.away_until.date(), time(8, 40))
                    self.away.append(Away(job, now, back_at))

    def _take_back(self, now: datetime) -> None:
        for away in self.away:
            job = away.job
            if job.away_until and away.back_at <= now and job.left:
                self.drafts.append(
                    Draft(
                        SMITH,
                        away.back_at,
                        away.back_at,
                        {job.task_id: Did(made=1)},
                        job,
                        is_priced_outside=True,
                        entered_by="Tamsin",
                    )
                )
                job.made, job.away_until, job.last_at, job.finished_at = job.made + 1, None, now, now


def _is_in_other_hands(job: Job, now: datetime, name: str) -> bool:
    """Whether another hand began the job, and has not been off it for days."""
    return job.begun_by not in (None, name) and bool(job.last_at and now - job.last_at < GIVEN_UP_AFTER)


def _room(job: Job, wait: Waits, now: datetime) -> int:
    """How many units of a job one of its waits lets through."""
    if wait.first:
        begun = any(other.made and other.last_at and other.last_at + wait.standing <= now for other in wait.on)
        return job.left if begun else 0
    room = job.left
    for other in wait.on:
        if other.finished_at and other.finished_at + wait.standing <= now:
            continue
        # What is made again for a spoiled piece holds up that piece, not the rest of a job that was begun.
        if not job.made or other.part_kind != job.part_kind or not other.made:
            return 0
        room -= -(-other.left // other.units) * job.units
    return room


def _spans(day: date, name: str) -> Iterator[tuple[datetime, datetime]]:
    """When a hand is at work on a day: tea is a span's end for those who tell of it."""
    if name == SMITH:
        hours = [(time(9, 0), DINNER), (AFTER_DINNER, time(16, 45))]
    elif day.weekday() == SATURDAY:
        hours = [(MORNING, DINNER)]
    elif MANNERS[name].tells_of_tea:
        hours = [(MORNING, TEA), (AFTER_TEA, DINNER), (AFTER_DINNER, EVENING)]
    else:
        hours = [(MORNING, DINNER), (AFTER_DINNER, EVENING)]
    for start, end in hours:
        yield datetime.combine(day, start), datetime.combine(day, end)
