"""The list of a trade, the smith's above all: what is wanted of it, what is ready, what is away.

It is read from the work of the orders in hand in a constant number of queries.
"""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import IntEnum
from functools import cached_property
from typing import TypeVar

from django.db.models import Exists, OuterRef

from jobs.as_made import newest
from jobs.counts import Line
from jobs.models import Lot, Measure, Operation, Order, Task, Trip, Wheel
from jobs.models.operations import PartKind, Trade
from jobs.work import Work, load_work
from shop.pieces import pieces_with
from timing.models import Stretch, Tally
from timing.models.facts import Kind
from timing.standing import last_done, last_made

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class When(IntEnum):
    """When a piece may be worked: the order of the list."""

    NOW = 0
    SOON = 1
    LATER = 2


@dataclass(frozen=True, slots=True)
class Wanted:
    """One operation of a trade on one wheel, or on a lot's loose pieces, with units still to be made.

    `ready_units` may be made now. `since` is the moment from which it has waited; `trips` are those still away, the
    first sent first: while there are any it is listed, though nothing more of it is wanted. `steps_after` tells
    whether the trade has another operation on the same piece afterwards; `follows`, that it waits for other work of
    the trade, which is to hand: a hoop goes on once it is made and hot.
    """

    task: Task
    lot: Lot
    wheel: Wheel | None
    order: Order
    left: int
    ready_units: int
    when: When
    since: datetime | None
    trips: tuple[Trip, ...]
    steps_after: bool
    follows: bool
    measures: dict[str, Measure]

    @property
    def part(self) -> str:
        return self.task.operation.part

    @property
    def trip(self) -> Trip | None:
        """The one that is asked about first."""
        return self.trips[0] if self.trips else None


@dataclass(frozen=True)
class TradeList:
    """Everything wanted of a trade, the longest waiting first; `work` is what it was read from."""

    work: Work
    rows: list[Wanted]

    def then(self, row: Wanted) -> list[Wanted]:
        """What follows on a piece, once the row's own work is done; nothing does on one that was left out."""
        return [other for other in self._near(row) if other.follows and row.task.dropped_at is None]

    def stands_alone(self, row: Wanted) -> bool:
        """Whether a row is listed for itself, and not as what follows on another."""
        return not row.follows or not any(
            other.when != When.LATER and not other.follows and other.task.dropped_at is None
            for other in self._near(row)
        )

    @cached_property
    def _by_lot(self) -> dict[tuple[int, str], list[Wanted]]:
        return _grouped(self.rows, lambda row: (row.lot.pk, row.part))

    @cached_property
    def _by_piece(self) -> dict[tuple[int, str, int | None], list[Wanted]]:
        return _grouped(self.rows, lambda row: (row.lot.pk, row.part, row.wheel.pk if row.wheel else None))

    def _near(self, row: Wanted) -> list[Wanted]:
        """The rows of one piece with this: of the same wheel's, or of the lot's and one of its wheels'."""
        if row.wheel is None:
            return self._by_lot[row.lot.pk, row.part]
        place = (row.lot.pk, row.part)
        return [*self._by_piece.get((*place, None), ()), *self._by_piece[*place, row.wheel.pk]]

    @property
    def wanted(self) -> list[Wanted]:
        """What is ready, or nearly: each piece once."""
        return [row for row in self.rows if row.when != When.LATER and self.stands_alone(row)]

    @property
    def orders(self) -> int:
        return len({row.order.pk for row in self.wanted})

    @property
    def pieces(self) -> int:
        return sum(pieces_with(row.task, row.left) for row in self.wanted)

    @property
    def away(self) -> int:
        return sum(trip.pieces for row in self.rows for trip in row.trips)


def _grouped(rows: Iterable[V], key: Callable[[V], K]) -> dict[K, list[V]]:
    found: dict[K, list[V]] = defaultdict(list)
    for row in rows:
        found[key(row)].append(row)
    return found


def read_list(trade: str, *, now: datetime) -> TradeList:
    """The list of "smith" or "painter"; of "other", what of the bench's own work is away."""
    orders = list(Order.objects.at_work().order_by("number"))
    work = load_work(orders, now=now, last_done=last_done(orders))
    trips = _grouped(
        Trip.objects.filter(task__lot__order__in=[order.pk for order in orders], back_at=None),
        lambda trip: trip.task_id,
    )
    lots = {lot.pk: (lot, order) for order in orders for lot in work.lots(order, dropped=True)}
    wheels = {wheel.pk: wheel for lot, _ in lots.values() for wheel in work.wheels(lot, dropped=True)}

    def is_listed(task: Task) -> bool:
        """What is away must come back, though the work was done at the bench or left out meanwhile."""
        places = (lots[task.lot_id][0], wheels[task.wheel_id] if task.wheel_id else None)
        is_wanted = work.left(task) > 0 and not any(place and place.dropped_at for place in places)
        return _is_for(task, trade) and (task.pk in trips or is_wanted)

    tasks = [task for task in work.tasks(dropped=True) if is_listed(task)]
    since = _since(work, tasks)
    measures = _measures(tasks)
    near = _Nearness(work, trade)
    # In the order of the work, so that the last of a part stands.
    last_steps = {task.part_id: task.operation.position for task in tasks}
    rows = [
        Wanted(
            task=task,
            lot=lots[task.lot_id][0],
            wheel=wheels.get(task.wheel_id) if task.wheel_id else None,
            order=lots[task.lot_id][1],
            left=work.left(task),
            ready_units=work.ready(task).units,
            when=When.NOW if task.pk in trips else near.of(work.line(task)),
            since=since.get(task.pk),
            trips=tuple(trips.get(task.pk, ())),
            steps_after=_has_steps_after(task, last_steps),
            follows=task.pk not in trips and near.follows(work.line(task)),
            measures=measures.get(task.wheel_id or 0, {}),
        )
        for task in tasks
    ]
    return TradeList(work, sorted(rows, key=lambda row: (row.since is None, row.since or now, row.task.pk)))


