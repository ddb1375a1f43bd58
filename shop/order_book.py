"""The order book: open orders, most urgent first, and closed ones by number; both paged by key."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.utils.safestring import SafeString

from jobs.durations import hours_and_minutes
from jobs.models import Lot, Order, Trip
from jobs.work import Work, load_work
from shop.asked import Asked
from shop.drawings import book_wheels
from shop.order_page import days_late
from shop.order_words import day_in_words, late_in_words, share_in_words
from shop.waiting import Waiting, awaits_customer, trips_away, waits_for
from timing.standing import last_done

A_PAGE = 40
MOST_NAMED = 2


@dataclass(frozen=True, slots=True)
class BookRow:
    """One open order as its row shows it. `is_unknown`: what is to be done hangs on the customer's word."""

    order: Order
    wheels: list[SafeString]
    more_wheels: int
    due: str
    late: str
    left: str
    share: str
    is_unknown: bool
    waits_for: str


@dataclass(frozen=True, slots=True)
class ClosedRow:
    order: Order
    wheels: str
    ended: str


@dataclass(frozen=True, slots=True)
class ClosedPage:
    """Some closed orders, newest number first; the keys of the pages beside it are 0 where there is none."""

    rows: list[ClosedRow]
    older_than: int
    newer_than: int


def find(orders: QuerySet[Order], text: str) -> QuerySet[Order]:
    """Orders by number, customer or carriage; each word must be found somewhere."""
    for word in text.split():
        asked = Q(carriage__icontains=word) | Q(customer__name__icontains=word)
        if word.isdecimal() and len(word) <= 9:
            asked |= Q(number=int(word))
        orders = orders.filter(asked)
    return orders


def open_orders(text: str, *, after: str = "") -> tuple[list[Order], str]:
    """A page of open orders, those promised soonest first, and the key of the next page ("" for none).

    A key is the day and the number of the last order shown: "2026-03-20.212", or ".212" among those without
    a day, who come last.
    """
    orders = find(Order.objects.open().select_related("customer"), text)
    day, _, number = after.partition(".")
    if number.isdecimal() and len(number) <= 9:
        last = int(number)
        undated = Q(due_on=None, number__gt=last)
        try:
            due_on = date.fromisoformat(day) if day else None
        except ValueError:
            due_on = None
        later = Q(due_on__gt=due_on) | Q(due_on=due_on, number__gt=last) | Q(due_on=None) if due_on else undated
        orders = orders.filter(later)
    dated = list(orders.exclude(due_on=None).order_by("due_on", "number")[: A_PAGE + 1])
    rows = dated
    if len(dated) <= A_PAGE:
        rows = dated + list(orders.filter(due_on=None).order_by("number")[: A_PAGE + 1 - len(dated)])
    shown = rows[:A_PAGE]
    if len(rows) <= A_PAGE:
        return shown, ""
    key = f"{shown[-1].due_on.isoformat() if shown[-1].due_on else ''}.{shown[-1].number}"
    return shown, key


def book_rows(orders: Sequence[Order], asked: Asked) -> list[BookRow]:
    """The rows of open orders, in a constant number of queries."""
    work = load_work(orders, now=asked.now, last_done=last_done(orders))
    away = trips_away(orders)
    return [_row(order, work, away[order.pk], asked) for order in orders]


def _row(order: Order, work: Work, away: Sequence[Trip], asked: Asked) -> BookRow:
    wheels, more = book_wheels(work, order, asked.words)
    content = work.content(order)
    is_made = order.state == Order.State.READY or not content.left_seconds
    is_unknown = not content.left_seconds and awaits_customer(order, work)
    return BookRow(
        order=order,
        wheels=wheels,
        more_wheels=more,
        due=day_in_words(order.due_on, today=asked.today) if order.due_on else "",
        late=late_in_words(days_late(order, asked.today)),
        left="" if is_made else hours_and_minutes(content.left_seconds),
        share="" if is_made else share_in_words(content),
        is_unknown=is_unknown,
        waits_for=_named(waits_for(order, work, away, asked)),
    )


def _named(waiting: Sequence[Waiting]) -> str:
    """What stands in the way, in a few words."""
    said = [one.what for one in waiting]
    if len(said) > MOST_NAMED:
        said = [*said[:MOST_NAMED], f"{len(said) - MOST_NAMED} things more"]
    return "; ".join(said)


def closed_orders(text: str, *, before: int = 0, after: int = 0) -> ClosedPage:
    """A page of closed orders: those numbered under `before`, or the next ones over `after`."""
    orders = find(Order.objects.closed().select_related("customer"), text)
    if after:
        page = list(orders.filter(number__gt=after).order_by("number")[: A_PAGE + 1])
        shown = list(reversed(page[:A_PAGE]))
        older, newer = (shown[-1].number if shown else 0), (shown[0].number if len(page) > A_PAGE else 0)
    else:
        if before:
            orders = orders.filter(number__lt=before)
        page = list(orders.order_by("-number")[: A_PAGE + 1])
        shown = page[:A_PAGE]
        older = shown[-1].number if len(page) > A_PAGE else 0
        newer = shown[0].number if before and shown else 0
    names: dict[int, list[str]] = defaultdict(list)
    for order_id, name in Lot.objects.filter(order__in=[order.pk for order in shown]).values_list("order_id", "name"):
        names[order_id].append(name)
    return ClosedPage([_closed_row(order, names[order.pk]) for order in shown], older, newer)


def _closed_row(order: Order, names: Sequence[str]) -> ClosedRow:
    wheels = ", ".join(dict.fromkeys(names))
    ended = f"{order.ended_on.day} {order.ended_on:%B %Y}" if order.ended_on else ""
    return ClosedRow(order, wheels[:1].upper() + wheels[1:], ended)
