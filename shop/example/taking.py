"""Takes the example's orders, and reads them back as jobs that wait on each other."""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from django.contrib.auth.models import User

from jobs.changes import add_found
from jobs.makeup import MakeUp
from jobs.models import LibraryMakeUp, Lot, Operation, Order, Task, Wait
from jobs.orders import WheelRow, take_order
from shop.example.orders import PLANS, Plan, Row

TOKENS = uuid.uuid5(uuid.NAMESPACE_DNS, "example.withy-ford.invalid")
FIRST_NUMBER = 118


@dataclass(slots=True)
class Job:
    """One task as the made-up shop sees it: what it waits on, and how far it has come. Moments are local."""

    task_id: int
    key: str
    operation_id: int
    part_kind: str
    part_id: int
    position: int
    units: int
    need: int
    book_seconds: float
    trade: str
    hands: int
    lot: "LotWork"
    wheel_id: int | None
    place: str | None
    is_found: bool
    stop_at: int | None
    not_before: datetime | None = None
    made: int = 0
    begun_by: str | None = None
    finished_at: datetime | None = None
    last_at: datetime | None = None
    away_until: datetime | None = None
    carried_seconds: float = 0
    waits: list["Waits"] = field(default_factory=list)

    @property
    def left(self) -> int:
        return max(0, self.need - self.made)


@dataclass(slots=True)
class Waits:
    """What a job waits for: the jobs, whether the first unit is enough, and how long it then stands."""

    on: list[Job]
    first: bool
    standing: timedelta


@dataclass(slots=True)
class LotWork:
    lot: Lot
    makeup: MakeUp
    order: "OrderWork"
    wheels: int
    jobs: list[Job] = field(default_factory=list)


@dataclass(slots=True)
class OrderWork:
    """An order with its jobs; `word_at` is when the customer said yes to what was found."""

    plan: Plan
    order: Order
    taken_on: date
    due_on: date
    lots: list[LotWork] = field(default_factory=list)
    jobs: list[Job] = field(default_factory=list)
    looked_over_at: datetime | None = None
    word_at: datetime | None = None
    seconds_today: float = 0

    @property
    def finished_at(self) -> datetime | None:
        ends = [job.finished_at for job in self.jobs]
        if any(end is None for end in ends):
            return None
        return max(end for end in ends if end)


def take_orders(monday: date, *, by: User) -> list[OrderWork]:
    """Enter the orders, with what repairs were found to need, in order of their days."""
    library = {row.name: row for row in LibraryMakeUp.objects.all()}
    operations = {operation.key: operation for operation in Operation.objects.all()}
    taken = []
    for index, plan in enumerate(PLANS):
        taken_on = _weekday(monday - timedelta(days=round(7 * plan.weeks)))
        due_on = _weekday(taken_on + timedelta(days=round(7 * plan.due_weeks)))
        order = take_order(
            token=uuid.uuid5(TOKENS, f"order {index}"),
            customer=plan.customer,
            carriage=plan.carriage,
            rows=[_row(row, library) for row in plan.rows],
            state=plan.state,
            due_on=due_on,
            taken_on=taken_on if plan.state not in (Order.State.ENQUIRY, Order.State.QUOTED) else None,
            note=plan.note,
            by=by,
            number=FIRST_NUMBER + index,
        )
        _add_what_was_found(order, plan, operations)
        taken.append(OrderWork(plan, order, taken_on, due_on))
    _read_jobs(taken, monday)
    return taken


def _weekday(day: date) -> date:
    """The day, or the Friday before a weekend."""
    return day - timedelta(days=max(0, day.weekday() - 4))


def _row(row: Row, library: dict[str, LibraryMakeUp]) -> WheelRow:
    kept = library[row.library]
    return WheelRow(
        makeup=replace(kept.makeup, **row.own),  # type: ignore[arg-type]
        name=row.name,
        places=row.places,
        work=row.work,
        spare_spokes=row.spare_spokes,
        spare_felloes=row.spare_felloes,
        library=None if row.own else kept,
    )