def next_day(days: Sequence[int], today: date) -> date | None:
    """The next day of the week among `days` (0 for Monday), today included; None where none is set."""
    ahead = [(day - today.weekday()) % 7 for day in days]
    return today + timedelta(days=min(ahead)) if ahead else None


def done_today(trade: str, today: date) -> list[Stretch]:
    """What was recorded from the list today and not undone, the newest first; twenty at most."""
    undone = Stretch.objects.filter(cancels_token=OuterRef("token"))
    of_trade = Trade.BENCH if trade == "other" else trade
    # The few of a day are sifted after: asked for a trade too, SQLite reads all that its operations ever had.
    day = Stretch.objects.filter(
        ~Exists(undone), done_on=today, source=Stretch.Source.LIST, kind=Kind.WORK, cancels_token=None
    )
    trades = dict(Operation.objects.values_list("pk", "trade"))
    found = day.newest_first().values_list("pk", "operation_id")
    keys = [pk for pk, operation_id in found if trades.get(operation_id or 0) == of_trade][:20]
    joined = ("tallies__task__wheel", "tallies__task__lot__order", "hand__shop_hand")
    return list(
        Stretch.objects.filter(pk__in=keys).select_related("operation").prefetch_related(*joined).newest_first()
    )


class _Nearness:
    """How near a piece is: ready, ready once the bench ends what it may begin now, or further off.

    What waits for another operation of the same trade goes with that one: a hoop is bent, welded, heated and put
    on in one day.
    """

    def __init__(self, work: Work, trade: str) -> None:
        self._work, self._trade = work, trade
        self._known: dict[int, When] = {}

    def of(self, line: Line) -> When:
        if line.task_id not in self._known:
            # A ring of waits is refused where they are set; should one be there, it is far off.
            self._known[line.task_id] = When.LATER
            self._known[line.task_id] = self._ask(line)
        return self._known[line.task_id]

    def follows(self, line: Line) -> bool:
        """Whether it waits for work of its own trade, and is not far off."""
        readiness = self._work.counts.ready(line)
        own = any(self._work.operations[block.on_operation_id].trade == self._trade for block in readiness.blocked)
        return own and readiness.units == 0 and self.of(line) != When.LATER

    def _ask(self, line: Line) -> When:
        counts = self._work.counts
        readiness = counts.ready(line)
        if readiness.held:
            return When.LATER
        if readiness.units > 0:
            return When.NOW
        return max((self._after(line, block.on_operation_id) for block in readiness.blocked), default=When.LATER)

    def _after(self, line: Line, operation_id: int) -> When:
        counts = self._work.counts
        ahead = [other for other in counts.before(line, operation_id=operation_id) if counts.left(other) > 0]
        if not ahead:
            return When.SOON  # it only stands, for glue or paint to set
        if self._work.operations[operation_id].trade == self._trade:
            return max(self.of(other) for other in ahead)
        return When.SOON if all(counts.ready(other).units > 0 for other in ahead) else When.LATER


def _is_for(task: Task, trade: str) -> bool:
    if trade == "other":
        return task.operation.trade == Trade.BENCH and task.is_away
    return bool(task.operation.trade == trade)


def _has_steps_after(task: Task, last_steps: Mapping[int, int]) -> bool:
    """Whether the same trade has more to do on its part; `last_steps` are positions by part."""
    is_loose_band = task.operation.part == PartKind.BAND and task.wheel_id is None
    return is_loose_band or last_steps[task.part_id] > task.operation.position


def _since(work: Work, tasks: Sequence[Task]) -> dict[int, datetime]:
    """From when each task has waited: the last of the work before it that was done."""
    before = {task.pk: [line.task_id for line in work.counts.before(work.line(task))] for task in tasks}
    made = last_made(Tally.objects.filter(task__in={pk for row in before.values() for pk in row}))
    ends = {task_id: [made[pk] for pk in row if pk in made] for task_id, row in before.items()}
    return {task_id: max(row) for task_id, row in ends.items() if row}


def _measures(tasks: Iterable[Task]) -> dict[int, dict[str, Measure]]:
    by_wheel: dict[int, dict[str, Measure]] = defaultdict(dict)
    for (wheel_id, kind), row in newest({task.wheel_id for task in tasks if task.wheel_id}).items():
        by_wheel[wheel_id][kind] = row
    return by_wheel
