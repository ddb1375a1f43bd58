"""Alterations of an order: begun, and added to, row by row; priced, sent and accepted as any quotation is."""

import uuid
from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from django.contrib.auth.models import User

from jobs.models import Lot, Order, Wheel
from jobs.orders import WheelRow, check_row, hold_order
from jobs.writing import writing
from shop.models import Quote, QuoteLot, Revision
from shop.quoting.actions import hold_quote, quote_lot, start_quote
from shop.quoting.altering import QuoteRefused, changing_rows, check_alterable, live_wheels
from shop.quoting.drafts import change_draft, held_draft


def add_to_alteration(
    order: Order,
    row: WheelRow,
    *,
    token: uuid.UUID,
    by: User,
    at: datetime,
    instead_of: Lot | None = None,
    wheels: Sequence[Wheel] = (),
) -> Quote:
    """Put wheels into the order's alteration that is being written, or begin one.

    The same `token` again gives the alteration of the first time, whatever became of it. `instead_of` is a lot that the
    order has, whose `wheels` these replace. Raises QuoteRefused where the order can't be altered any more, or the
    alteration changes those wheels already; OrderRefused where a make-up can't be built.
    """
    check_row(row)
    with writing():
        hold_order(order.pk)
        before = Quote.objects.filter(alters=order, revisions__lots__token=token).first()
        if before:
            return before
        check_alterable(Order.objects.get(pk=order.pk))
        quote = draft_of(order) or _begin(order, token=token, by=by, at=at)
        hold_quote(quote.pk)
        draft = quote.revisions.drafts().first()
        if draft is None:
            raise QuoteRefused(f"It was put into quotation {quote.number} before, which was written out without it.")
        _add(draft, row, token, instead_of, wheels)
        change_draft(draft, at=at)
    return quote


def take_out(quote: Quote, row_id: int, *, at: datetime) -> bool:
    """Take a row out of the alteration that is being written; says whether it was there.

    Raises QuoteRefused where there is no draft.
    """
    with writing():
        draft = held_draft(quote)
        gone, _ = draft.lots.filter(pk=row_id).delete()
        if gone:
            share_spares(draft)
            change_draft(draft, at=at)
    return bool(gone)


def draft_of(order: Order) -> Quote | None:
    """The alteration of an order that is being written."""
    return Quote.objects.filter(alters=order, revisions__state=Revision.State.DRAFT).order_by("-number").first()


def share_spares(draft: Revision) -> None:
    """A lot's spares go with the last of its wheels, as they do when it is done: see `jobs.changes.change_makeup`."""
    rows = changing_rows(draft)
    live = live_wheels([row.instead_of_id for row in rows if row.instead_of_id])
    leaving = {pk for row in rows for pk in row.wheel_ids}
    last = {row.instead_of_id: row.pk for row in rows}
    for row in rows:
        old = row.instead_of
        if old is None:
            continue
        has_them = last[old.pk] == row.pk and {wheel.pk for wheel in live[old.pk]} <= leaving
        row.spare_spokes = old.spare_spokes if has_them else 0
        row.spare_felloes = old.spare_felloes if has_them else 0
        row.save(update_fields=["spare_spokes", "spare_felloes"])


def _begin(order: Order, *, token: uuid.UUID, by: User, at: datetime) -> Quote:
    return start_quote(
        token=token,
        customer=order.customer.name,
        carriage=order.carriage,
        rows=[],
        by=by,
        at=at,
        alters=order,
    )


def _add(draft: Revision, row: WheelRow, token: uuid.UUID, instead_of: Lot | None, wheels: Sequence[Wheel]) -> None:
    wheel_ids = [wheel.pk for wheel in wheels]
    added = quote_lot(draft, row, instead_of=instead_of, wheel_ids=wheel_ids, token=token)
    if instead_of:
        _check_free(draft, added, instead_of)
    added.save()
    share_spares(draft)


def _check_free(draft: Revision, row: QuoteLot, instead_of: Lot) -> None:
    live = Counter(wheel.pk for wheel in live_wheels([instead_of.pk])[instead_of.pk])
    live.subtract(pk for other in changing_rows(draft) for pk in other.wheel_ids)
    if not row.wheel_ids or any(live[pk] != 1 for pk in row.wheel_ids):
        raise QuoteRefused(
            f"The {instead_of.name} was changed meanwhile, or these wheels are in this alteration already."
        )


def wheels_to_change(lot: Lot) -> list[Wheel]:
    """The wheels of a lot that may get another make-up."""
    return list(Wheel.objects.filter(lot=lot, dropped_at=None).order_by("number"))
