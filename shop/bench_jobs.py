"""What is ready to go on with, over all orders at work, the most urgent first."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.urls import reverse

from jobs.models import Lot, Order, Part, Task, Wheel
from jobs.words import in_words
from jobs.work import Work, load_work
from shop.bench_page import place_of
from shop.many_wheels import More, PageLink, Wished, page_of, spell_out
from timing.standing import last_done

ORDERS_A_PAGE = 6


@dataclass(frozen=True, slots=True)
class Offer:
    """One task with something left, before it is put into words."""

    task: Task
    lot: Lot
    wheel: Wheel | None
    order: Order
    ready: int
    left: int


@dataclass(frozen=True, slots=True)
class Row:
    """One task as it is offered; `more` wheels of its lot want the same and are not listed."""

    task: Task
    name: str
    place: str
    spot: str
    order: Order
    ready: int
    left: int
    why_not: list[str]
    more: More | None = None


@dataclass(frozen=True, slots=True)
class OrderJobs:
    """What of one order is ready in the hand's trade, and what is not yet: how much, and what of it is listed."""

    order: Order
    ready: list[Row]
    not_yet: list[Row]
    waiting: int


@dataclass(frozen=True, slots=True)
class JobList:
    """One page of orders, and what other trades could do: how much, and what of it is listed."""

    work: Work
    orders: list[OrderJobs]
    other_trades: list[Row]
    others: int
    has_more: bool = False


@dataclass(frozen=True, slots=True)
class WheelChoice:
    """The wheels of a lot that want one operation, by number: those that are ready, or those that are not yet."""

    rows: list[Row]
    pages: tuple[PageLink, ...]
    here: int
    elsewhere: int
    elsewhere_url: str


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
    offered = list(offers(work, orders))
    own = [offer for offer in offered if offer.task.operation.trade == trade]
    others = [offer for offer in offered if offer.task.operation.trade != trade and offer.ready]
    say = _Sayer(work, words, zone)
    return JobList(
        work=work,
        orders=[_order_jobs(order, [offer for offer in own if offer.order.pk == order.pk], say) for order in orders],
        other_trades=say.listed(others),
        others=len(others),
        has_more=len(found) > ORDERS_A_PAGE,
    )


def choose_wheel(
    order: Order, wished: Wished, *, waits: bool, words: Mapping[str, str], zone: tzinfo, now: datetime
) -> WheelChoice:
    """A page of the wheels that want the operation that is wished for; with `waits`, of those not ready yet."""
    work = load_work([order], now=now, last_done=last_done([order]))
    place = (wished.lot_id, wished.operation_id)
    asked = [one for one in offers(work, [order]) if one.wheel and (one.lot.pk, one.task.operation_id) == place]
    here = sorted((one for one in asked if bool(one.ready) != waits), key=_number)
    shown, pages = page_of(here, wished, number=_number, waits=int(waits))
    say = _Sayer(work, words, zone)
    return WheelChoice(
        rows=[say.row(offer) for offer in shown],
        pages=pages if len(pages) > 1 else (),
        here=len(here),
        elsewhere=len(asked) - len(here),
        elsewhere_url=Wished(*place).url(waits=int(not waits)),
    )


def _order_jobs(order: Order, own: list[Offer], say: "_Sayer") -> OrderJobs:
    waiting = [offer for offer in own if not offer.ready]
    return OrderJobs(
        order=order,
        ready=say.listed([offer for offer in own if offer.ready]),
        not_yet=say.listed(waiting, waits=1),
        waiting=len(waiting),
    )


def offers(work: Work, orders: Iterable[Order]) -> Iterator[Offer]:
    """Every task with something left, order by order, in the order of the work."""
    for order in orders:
        for lot in work.lots(order):
            lot.order = order
            wheels: dict[int, Wheel] = {wheel.pk: wheel for wheel in work.wheels(lot)}
            for task in work.tasks(lot=lot):
                left = work.left(task)
                if not left or (task.wheel_id is not None and task.wheel_id not in wheels):
                    continue
                wheel = wheels[task.wheel_id] if task.wheel_id else None
                yield Offer(task, lot, wheel, order, work.ready(task).units, left)


def row_of(offer: Offer, work: Work, *, words: Mapping[str, str], zone: tzinfo) -> Row:
    """An offer in words."""
    return Row(
        task=offer.task,
        name=in_words(offer.task.operation.name, words),
        place=place_of(offer.lot, offer.wheel),
        spot=offer.wheel.label if offer.wheel else offer.lot.name,
        order=offer.order,
        ready=offer.ready,
        left=offer.left,
        why_not=[] if offer.ready else work.waiting_for(offer.task, words, zone),
    )


class _Sayer:
    """Puts offers into words; of a large lot only some, so that the rest costs nothing."""

    def __init__(self, work: Work, words: Mapping[str, str], zone: tzinfo) -> None:
        self._work, self._words, self._zone = work, words, zone

    def row(self, offer: Offer) -> Row:
        return row_of(offer, self._work, words=self._words, zone=self._zone)

    def listed(self, offered: list[Offer], *, waits: int = 0) -> list[Row]:
        """One by one, and after the last of each operation how many more there are."""
        kept, more = spell_out(offered, lot=lambda offer: offer.lot.pk, kind=lambda offer: offer.task.operation_id)
        rows = [self.row(offer) for offer in kept]
        for place, count in more.items():
            wished = Wished(kept[place].lot.pk, kept[place].task.operation_id)
            url = f"{reverse('shop:bench-jobs')}{wished.url(waits=waits)}"
            rows[place] = replace(rows[place], more=More(count, url))
        return rows


def _number(offer: Offer) -> int:
    return offer.wheel.number if offer.wheel else 0
