"""What an accepted alteration does to its order: wheels added, and wheels that get another make-up, all or none."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime

from jobs.changes import change_makeup
from jobs.models import Lot, Order, Wheel
from jobs.orders import OrderRefused, WheelRow, add_lot, hold_order
from shop.models import QuoteLot, Revision
from shop.quoting.taken_off import Instead


class QuoteRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


def wheel_row(lot: QuoteLot) -> WheelRow:
    """These wheels as an order takes them."""
    return WheelRow(
        makeup=lot.makeup,
        name=lot.name,
        places=lot.places,
        work=lot.work,
        spare_spokes=lot.spare_spokes,
        spare_felloes=lot.spare_felloes,
        library=lot.library,
    )


def wheels_replaced(revision: Revision) -> list[Instead]:
    """The wheels of the order that rows of an alteration stand instead of, by their lot: two rows may change some each.

    None of those that are there no more.
    """
    rows = changing_rows(revision)
    live = live_wheels([row.instead_of_id for row in rows if row.instead_of_id])
    meant: dict[Lot, list[Wheel]] = defaultdict(list)
    for row in rows:
        if row.instead_of:
            meant[row.instead_of] += _meant(row, live) or []
    return [Instead(lot, tuple(wheels)) for lot, wheels in meant.items() if wheels]


def rows_gone(revision: Revision) -> list[str]:
    """Sentences on rows of an alteration whose wheels are there no more to be replaced."""
    rows = changing_rows(revision)
    live = live_wheels([row.instead_of_id for row in rows if row.instead_of_id])
    return [
        f"The {row.instead_of.name} was changed meanwhile: take “{row.name}” out, and put in what is meant now."
        for row in rows
        if row.instead_of and _meant(row, live) is None
    ]


def changing_rows(revision: Revision) -> list[QuoteLot]:
    """The rows of an alteration that give wheels another make-up."""
    return [row for row in revision.lots.select_related("instead_of") if row.instead_of_id]


def _meant(row: QuoteLot, live: Mapping[int, Sequence[Wheel]]) -> list[Wheel] | None:
    """The wheels that a row means, None where one of them is there no more."""
    found = [wheel for wheel in live[row.instead_of_id or 0] if wheel.pk in row.wheel_ids]
    return found if found and len(found) == len(row.places) else None


def check_alterable(order: Order) -> None:
    """QuoteRefused for an order whose wheels are made, fetched or dropped."""
    if not order.is_open:
        raise QuoteRefused(f"Order {order.number} is {order.get_state_display()}: it can’t be altered any more.")


def alter(order: Order, revision: Revision, *, at: datetime) -> Order:
    """Do to the order what the revision offers. Call it inside the write; QuoteRefused leaves all as it was."""
    hold_order(order.pk)
    order = Order.objects.get(pk=order.pk)
    check_alterable(order)
    try:
        for lot in revision.lots.all():
            if lot.instead_of is None:
                add_lot(order, wheel_row(lot))
            else:
                wheels = _meant(lot, live_wheels([lot.instead_of.pk]))
                if wheels is None:
                    raise QuoteRefused(f"The {lot.instead_of.name} was changed meanwhile: price the alteration anew.")
                lot.made = change_makeup(wheels, lot.makeup, name=lot.name, at=at)
                lot.save(update_fields=["made"])
    except OrderRefused as refused:
        raise QuoteRefused(str(refused)) from refused
    return order


def live_wheels(lot_ids: list[int]) -> dict[int, list[Wheel]]:
    """Wheels that were not dropped or replaced, by the id of their lot, in their order."""
    found: dict[int, list[Wheel]] = defaultdict(list)
    rows = Wheel.objects.filter(lot__in=lot_ids, dropped_at=None).select_related("lot").order_by("number")
    for wheel in rows:
        found[wheel.lot_id].append(wheel)
    return found
