"""Money laid out on the work: outwork and materials. Rows are added; what was wrong is taken back by a row that
names it and carries its amount negated, on the same day."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar
from uuid import UUID

from django.contrib.auth.models import User

from jobs.models import Lot, Order, Task, Trip, Wheel
from jobs.writing import writing
from shop.audit import Kind, a_line, note_change, the_shop, write_down
from shop.models import AuditLine, Issue, Outwork, Shop
from shop.money import format_pence

Row = TypeVar("Row", Outwork, Issue)

# What a form sent twice must agree in.
SAME = ("order", "lot", "wheel", "what", "amount_pence", "on")
SEEN_WITH_OTHER_CONTENT = "This was sent before with other content: it is kept as it was then."


class ChargeRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


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
    if row.cancels_id is not None:
        raise ChargeRefused("That row takes another back already: enter the amount anew instead.")
    kind = type(row)
    with writing():
        kind._default_manager.select_for_update().get(pk=row.pk)
        done = kind._default_manager.filter(cancels=row.pk).first()
        if done:
            return done
        contra = kind(
            order_id=row.order_id,
            lot_id=row.lot_id,
            wheel_id=row.wheel_id,
            what=reason,
            amount_pence=-row.amount_pence,
            on=row.on,
            recorded_at=at,
            recorded_by=by,
            token=token,
            cancels_id=row.pk,
            **_outwork_columns(row),
        )
        contra.save(force_insert=True)
        amount = format_pence(row.amount_pence, the_shop().currency)
        note_change(Kind.PRICE, about(row), by=by, before=amount, after=f"taken back: {reason}", at=at)
    return contra


def _add(kind: type[Row], charge: Charge, others: dict[str, Any]) -> Row:
    columns = charge.columns() | others
    wheel, lot = charge.wheel, columns["lot"]
    if (wheel and wheel.lot_id != lot.pk) or (lot and lot.order_id != charge.order.pk):
        raise ChargeRefused("That wheel is not of this order.")
    with writing():
        row, is_new = kind._default_manager.get_or_create(token=charge.token, defaults=columns)
        if is_new:
            write_down([line_of(row, the_shop())])
    if not is_new and any(getattr(row, name) != columns[name] for name in SAME):
        raise ChargeRefused(SEEN_WITH_OTHER_CONTENT)
    return row


def line_of(row: Outwork | Issue, shop: Shop) -> AuditLine:
    """Who entered a row of outwork or materials, and its price."""
    amount = format_pence(row.amount_pence, shop.currency)
    return a_line(Kind.PRICE, about(row), by=row.recorded_by, after=amount, at=row.recorded_at)


def about(row: Outwork | Issue) -> str:
    """What a row is, in words: "Order 12, Wagonette: outwork of Bram, iron tyres"."""
    whose = f" of {row.to_whom}" if isinstance(row, Outwork) and row.to_whom else ""
    kind = "outwork" if isinstance(row, Outwork) else "materials"
    return f"Order {row.order.number}, {row.order.carriage}: {kind}{whose}, {row.what}"


def _outwork_columns(row: Outwork | Issue) -> dict[str, Any]:
    if isinstance(row, Outwork):
        return {"trade": row.trade, "to_whom": row.to_whom, "task_id": row.task_id}
    return {}