def _add_what_was_found(order: Order, plan: Plan, operations: dict[str, Operation]) -> None:
    for lot, row in zip(order.lots.order_by("pk"), plan.rows, strict=True):
        wheels = list(lot.wheels.all()) if row.found else []
        for found in row.found:
            operation = operations[found.key]
            if operation.per == "heat":
                add_found(lot, operation, wanted=1)
            elif operation.for_lot:
                add_found(lot, operation, wanted=found.wanted * len(wheels))
            else:
                for wheel in wheels:
                    add_found(lot, operation, wanted=found.wanted, wheel=wheel)


def _read_jobs(taken: Sequence[OrderWork], monday: date) -> None:
    waits: dict[int, list[Wait]] = {}
    for wait in Wait.objects.order_by("pk"):
        waits.setdefault(wait.operation_id, []).append(wait)
    positions = dict(Operation.objects.values_list("key", "position"))
    works = {work.order.pk: work for work in taken}
    lots: dict[int, LotWork] = {}
    rows: dict[int, Row] = {}
    for lot in Lot.objects.filter(order__in=works).order_by("pk"):
        work = works[lot.order_id]
        rows[lot.pk] = work.plan.rows[len(work.lots)]
        lots[lot.pk] = LotWork(lot, lot.makeup, work, len(rows[lot.pk].places))
        work.lots.append(lots[lot.pk])
    tasks = Task.objects.filter(lot__in=lots).select_related("operation", "part", "wheel")
    for task in tasks.order_by("operation__position", "pk"):
        lots[task.lot_id].jobs.append(_job(task, lots[task.lot_id], rows[task.lot_id], positions, monday))
    for lot_work in lots.values():
        lot_work.order.jobs += lot_work.jobs
        for job in lot_work.jobs:
            job.waits = list(_waits_of(job, waits))


def _job(task: Task, lot: LotWork, row: Row, positions: dict[str, int], monday: date) -> Job:
    operation, wheel = task.operation, task.wheel
    ahead = lot.order.plan.not_before.get(operation.key)
    start = datetime.combine(monday - timedelta(days=ahead), datetime.min.time()) if ahead is not None else None
    return Job(
        task_id=task.pk,
        key=operation.key,
        operation_id=operation.pk,
        part_kind=task.part.kind,
        part_id=task.part_id,
        position=operation.position,
        units=task.units,
        need=task.wanted,
        book_seconds=operation.book_seconds or 0,
        trade=operation.trade,
        hands=operation.hands,
        lot=lot,
        wheel_id=task.wheel_id,
        place=wheel.place if wheel else None,
        is_found=task.origin == Task.Origin.FOUND,
        stop_at=_stop_at(row, operation, wheel.place if wheel else None, positions),
        not_before=start,
    )


def _stop_at(row: Row, operation: Operation, place: str | None, positions: dict[str, int]) -> int | None:
    """How many units of an operation are made before a lot in hand is left; None for all."""
    if row.stop is None:
        return None
    if row.stop.through and operation.position <= positions[row.stop.through]:
        return row.stop.more.get((operation.key, place))
    return row.stop.more.get((operation.key, place), 0)


def _waits_of(job: Job, waits: dict[int, list[Wait]]) -> Iterable[Waits]:
    """What a job waits on in its lot; a wait on what the lot lacks passes to what that waits on."""
    ahead, seen = list(waits.get(job.operation_id, ())), {job.operation_id}
    while ahead:
        wait = ahead.pop()
        on = [
            other
            for other in job.lot.jobs
            if other.operation_id == wait.on_operation_id
            and (job.wheel_id is None or other.wheel_id in (None, job.wheel_id))
        ]
        if on:
            yield Waits(on, wait.how == Wait.How.FIRST, timedelta(minutes=wait.standing_minutes))
        elif wait.on_operation_id not in seen:
            seen.add(wait.on_operation_id)
            ahead.extend(waits.get(wait.on_operation_id, ()))
