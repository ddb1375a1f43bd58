"""What is done with orders: take one, add wheels, change, hold, promise, drop. Each is one short write."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import Max

from jobs.layout import lay_out
from jobs.makeup import MakeUp, problems
from jobs.models import Customer, Hold, LibraryMakeUp, Lot, Operation, Order, Promise, Wheel
from jobs.models.operations import Work
from jobs.writing import writing


class OrderRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


@dataclass(frozen=True, slots=True)
class WheelRow:
    """One row of an order: wheels of one make-up, at their places."""

    makeup: MakeUp
    name: str
    places: Sequence[str]
    work: str = Work.NEW
    spare_spokes: int = 0
    spare_felloes: int = 0
    library: LibraryMakeUp | None = None


def take_order(
    *,
    token: uuid.UUID,
    customer: str,
    carriage: str,
    rows: Sequence[WheelRow],
    contact: str = "",
    state: str = Order.State.TAKEN,
    due_on: date | None = None,
    taken_on: date | None = None,
    note: str = "",
    by: AbstractBaseUser | None = None,
    number: int | None = None,
) -> Order:
    """Enter an order with its wheels, parts and tasks. The same token again gives the order of the first time.

    Raises OrderRefused where a make-up can't be built, with nothing saved.
    """
    for row in rows:
        check_row(row)
    with writing():
        before = Order.objects.filter(token=token).first()
        if before:
            return before
        who, _ = Customer.objects.get_or_create(name=customer, defaults={"contact": contact})
        order = Order.objects.create(
            token=token,
            number=number or next_number(),
            customer=who,
            carriage=carriage,
            state=state,
            due_on=due_on,
            taken_on=taken_on,
            note=note,
        )
        if due_on:
            Promise.objects.create(order=order, promised_on=due_on, recorded_by=by)  # type: ignore[misc]
        operations = list(Operation.objects.in_use())
        for row in rows:
            _add_lot(order, row, operations)
    return order


def next_number() -> int:
    """The number after the highest; call it inside the write that uses it."""
    highest: int | None = Order.objects.aggregate(highest=Max("number"))["highest"]
    return (highest or 0) + 1


def check_row(row: WheelRow) -> None:
    """Refuse a row that can't be made, in one sentence."""
    if not row.places:
        raise OrderRefused(f"{row.name}: say how many wheels, and where they go.")
    for problem in problems(row.makeup, new_work=row.work == Work.NEW):
        if problem.refuse:
            raise OrderRefused(f"{row.name}: {problem.sentence}")


def add_lot(order: Order, row: WheelRow) -> Lot:
    """Add wheels to an order, taken or not."""
    check_row(row)
    with writing():
        return _add_lot(order, row, list(Operation.objects.in_use()))


def _add_lot(order: Order, row: WheelRow, operations: Sequence[Operation]) -> Lot:
    lot = Lot.from_makeup(
        row.makeup,
        order=order,
        name=row.name,
        work=row.work,
        spare_spokes=row.spare_spokes,
        spare_felloes=row.spare_felloes,
        library=row.library,
    )
    lot.save()
    first = (Wheel.objects.filter(lot__order=order).aggregate(last=Max("number"))["last"] or 0) + 1
    wheels = [Wheel(lot=lot, place=place, number=first + i) for i, place in enumerate(row.places)]
    Wheel.objects.bulk_create(wheels)
    lay_out(lot, wheels, operations)
    return lot


def set_state(order: Order, state: str, *, on: date) -> None:
    """Move an order on in its life, or back."""
    with writing():
        order.state = state
        if state in (Order.State.TAKEN, Order.State.IN_HAND) and order.taken_on is None:
            order.taken_on = on
        order.ended_on = None if order.is_open else on
        order.save(update_fields=["state", "taken_on", "ended_on"])


def promise(
    order: Order,
    promised_on: date | None,
    *,
    reason: str,
    told_on: date | None,
    by: AbstractBaseUser | None,
) -> None:
    """Promise another day: why, and when the customer was told. The first promise stays readable."""
    with writing():
        Promise.objects.create(
            order=order,
            promised_on=promised_on,
            reason=reason,
            told_on=told_on,
            recorded_by=by,  # type: ignore[misc]
        )
        order.due_on = promised_on
        order.save(update_fields=["due_on"])


def place_hold(
    order: Order,
    *,
    kind: str,
    what: str,
    at: datetime,
    expected_on: date | None = None,
    lot: Lot | None = None,
    wheel: Wheel | None = None,
) -> Hold:
    """Say what an order, a lot or a wheel waits for besides work."""
    with writing():
        return Hold.objects.create(
            order=order,
            lot=lot or (wheel.lot if wheel else None),
            wheel=wheel,
            kind=kind,
            what=what,
            expected_on=expected_on,
            placed_at=at,
        )


def lift_hold(hold: Hold, *, at: datetime) -> None:
    """What was waited for is here. Lifting a hold twice changes nothing."""
    with writing():
        Hold.objects.filter(pk=hold.pk, lifted_at=None).update(lifted_at=at)
