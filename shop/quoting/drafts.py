"""Changing a draft: its wheels, its price and terms, figures of one's own. Call these inside the write."""

import hashlib
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from jobs.makeup import MakeUp
from jobs.models import Lot, Order, Wheel
from jobs.orders import WheelRow
from shop.models import Quote, Revision
from shop.quoting.actions import check_not_accepted, hold_quote
from shop.quoting.altering import QuoteRefused, wheel_row
from shop.quoting.reckoning import Reckoned

NO_DRAFT = "It was written out meanwhile: revise it to change it."


class ChangedMeanwhile(QuoteRefused):
    """Others put something else in place of what the person saw."""


def held_draft(quote: Quote) -> Revision:
    """The draft as it is now, held until the write ends. QuoteRefused where there is none, or one was accepted."""
    hold_quote(quote.pk)
    check_not_accepted(quote)
    draft = quote.revisions.drafts().first()
    if draft is None:
        raise QuoteRefused(NO_DRAFT)
    return draft


def change_draft(draft: Revision, *, at: datetime, **columns: Any) -> None:
    """Write columns of a draft; without any, note that its rows were changed."""
    for name, value in columns.items():
        setattr(draft, name, value)
    draft.changed_at = at
    draft.save(update_fields=[*columns, "changed_at"])


def mark_of(draft: Revision, price: int | None, reckoned: Reckoned) -> str:
    """Names what a person sees before a draft is sent: another price or term makes it another."""
    told = (draft.token, draft.changed_at.isoformat(), price, reckoned.on, reckoned.missing)
    return _digest(told)


def wheels_mark(rows: Iterable[WheelRow]) -> str:
    """Names the wheels of a draft, so that nobody puts others in their place unseen."""
    return _digest(
        [(row.makeup, row.name, list(row.places), str(row.work), row.spare_spokes, row.spare_felloes) for row in rows]
    )


def items_mark(revision: Revision) -> str:
    """The same of what stands beside the wheels."""
    return _digest([(i.kind, i.what, i.amount_pence, i.trade, i.per) for i in revision.items.all()])


def check_seen(saw: str, mark: str, what: str) -> None:
    """ChangedMeanwhile where what is there is not what the person saw. Call it inside the write."""
    if saw != mark:
        raise ChangedMeanwhile(
            f"{what} were changed by another while you had this open. Send it again to put these in their place."
        )


def rows_of(revision: Revision) -> list[WheelRow]:
    """The wheels of a revision, as an order would take them."""
    return [wheel_row(lot) for lot in revision.lots.select_related("library")]


def rows_like(order: Order) -> list[WheelRow]:
    """The wheels of an order as it is now, to be quoted anew: live lots, their live wheels, their spares."""
    places: dict[int, list[str]] = {}
    for lot_id, place in Wheel.objects.filter(lot__order=order, dropped_at=None).values_list("lot_id", "place"):
        places.setdefault(lot_id, []).append(place)
    lots = order.lots.filter(dropped_at=None).select_related("library")
    return [_like(lot, places[lot.pk]) for lot in lots if lot.pk in places]


def _like(lot: Lot, places: Sequence[str]) -> WheelRow:
    return WheelRow(
        makeup=lot.makeup,
        name=lot.name,
        places=places,
        work=lot.work,
        spare_spokes=lot.spare_spokes,
        spare_felloes=lot.spare_felloes,
        library=lot.library,
    )


def is_of_library(row: WheelRow) -> bool:
    """Whether a row has the make-up of the library as it stands there now."""
    known: MakeUp | None = row.library.makeup if row.library and row.library.retired_at is None else None
    return known == row.makeup


def _digest(told: object) -> str:
    return hashlib.sha256(repr(told).encode()).hexdigest()[:16]
