"""The work of some orders, read in a constant number of queries, with its counts worked out.

Pages ask this and not the tables: what is left, what is ready, what it waits for, how far each wheel is.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, tzinfo

from django.db.models import Q, QuerySet

from jobs.counts import Counts, Line, Readiness, WaitLine
from jobs.drawing import WheelProgress, counts_in_words
from jobs.models import Hold, Lot, Operation, Order, Task, Wait, Wheel
from jobs.models.wheels import TaskQuerySet
from jobs.progress import Rack, progress_of, rack_of
from jobs.words import in_words


class Work:
    """The lots, wheels and tasks of some orders; see `load_work`."""

    def __init__(
        self,
        orders: Sequence[Order],
        lots: Iterable[Lot],
        wheels: Iterable[Wheel],
        tasks: Iterable[Task],
        *,
        waits: Iterable[WaitLine] = (),
        holds: Iterable[Hold] = (),
        last_done: Mapping[int, datetime] | None = None,
        now: datetime | None = None,
        operations: Mapping[int, Operation] | None = None,
    ) -> None:
        """`tasks` come with `operation`, `part_dropped_at` and `is_away` set."""
        self.orders = list(orders)
        self._lots: dict[int, list[Lot]] = defaultdict(list)
        for lot in lots:
            self._lots[lot.order_id].append(lot)
        self._wheels: dict[int, list[Wheel]] = defaultdict(list)
        for wheel in wheels:
            self._wheels[wheel.lot_id].append(wheel)
        self._order_of_lot = {lot.pk: lot.order_id for rows in self._lots.values() for lot in rows}
        self._tasks = self._in_order(tasks)
        self._by_lot: dict[int, list[Task]] = defaultdict(list)
        # By lot and wheel; loose pieces are at no wheel.
        self._by_place: dict[tuple[int, int | None], list[Task]] = defaultdict(list)
        for task in self._tasks:
            self._by_lot[task.lot_id].append(task)
            self._by_place[task.lot_id, task.wheel_id].append(task)
        self.operations = operations or {task.operation_id: task.operation for task in self._tasks}
        self._progress: dict[int, WheelProgress] = {}
        self._holds: dict[int, list[Hold]] = defaultdict(list)
        for hold in holds:
            self._holds[hold.order_id].append(hold)
        self.counts = Counts(
            [self._line_of(task) for task in self._tasks],
            waits,
            held={_what_is_held(hold) for rows in self._holds.values() for hold in rows},
            last_done=last_done,
            now=now,
        )

    @staticmethod
    def _in_order(tasks: Iterable[Task]) -> list[Task]:
        return sorted(tasks, key=lambda task: (task.operation.position, task.pk))

    def _line_of(self, task: Task) -> Line:
        return Line(
            task_id=task.pk,
            order_id=self._order_of_lot[task.lot_id],
            lot_id=task.lot_id,
            wheel_id=task.wheel_id,
            part_id=task.part_id,
            part_kind=task.operation.part,
            operation_id=task.operation_id,
            position=task.operation.position,
            units=task.units,
            wanted=task.wanted,
            made=task.made,
            spoiled=task.spoiled,
            lost=task.lost,
            live=task.dropped_at is None,
            part_dropped=task.part_dropped_at is not None,
        )

    def lots(self, order: Order, *, dropped: bool = False) -> list[Lot]:
        """The lots of an order; with `dropped`, those that were left out too."""
        return [lot for lot in self._lots[order.pk] if dropped or lot.dropped_at is None]

    def wheels(self, lot: Lot, *, dropped: bool = False) -> list[Wheel]:
        """The wheels of a lot, in order of their numbers."""
        return [wheel for wheel in self._wheels[lot.pk] if dropped or wheel.dropped_at is None]

    def tasks(
        self,
        *,
        order: Order | None = None,
        lot: Lot | None = None,
        wheel: Wheel | None = None,
        dropped: bool = False,
    ) -> list[Task]:
        """Tasks in the order of the work: of an order, of a lot with its wheels, or of one wheel."""
        if wheel is not None:
            rows = self._by_place[wheel.lot_id, wheel.pk]
        elif lot is not None:
            rows = self._by_lot[lot.pk]
        elif order is not None:
            rows = self._in_order(task for one in self._lots[order.pk] for task in self._by_lot[one.pk])
        else:
            rows = self._tasks
        return [task for task in rows if dropped or task.dropped_at is None]

    def loose_tasks(self, lot: Lot) -> list[Task]:
        """The tasks of a lot's loose pieces, which belong to no wheel yet."""
        return [task for task in self._by_place[lot.pk, None] if task.dropped_at is None]

    def line(self, task: Task) -> Line:
        return self.counts.lines[task.pk]

    def good(self, task: Task) -> int:
        """Units made and not lost since."""
        return self.counts.good(self.line(task))

    def left(self, task: Task) -> int:
        """Units still to be made."""
        return self.counts.left(self.line(task))

    def ready(self, task: Task) -> Readiness:
        """Units that may be done now."""
        return self.counts.ready(self.line(task))

    def progress(self, wheel: Wheel, lot: Lot) -> WheelProgress:
        """How far a wheel is, for its picture."""
        if wheel.pk not in self._progress:
            bearing = self._in_order([*self._by_place[lot.pk, wheel.pk], *self._by_place[lot.pk, None]])
            self._progress[wheel.pk] = progress_of(wheel, lot, bearing, self.counts)
        return self._progress[wheel.pk]

    def rack(self, lot: Lot) -> Rack:
        """The loose spokes and felloes of a lot, for their picture."""
        return rack_of(lot, self._by_lot[lot.pk], self.counts)

    def words_for(self, wheel: Wheel, lot: Lot, words: Mapping[str, str]) -> str:
        """How far a wheel is, in a line of words."""
        return counts_in_words(lot.makeup, self.progress(wheel, lot), words=words)

    def waiting_for(self, task: Task, words: Mapping[str, str], zone: tzinfo) -> list[str]:
        """What the rest of a task waits for, in plain words."""
        readiness = self.ready(task)
        reasons = ["on hold"] if readiness.held else []
        for block in readiness.blocked:
            name = in_words(self.operations[block.on_operation_id].name, words)
            name = name[:1].lower() + name[1:]
            if block.until:
                until = block.until.astimezone(zone)
                reasons.append(f"stands after “{name}” until {until:%H.%M} on {until.day} {until:%B}")
            elif block.need == 1:
                reasons.append(f"waits for “{name}”")
            else:
                reasons.append(f"waits for “{name}”, {block.have} of {block.need}")
        return reasons

    def holds(self, order: Order) -> list[Hold]:
        """What an order waits for besides work; lifted holds are not among them."""
        return self._holds[order.pk]

    def content(self, order: Order) -> "Content":
        """How much of an order is done, by work content."""
        done = wanted = unrated = 0
        for task in self.tasks(order=order):
            book = task.operation.book_seconds
            if book is None:
                unrated += 1
                continue
            left = self.left(task)
            done += max(0, task.wanted - left) * book
            wanted += max(task.wanted, left) * book
        return Content(done, wanted, unrated)


