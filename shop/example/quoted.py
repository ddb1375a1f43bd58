"""Quotations that some of the example's closed orders came from, reckoned as on a day before they were taken.

Usual times are those of book times alone: that is what the shop had when it began.
"""

import uuid
from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User

from jobs.models import Lot, Order
from jobs.models.operations import Work
from jobs.orders import WheelRow
from shop.example.taking import TOKENS, OrderWork
from shop.models import Quote, Revision, Shop
from shop.quoting.actions import send, start_quote, wanted_of
from shop.quoting.altering import QuoteRefused
from shop.quoting.reckoning import Reckoner

HOW_MANY = 7
DAYS_BEFORE = 9
TERMS = "The deposit with the order, the rest when the wheels are fetched."
EXCLUDED = "Axles, and carriage of the wheels to and from the shop."


def enter_quotations(works: Sequence[OrderWork], *, shop: Shop, by: User, zone: ZoneInfo) -> list[Quote]:
    """Of twice as many of the latest closed orders of new wheels, the first whose prices were all kept on their day."""
    ended = [
        work.order
        for work in works
        if work.plan.is_closed and work.order.state in (Order.State.PAID, Order.State.FETCHED)
    ]
    new = [order for order in ended if not order.lots.exclude(work=Work.NEW).exists()]
    entered: list[Quote] = []
    # In the order of their days, so that the quotations are numbered as they came.
    for order in sorted(new, key=lambda order: order.number)[-HOW_MANY * 2 :]:
        if len(entered) < HOW_MANY and order.taken_on:
            quote = _enter(order, order.taken_on, shop=shop, by=by, zone=zone)
            entered += [quote] if quote else []
    return entered


def _enter(order: Order, taken_on: date, *, shop: Shop, by: User, zone: ZoneInfo) -> Quote | None:
    on = taken_on - timedelta(days=DAYS_BEFORE)
    at = datetime.combine(on, time(16), tzinfo=zone)
    quote = start_quote(
        token=uuid.uuid5(TOKENS, f"quotation of order {order.number}"),
        customer=order.customer.name,
        carriage=order.carriage,
        rows=[_row(lot) for lot in order.lots.filter(dropped_at=None)],
        by=by,
        at=at,
    )
    draft = quote.revisions.get()
    told = {"price_by": "margin", "price_figure": 2000, "tax_bp": 2000, "deposit_bp": 3000, "weeks": 6}
    Revision.objects.filter(pk=draft.pk).update(**told, terms=TERMS, excluded=EXCLUDED)
    draft.refresh_from_db()
    reckoned = Reckoner(shop, on=on, words=shop.words, unit="mm").reckon(wanted_of(draft))
    try:
        out = send(quote, reckoned, seen=draft.token, by=by, at=at, on=on)
    except QuoteRefused:
        # A price is missing on that day: there was no such quotation.
        quote.delete()
        return None
    # The order is there already, with its work: it is what the acceptance made.
    answered = datetime.combine(taken_on, time(11), tzinfo=zone)
    state = Revision.State.ACCEPTED
    Revision.objects.filter(pk=out.pk).update(state=state, answered_at=answered, answered_by=by, changed_at=answered)
    Quote.objects.filter(pk=quote.pk).update(order=order)
    return quote


def _row(lot: Lot) -> WheelRow:
    places = list(lot.wheels.filter(dropped_at=None).order_by("number").values_list("place", flat=True))
    return WheelRow(lot.makeup, lot.name, places, lot.work, lot.spare_spokes, lot.spare_felloes)
