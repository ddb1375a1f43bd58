"""One run of a hand at a job: piece after piece until it is done, a piece is spoiled, or the bell goes."""

from datetime import datetime, time, timedelta
from random import Random
from typing import Protocol

from shop.example.pace import Pace
from shop.example.taking import Job
from shop.example.telling import Did, Draft

LONGEST_RUN = timedelta(minutes=100)
WORTH_TELLING = 120
# Slips, each as a chance in each telling.
CLOCK_LEFT_RUNNING, TAPPED_TWICE, MISCOUNTED, WITHOUT_CLOCK = 0.25, 0.004, 0.03, 0.006


class Yard(Protocol):
    """What a run needs of the made-up shop."""

    rng: Random
    pace: Pace
    drafts: list[Draft]

    def allowed(self, job: Job, now: datetime, name: str) -> int: ...


class Run:
    """The pieces of one hand, from `start` to the bell at `end`, told in the hand's own style."""

    def __init__(
        self, yard: Yard, hand: str, helpers: tuple[str, ...], start: datetime, end: datetime, style: str
    ) -> None:
        self.yard, self.hand, self.helpers, self.style = yard, hand, helpers, style
        self.start = self.begun = self.now = start
        self.end = end
        self.did: dict[int, Did] = {}
        self.job: Job | None = None

    def through(self, job: Job) -> bool:
        """Work at a job; says whether the hand goes on to the next of the group."""
        job.begun_by = self.hand
        self.job = job
        in_a_wheel = max(1, job.need // (job.lot.wheels if job.wheel_id is None else 1))
        for _ in range(self.yard.allowed(job, self.now, self.hand)):
            if not self._piece(job):
                return False
            if self.style == "single" or (self.style == "wheel" and job.made % in_a_wheel == 0):
                self.tell()
            if self.style == "single" and not self.helpers and self.now - self.start > LONGEST_RUN:
                return False
        return True

    def _piece(self, job: Job) -> bool:
        """Make one unit, or as much of it as the bell allows; says whether to go on."""
        seconds = job.carried_seconds or self.yard.pace.seconds(self.hand, job)
        job.carried_seconds = 0
        there = (self.end - self.now).total_seconds()
        if seconds > there:
            self._stop_at_the_bell(job, seconds, there)
            return False
        self.now += timedelta(seconds=seconds)
        job.last_at = self.now
        job.lot.order.seconds_today += seconds
        if self.yard.pace.is_spoiled(self.hand, job):
            self._spoil(job)
            return False
        job.made += 1
        self.did.setdefault(job.task_id, Did()).made += 1
        if not job.left:
            job.finished_at = self.now
            _mark_looked_over(job, self.now, self.yard.rng)
        return True

    def _stop_at_the_bell(self, job: Job, seconds: float, there: float) -> None:
        job.carried_seconds = seconds
        if there >= WORTH_TELLING:
            job.carried_seconds = seconds - there
            job.lot.order.seconds_today += there
            self.did.setdefault(job.task_id, Did())
            self.now = job.last_at = self.end
        self.tell(at_the_bell=True)
        self.now = self.end

    def _spoil(self, job: Job) -> None:
        """A spoiled piece wants all that was done on it done again."""
        told = self.did.setdefault(job.task_id, Did())
        told.spoiled += 1
        told.reason = self.yard.pace.reason()
        if job.key == "bore-tongue-hole" and job.made % 2:
            told.lost += 1
            job.need += 1
        for other in job.lot.jobs:
            is_its_own = other.wheel_id is None or other.part_id == job.part_id
            if other.part_kind == job.part_kind and other.position < job.position and is_its_own:
                other.need += other.units
                other.finished_at = other.begun_by = None
        self.tell()

    def tell(self, *, at_the_bell: bool = False) -> None:
        """Close the stretch with what it yielded, slips and all."""
        if not self.did or self.job is None:
            return
        rng = self.yard.rng
        draft = Draft(self.hand, self.begun, self.now, self.did, self.job, self.helpers)
        self.did, self.begun = {}, self.now
        made = sum(did.made for did in draft.did.values())
        if at_the_bell and not self.helpers and rng.random() < CLOCK_LEFT_RUNNING:
            draft.end = _forgotten_until(draft.end, rng)
        elif made > 3 and len(draft.did) == 1 and rng.random() < MISCOUNTED:
            wrong = Did(made=made + rng.choice([-1, 1, 2]))
            undone_at = draft.end + timedelta(seconds=rng.randint(30, 400))
            self.yard.drafts.append(
                Draft(self.hand, draft.start, draft.end, {self.job.task_id: wrong}, self.job, undone_at=undone_at)
            )
        elif made == 1 and rng.random() < TAPPED_TWICE:
            twice, undone_at = draft.end + timedelta(seconds=4), draft.end + timedelta(seconds=rng.randint(9, 50))
            self.yard.drafts.append(
                Draft(self.hand, draft.end, twice, {self.job.task_id: Did(made=1)}, self.job, undone_at=undone_at)
            )
        elif rng.random() < WITHOUT_CLOCK:
            draft.is_timed = False
        self.yard.drafts.append(draft)


def _mark_looked_over(job: Job, now: datetime, rng: Random) -> None:
    """When the last wheel of a repair is looked over the customer is asked, and answers in some days."""
    work = job.lot.order
    if job.key != "look-over" or any(other.left for other in work.jobs if other.key == "look-over"):
        return
    work.looked_over_at = now + timedelta(minutes=30)
    work.word_at = (now + timedelta(days=rng.randint(2, 8))).replace(hour=10, minute=0, second=0)


def _forgotten_until(end: datetime, rng: Random) -> datetime:
    """A clock left running at the bell: over dinner, into the evening, or all night."""
    if end.time() <= time(12, 30):
        return end.replace(hour=12, minute=45, second=0) if end.time() >= time(11, 0) else end
    if end.weekday() < 4 and rng.random() < 0.15:
        return end.replace(hour=7, minute=30, second=0) + timedelta(days=1)
    return end + timedelta(minutes=rng.randint(45, 240))
