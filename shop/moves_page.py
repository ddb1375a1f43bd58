"""The moves of an order's pieces, to be read and undone."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from jobs.models import Lot, Order
from jobs.words import in_words
from shop.asked import Asked
from shop.order_words import day_in_words
from timing.models import Move

MOST_SHOWN = 50


@dataclass(frozen=True, slots=True)
class MoveRow:
    token: UUID
    what: str
    note: str
    is_undone: bool


def moves_of(order: Order, asked: Asked) -> list[MoveRow]:
    """The latest moves from and to an order, one row for each wish; the operations behind it went along."""
    undone = Move.objects.filter(cancels_token=OuterRef("token"))
    # A move writes a row for each operation behind the pieces: the one furthest on speaks for all.
    further = Move.objects.filter(
        content_hash=OuterRef("content_hash"),
        received_at=OuterRef("received_at"),
        cancels_token=None,
        from_task__part=OuterRef("from_task__part"),
        from_task__operation__position__gt=OuterRef("from_task__operation__position"),
    )
    rows = (
        Move.objects.filter(Q(from_task__lot__order=order) | Q(to_task__lot__order=order), cancels_token=None)
        .filter(~Exists(further))
        .annotate(is_undone=Exists(undone))
        .select_related("from_task__operation", "from_task__lot__order", "to_task__lot__order", "hand__shop_hand")
        .order_by("-pk")[:MOST_SHOWN]
    )
    return [_row(move, asked) for move in rows]


def _row(move: Move, asked: Asked) -> MoveRow:
    name = in_words(move.from_task.operation.name, asked.words).lower()
    hand = getattr(move.hand, "shop_hand", None)
    return MoveRow(
        token=move.token,
        what=f"{move.pieces} × {name}, done: {_lot(move.from_task.lot)} to {_lot(move.to_task.lot)}",
        note=f"{day_in_words(move.done_on)}, {hand or move.hand}: {move.reason}",
        is_undone=move.is_undone,  # type: ignore[attr-defined]
    )


def _lot(lot: Lot) -> str:
    return f"{lot.name}, {lot.order.carriage} {lot.order.number}"