class Content:
    """Seconds of work by book time: done and wanted; `unrated` operations have no book time and are left out."""

    __slots__ = ("done_seconds", "unrated", "wanted_seconds")

    def __init__(self, done_seconds: int, wanted_seconds: int, unrated: int) -> None:
        self.done_seconds = done_seconds
        self.wanted_seconds = wanted_seconds
        self.unrated = unrated

    @property
    def left_seconds(self) -> int:
        return self.wanted_seconds - self.done_seconds

    @property
    def per_cent(self) -> int:
        """Done, in whole per cent; 100 only when nothing is left."""
        if self.wanted_seconds == 0:
            return 0
        return self.done_seconds * 100 // self.wanted_seconds


def load_work(
    orders: QuerySet[Order] | Sequence[Order],
    *,
    now: datetime | None = None,
    last_done: Mapping[int, datetime] | None = None,
) -> Work:
    """Read the work of some orders: seven queries, however many orders there are."""
    rows = list(orders)
    lots = list(Lot.objects.filter(order__in=[order.pk for order in rows]))
    lot_ids = [lot.pk for lot in lots]
    operations = {operation.pk: operation for operation in Operation.objects.all()}
    return Work(
        rows,
        lots,
        Wheel.objects.filter(lot__in=lot_ids),
        _tasks(Task.objects.filter(lot__in=lot_ids), operations),
        waits=wait_lines(),
        holds=Hold.objects.filter(order__in=[order.pk for order in rows], lifted_at=None),
        last_done=last_done,
        now=now,
        operations=operations,
    )


def load_lot(lot_id: int | None = None, *, wheel_id: int | None = None) -> tuple[Lot, Work]:
    """Read the work of one lot, or of a wheel's, for a page that asks nothing about waits: two queries.

    Raises Lot.DoesNotExist.
    """
    there = Q(lot_id=lot_id) if lot_id is not None else Q(lot__wheels=wheel_id)
    wheels = list(Wheel.objects.filter(there).select_related("lot__order"))
    if not wheels:
        raise Lot.DoesNotExist
    lot = wheels[0].lot
    tasks = Task.objects.filter(lot=lot).with_operation().with_away()
    return lot, Work([lot.order], [lot], wheels, tasks)


def wait_lines() -> list[WaitLine]:
    """Every wait of the shop's operations."""
    return [
        WaitLine(*row) for row in Wait.objects.values_list("operation_id", "on_operation_id", "how", "standing_minutes")
    ]


def taking_operations() -> set[int]:
    """The operations that put loose pieces into a wheel: those that wait for enough of them in the lot."""
    return set(Wait.objects.filter(how=Wait.How.ENOUGH).values_list("operation_id", flat=True))


def _tasks(tasks: TaskQuerySet, operations: Mapping[int, Operation]) -> list[Task]:
    """Tasks with their operation set by hand: a join would build it anew for every row."""
    rows = list(tasks.with_part_dropped().with_away())
    for task in rows:
        task.operation = operations[task.operation_id]
    return rows


def _what_is_held(hold: Hold) -> tuple[str, int]:
    if hold.wheel_id is not None:
        return "wheel", hold.wheel_id
    if hold.lot_id is not None:
        return "lot", hold.lot_id
    return "order", hold.order_id
