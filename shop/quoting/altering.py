"""What an accepted alteration does to its order: wheels added, and wheels that get another make-up, all or none."""

from collections import defaultdict
from datetime import datetime

from jobs.changes import change_makeup
from jobs.models import Lot, Order, Wheel
from jobs.orders import OrderRefused, WheelRow, add_lot, hold_order
from shop.models import QuoteLot, Revision
from shop.quoting.taken_off import Instead, wheels_meant


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
    """The wheels of the order that lots of an alteration stand instead of; none of those that are there no more."""
    changed = [lot for lot in revision.lots.all() if lot.instead_of_id]
    live = _live_wheels([lot.instead_of_id for lot in changed if lot.instead_of_id])
    found = []
    for lot in changed:
        wheels = wheels_meant(live[lot.instead_of_id or 0], lot.places)
        if wheels and lot.instead_of:
            # Two rows may change some wheels each of one lot.
            live[lot.instead_of.pk] = [wheel for wheel in live[lot.instead_of.pk] if wheel not in wheels]
            found.append(Instead(lot.instead_of, tuple(wheels)))
    return found


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
                change_makeup(_wheels_of(lot, lot.instead_of), lot.makeup, name=lot.name, at=at)
    except OrderRefused as refused:
        raise QuoteRefused(str(refused)) from refused
    return order


def _wheels_of(lot: QuoteLot, old: Lot) -> list[Wheel]:
    wheels = wheels_meant(_live_wheels([old.pk])[old.pk], lot.places)
    if wheels is None:
        raise QuoteRefused(f"The {old.name} was changed meanwhile: price the alteration anew.")
    return wheels


def _live_wheels(lot_ids: list[int]) -> dict[int, list[Wheel]]:
    found: dict[int, list[Wheel]] = defaultdict(list)
    rows = Wheel.objects.filter(lot__in=lot_ids, dropped_at=None).select_related("lot").order_by("number")
    for wheel in rows:
        found[wheel.lot_id].append(wheel)
    return found
