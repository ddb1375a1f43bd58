"""Alterations of an order: begun, and added to, row by row; priced, sent and accepted as any quotation is."""

import uuid
from datetime import datetime

from django.contrib.auth.models import User

from jobs.models import Lot, Order, Wheel
from jobs.orders import WheelRow, check_row, hold_order
from jobs.writing import writing
from shop.models import Quote, QuoteLot, Revision
from shop.quoting.actions import hold_quote, start_quote
from shop.quoting.altering import QuoteRefused, check_alterable, wheels_replaced


def add_to_alteration(
    order: Order, row: WheelRow, *, token: uuid.UUID, by: User, at: datetime, instead_of: Lot | None = None
) -> Quote:
    """Put wheels into the order's alteration that is being written, or begin one. Sent twice, they are in it once.

    `instead_of` are wheels that the order has: those at the row's places. Raises QuoteRefused where the order can't be
    altered any more, or the alteration changes those wheels already; OrderRefused where a make-up can't be built.
    """
    check_row(row)
    with writing():
        hold_order(order.pk)
        check_alterable(Order.objects.get(pk=order.pk))
        quote = draft_of(order) or _begin(order, token=token, by=by, at=at)
        hold_quote(quote.pk)
        draft = quote.revisions.drafts().get()
        if not _is_in(draft, row, instead_of):
            _add(draft, row, instead_of)
            Revision.objects.filter(pk=draft.pk).update(changed_at=at)
    return quote


def draft_of(order: Order) -> Quote | None:
    """The alteration of an order that is being written."""
    return Quote.objects.filter(alters=order, revisions__state=Revision.State.DRAFT).order_by("-number").first()


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


def _is_in(draft: Revision, row: WheelRow, instead_of: Lot | None) -> bool:
    pk = instead_of.pk if instead_of else None
    return any(
        (lot.makeup, lot.name, list(lot.places), lot.instead_of_id) == (row.makeup, row.name, list(row.places), pk)
        for lot in draft.lots.all()
    )


def _add(draft: Revision, row: WheelRow, instead_of: Lot | None) -> None:
    QuoteLot.from_makeup(
        row.makeup,
        revision=draft,
        name=row.name,
        places=list(row.places),
        work=row.work,
        spare_spokes=row.spare_spokes,
        spare_felloes=row.spare_felloes,
        library=row.library,
        instead_of=instead_of,
    ).save()
    changed = draft.lots.exclude(instead_of=None).count()
    if instead_of and len(wheels_replaced(draft)) != changed:
        raise QuoteRefused(
            f"The {instead_of.name} was changed meanwhile, or these wheels are in this alteration already."
        )


def wheels_to_change(lot: Lot) -> list[Wheel]:
    """The wheels of a lot that may get another make-up."""
    return list(Wheel.objects.filter(lot=lot, dropped_at=None).order_by("number"))
