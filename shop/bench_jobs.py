"""What is ready to go on with, over all orders at work, the most urgent first."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from jobs.models import Order, Part, Task, Wheel
from jobs.words import in_words
from jobs.work import Work, load_work
from shop.bench_page import place_of
from timing.standing import last_done

ORDERS_A_PAGE = 6


@dataclass(frozen=True, slots=True)
class Row:
    """One task as it is offered."""

    task: Task
    name: str
    place: str
    spot: str
    order: Order
    ready: int
    left: int
    why_not: list[str]


@dataclass(frozen=True, slots=True)
class JobList:
    """One page of orders: what is ready in the hand's trade, what is not yet, and what other trades could do."""

    orders: list[Order]
    ready: list[Row]
    not_yet: list[Row]
    other_trades: list[Row]
    has_more: bool = False

    @property
    def by_order(self) -> list[tuple[Order, list[Row], list[Row]]]:
        """Each order with its rows that are ready, and those that are not."""
        return [
            (
                order,
                [row for row in self.ready if row.order.pk == order.pk],
                [row for row in self.not_yet if row.order.pk == order.pk],
            )
            for order in self.orders
        ]


def orders_with_work(trade: str, find: str) -> QuerySet[Order]:
    """Orders at work with something left for a trade, the most urgent first; `find` is a number or words."""
    spoiled = Part.objects.filter(lot__order=OuterRef("pk"), tasks__spoiled__gt=0)
    unfinished = Task.objects.live().filter(
        lot__order=OuterRef("pk"), operation__trade=trade, wanted__gt=F("made") - F("lost")
    )
    orders = Order.objects.at_work().filter(Exists(unfinished) | Exists(spoiled))
    if find.isdecimal():
        orders = orders.filter(number=int(find[:9]))
    elif find:
        orders = orders.filter(Q(carriage__icontains=find) | Q(customer__name__icontains=find))
    return orders.select_related("customer").order_by(F("due_on").asc(nulls_last=True), "number")


def list_jobs(
    trade: str, *, find: str = "", page: int = 1, words: Mapping[str, str], zone: tzinfo, now: datetime
) -> JobList:
    """One page of jobs for a hand's trade, in a constant number of queries however many orders there are."""
    first = (page - 1) * ORDERS_A_PAGE
    found = list(orders_with_work(trade, find)[first : first + ORDERS_A_PAGE + 1])
    orders = found[:ORDERS_A_PAGE]
    work = load_work(orders, now=now, last_done=last_done(orders))
    rows = list(rows_of(work, orders, words=words, zone=zone))
    own = [row for row in rows if row.task.operation.trade == trade]
    return JobList(
        orders=orders,
        ready=[row for row in own if row.ready],
        not_yet=[row for row in own if not row.ready],
        other_trades=[row for row in rows if row.task.operation.trade != trade and row.ready],
        has_more=len(found) > ORDERS_A_PAGE,
    )


def rows_of(work: Work, orders: Iterable[Order], *, words: Mapping[str, str], zone: tzinfo) -> Iterator[Row]:
    """Every task with something left, order by order, in the order of the work."""
    for order in orders:
        for lot in work.lots(order):
            lot.order = order
            wheels: dict[int, Wheel] = {wheel.pk: wheel for wheel in work.wheels(lot)}
            for task in work.tasks(lot=lot):
                left = work.left(task)
                if not left or (task.wheel_id is not None and task.wheel_id not in wheels):
                    continue
                ready = work.ready(task).units
                why_not = [] if ready else work.waiting_for(task, words, zone)
                wheel = wheels[task.wheel_id] if task.wheel_id else None
                name = in_words(task.operation.name, words)
                spot = wheel.label if wheel else lot.name
                yield Row(task, name, place_of(lot, wheel), spot, order, ready, left, why_not)
