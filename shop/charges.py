"""Money laid out on the work: outwork and materials. Rows are added; what was wrong is taken back by a row that
names it and carries its amount negated, on the same day."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.contrib.auth.models import User

from jobs.models import Lot, Order, Task, Trip, Wheel
from jobs.writing import writing
from shop.amounts import ChargeRefused, enter_once, take_back_once
from shop.audit import Kind, a_line, the_shop
from shop.models import AuditLine, Issue, Outwork, Shop
from shop.money import format_pence
from shop.stores.amounts import amount_told

Row = TypeVar("Row", Outwork, Issue)

# What a form sent twice must agree in.
SAME = ("order", "lot", "wheel", "what", "amount_pence", "on")


@dataclass(frozen=True, slots=True)
class Charge:
    """What was paid for, on what, and the day. `token` is minted with the form, so that it is entered once."""

    token: UUID
    order: Order
    what: str
    amount_pence: int
    on: date
    by: User
    at: datetime
    lot: Lot | None = None
    wheel: Wheel | None = None

    def columns(self) -> dict[str, Any]:
        """Its columns, without the token."""
        return {
            "order": self.order,
            "lot": self.lot or (self.wheel.lot if self.wheel else None),
            "wheel": self.wheel,
            "what": self.what,
            "amount_pence": self.amount_pence,
            "on": self.on,
            "recorded_at": self.at,
            "recorded_by": self.by,
        }


def add_outwork(
    charge: Charge, *, trade: str, to_whom: str, task: Task | None = None, trip: Trip | None = None
) -> Outwork:
    """Enter work done outside, with its price. The same form sent twice makes one row. Raises ChargeRefused."""
    return _add(Outwork, charge, {"trade": trade, "to_whom": to_whom, "task": task, "trip": trip})


def add_issue(charge: Charge) -> Issue:
    """Enter material bought for the work or issued to it. The same form sent twice makes one row.

    Raises ChargeRefused.
    """
    return _add(Issue, charge, {})


def take_back(row: Row, *, token: UUID, reason: str, by: User, at: datetime) -> Row:
    """Cancel a row by one with its amount negated; each is taken back once at most. Raises ChargeRefused."""
    where = {"order_id": row.order_id, "lot_id": row.lot_id, "wheel_id": row.wheel_id}
    keeps, told_as, amount = where | _other_columns(row, at), (Kind.PRICE, about(row)), _amount_of(row, the_shop())
    with writing():
        type(row)._default_manager.select_for_update().get(pk=row.pk)
        _check_nothing_came_back(row)
        return take_back_once(
            row, token=token, reason=reason, by=by, at=at, keeps=keeps, told_as=told_as, amount=amount
        )


def _add(kind: type[Row], charge: Charge, others: dict[str, Any]) -> Row:
    columns = charge.columns() | others
    check_place(charge.order, columns["lot"], charge.wheel)
    return enter_once(kind, charge.token, columns, same=SAME, line=lambda row: line_of(row, the_shop()))


def check_place(order: Order, lot: Lot | None, wheel: Wheel | None) -> None:
    """ChargeRefused where a lot or a wheel is another order's."""
    if (wheel and (lot is None or wheel.lot_id != lot.pk)) or (lot and lot.order_id != order.pk):
        raise ChargeRefused("That wheel is not of this order.")


def line_of(row: Outwork | Issue, shop: Shop) -> AuditLine:
    """Who entered a row of outwork or materials, and its price."""
    return a_line(Kind.PRICE, about(row), by=row.recorded_by, after=_amount_of(row, shop), at=row.recorded_at)


def about(row: Outwork | Issue) -> str:
    """What a row is, in words: "Order 12, Wagonette: outwork of Bram, iron tyres"."""
    whose = f" of {row.to_whom}" if isinstance(row, Outwork) and row.to_whom else ""
    kind = "outwork" if isinstance(row, Outwork) else "materials"
    return f"Order {row.order.number}, {row.order.carriage}: {kind}{whose}, {row.what}"


def _amount_of(row: Outwork | Issue, shop: Shop) -> str:
    """Its price; what is from the rack has none of its own, and is told by how much it is."""
    if isinstance(row, Issue) and row.material and row.amount_millionths is not None:
        return amount_told(row.material, row.amount_millionths)
    return format_pence(row.amount_pence, shop.currency)


def _check_nothing_came_back(row: Outwork | Issue) -> None:
    """ChargeRefused for an issue of which some is back in the rack: more would have come back than went."""
    if isinstance(row, Issue) and Issue.objects.filter(returns=row, cancels=None, cancelled_by=None).exists():
        raise ChargeRefused("Some of it came back to the rack: take that row back first.")


def _other_columns(row: Outwork | Issue, at: datetime) -> dict[str, Any]:
    if isinstance(row, Outwork):
        return {"trade": row.trade, "to_whom": row.to_whom, "task_id": row.task_id}
    if row.amount_millionths is None:
        return {}
    return {
        "material_id": row.material_id,
        "amount_millionths": -row.amount_millionths,
        "pieces": None if row.pieces is None else -row.pieces,
        "returns_id": row.returns_id,
        "written_on": at.astimezone(the_shop().zone).date(),
    }
