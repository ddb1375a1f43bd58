"""Customers whose orders and quotations are all over: until when their names must stand, and putting a number there.

What was made, quoted and charged stays under the number.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from itertools import count
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Exists, Max, OuterRef, Q, QuerySet, Subquery

from jobs.models import Customer, Order
from jobs.turns import take_turns
from jobs.writing import writing
from shop.audit import Kind, note_change
from shop.days import day_in_words
from shop.models import Issue, Outwork, Revision, Shop
from shop.name_places import Named, replace_where_people_wrote_it
from shop.pay.retention import Kept, Record, years_after
from shop.records_kept import Keeping

MOST = 60
BATCH = 500


class CustomerRefused(ValueError):
    """The name must stand; the message is one sentence for the person who asked."""


def number_of(customer: Customer) -> str:
    """What stands in the place of a customer's name: "Customer 12"; "Customer 12.2" where another is called that."""
    number = f"Customer {customer.pk}"
    others = Customer.objects.exclude(pk=customer.pk).filter(name__istartswith=number).values_list("name", flat=True)
    taken = {name.casefold() for name in others}
    tries = (f"{number}.{place}" if place > 1 else number for place in count(1))
    return next(one for one in tries if one.casefold() not in taken)


@dataclass(frozen=True, slots=True)
class Past:
    """A customer of whom nothing is open, the day of the last entry, and until when the name must stand.

    Of whom nothing was ever entered, neither: the name may go at once.
    """

    customer: Customer
    last_on: date | None = None
    kept: Kept | None = None

    def may_be_replaced(self, today: date) -> bool:
        return self.kept is None or today > self.kept.until

    @property
    def refusal(self) -> str:
        if self.kept is None:
            return ""
        return (
            f"The orders of {self.customer.name} must be kept with the name until {day_in_words(self.kept.until)} "
            f"({self.kept.source}): from {day_in_words(self.kept.free_from)} on it may be replaced."
        )


def past_customers(shop: Shop, *, today: date, search: str = "") -> tuple[list[Past], bool]:
    """Customers whose names may be replaced today, those of long ago first, and whether there are more than these.

    Two queries, however many there are.
    """
    keeping = Keeping.of(shop)
    # Nothing is kept for less than the shop's own years: what is newer need not be read.
    latest = years_after(today, -keeping.own_years)
    rows = _with_last_entries(today).filter(replaced_at=None, is_open=False)
    rows = rows.filter(Q(ended_on__lte=latest) | Q(ended_on=None), name__icontains=search).order_by("pk")
    found: list[Past] = []
    for customer in rows.iterator(chunk_size=BATCH):
        past = _past(customer, keeping, shop)
        if past.may_be_replaced(today):
            found.append(past)
            if len(found) > MOST:
                break
    return found[:MOST], len(found) > MOST


def past_of(customer: Customer, shop: Shop, *, today: date) -> Past | None:
    """The same of one customer; None where something of theirs is open."""
    row = _with_last_entries(today).filter(pk=customer.pk, is_open=False).first()
    return _past(row, Keeping.of(shop), shop) if row else None


def _with_last_entries(today: date) -> "QuerySet[Any]":
    """Customers with the last day or moment of each kind of entry, and whether anything of theirs is open: an order
    that is not paid yet is."""

    def newest(rows: "QuerySet[Any]", whose: str, column: str) -> Subquery:
        own = rows.filter(**{whose: OuterRef("pk")}).order_by()
        return Subquery(own.values(whose).annotate(newest=Max(column)).values("newest"))

    offers = Revision.objects.filter(customer=OuterRef("pk"))
    unpaid = Order.objects.exclude(state__in=(Order.State.PAID, Order.State.DROPPED)).filter(customer=OuterRef("pk"))
    holds = Q(state=Revision.State.DRAFT) | Q(state=Revision.State.SENT, last_on__gte=today)
    return Customer.objects.annotate(
        is_open=Exists(unpaid) | Exists(offers.filter(holds)),
        ended_on=newest(Order.objects.all(), "customer", "ended_on"),
        paid_on=newest(Order.objects.all(), "customer", "paid_on"),
        written_at=newest(Order.objects.all(), "customer", "created_at"),
        quoted_at=newest(Revision.objects.all(), "customer", "changed_at"),
        answered_at=newest(Revision.objects.all(), "customer", "answered_at"),
        outwork_at=newest(Outwork.objects.all(), "order__customer", "recorded_at"),
        issued_at=newest(Issue.objects.all(), "order__customer", "recorded_at"),
    )


def _past(row: Any, keeping: Keeping, shop: Shop) -> Past:
    """Of a row as `_with_last_entries` reads it."""
    moments = (row.written_at, row.quoted_at, row.answered_at, row.outwork_at, row.issued_at)
    days = [moment.astimezone(shop.zone).date() for moment in moments if moment]
    days += [day for day in (row.ended_on, row.paid_on) if day]
    return Past(row, max(days), keeping.until(Record.ORDERS, max(days))) if days else Past(row)


OPEN = "an order of theirs is not paid yet, or a quotation may still be taken"


def named_customer(customer: Customer, shop: Shop, *, today: date) -> Named:
    """The customer as they are looked for wherever people wrote of them."""
    return Named.of_customer(customer, number_of(customer), Keeping.of(shop), today)


def replace_customer(
    customer: Customer, *, texts: Collection[str], at: datetime, shop: Shop, by: User, seen: str | None = None
) -> str:
    """Put a number in the place of a customer's name and contact, and in the `texts` that are ticked of those where
    people wrote it (`shop.name_places`). Returns what stands there now.

    It is done whole or not at all, and twice is as once. Raises CustomerRefused while anything of theirs is open, and
    before the day on which it may be; WrittenMeanwhile where what was `seen` is not all there is.
    """
    with writing():
        # Nobody takes an order for them meanwhile.
        take_turns("order number")
        now = Customer.objects.select_for_update().get(pk=customer.pk)
        if now.replaced_at:
            return now.name
        number, today = number_of(now), at.astimezone(shop.zone).date()
        past = past_of(now, shop, today=today)
        if past is None:
            raise CustomerRefused(f"Something of {now.name} is open: {OPEN}.")
        if not past.may_be_replaced(today):
            raise CustomerRefused(past.refusal)
        replace_where_people_wrote_it(named_customer(now, shop, today=today), texts, seen=seen)
        Customer.objects.filter(pk=now.pk).update(name=number, contact="", replaced_at=at)
        term = f"; it had to stand until {day_in_words(past.kept.until)}" if past.kept else ""
        after = f"the name was replaced by this number{term}"
        note_change(Kind.PERSON, number, by=by, after=after, at=at)
    return number
