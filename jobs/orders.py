"""What is done with orders: take one, add wheels, change, hold, promise, drop. Each is one short write."""

import unicodedata
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db.models import F, Max, QuerySet, Value
from django.db.models.functions import Greatest

from jobs.layout import lay_out
from jobs.makeup import MakeUp, problems
from jobs.models import Customer, Hold, LibraryMakeUp, Lot, Operation, Order, Promise, Task, Wheel
from jobs.models.operations import Work
from jobs.turns import take_turns
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
        # Two at once would be given the same number, or be one form sent twice.
        take_turns("order number")
        before = Order.objects.filter(token=token).first()
        if before:
            return before
        who = customer_named(customer, contact=contact)
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


def hold_order(order_id: int) -> None:
    """Let changes to one order wait for each other; call it first inside the write."""
    list(Order.objects.filter(pk=order_id).select_for_update().values_list("pk", flat=True))


def customer_named(name: str, *, contact: str = "", before: Customer | None = None) -> Customer:
    """The customer of this name, in capitals or not, else a new one. A contact fills in one that is missing.

    `before` is whose it was till now, and stays theirs where the name is the same. Call it inside the write. Raises
    OrderRefused for a number that stands in the place of a name: nobody knows who that was.
    """
    if before is not None and _folded(before.name) == _folded(name):
        return before
    # Held, so that nobody's name goes while something is written down for them; names before numbers.
    rows = Customer.objects.select_for_update().order_by(F("replaced_at").asc(nulls_first=True), "pk")
    who = rows.filter(name__iexact=name).first() or _customer_folded(rows, name)
    if who and who.replaced_at and _folded(who.name) == _folded(name):
        raise OrderRefused(f"“{name}” stands for somebody whose name was replaced for good: write another name.")
    if who is None or who.replaced_at:
        return Customer.objects.create(name=name, contact=contact)
    if contact and not who.contact:
        who.contact = contact
        who.save(update_fields=["contact"])
    return who


def _customer_folded(held: QuerySet[Customer], name: str) -> Customer | None:
    """The one of them with a name of letters that databases may not fold: SQLite folds no more than A to Z.

    Names alone are read, and only where such a letter stands in the one that is sought.
    """
    if name.isascii():
        return None
    sought = _folded(name)
    rows = Customer.objects.filter(replaced_at=None).order_by("pk").values_list("pk", "name")
    found = next((pk for pk, known in rows.iterator() if _folded(known) == sought), None)
    return None if found is None else held.filter(pk=found).first()


def _folded(name: str) -> str:
    """As two names are compared: small and capital letters alike, however their accents were typed."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


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


def add_lot(order: Order, row: WheelRow, *, first_number: int | None = None) -> Lot:
    """Add wheels to an order, taken or not.

    `first_number` is the number that the first of them was to have when they were asked for: the same sent
    twice is added once, and OrderRefused is raised where others were added meanwhile.
    """
    check_row(row)
    with writing():
        hold_order(order.pk)
        if first_number is not None and first_number != next_wheel_number(order):
            there = Wheel.objects.filter(lot__order=order, number=first_number, replaces=None).first()
            if there and there.lot.makeup == row.makeup and _places(there.lot) == list(row.places):
                return there.lot
            raise OrderRefused("Wheels were added to this order meanwhile: look at it as it is now, and send again.")
        return _add_lot(order, row, list(Operation.objects.in_use()))


def next_wheel_number(order: Order) -> int:
    """The number after the highest of the order's wheels, dropped ones too."""
    highest: int | None = Wheel.objects.filter(lot__order=order).aggregate(highest=Max("number"))["highest"]
    return (highest or 0) + 1


def _places(lot: Lot) -> list[str]:
    return list(lot.wheels.values_list("place", flat=True))


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
    first = next_wheel_number(order)
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
        # Paid after it was fetched: it ended when it was fetched.
        order.ended_on = None if order.is_open else order.ended_on or on
        order.paid_on = order.paid_on or on if order.state == Order.State.PAID else None
        order.save(update_fields=["state", "taken_on", "ended_on", "paid_on"])


def put_in_hand(task: Task) -> None:
    """The first work on an order that was taken puts it in hand; at any later time this changes nothing.

    Call it inside the write that begins the work.
    """
    Order.objects.filter(lots=task.lot_id, state=Order.State.TAKEN).update(state=Order.State.IN_HAND)


def promise(
    order: Order,
    promised_on: date | None,
    *,
    reason: str,
    told_on: date | None,
    by: AbstractBaseUser | None,
) -> bool:
    """Promise another day: why, and when the customer was told. The first promise stays readable.

    The same as the last promise, sent again, is no other promise. Says whether it was another.
    """
    with writing():
        hold_order(order.pk)
        last = Promise.objects.filter(order=order).order_by("pk").last()
        if last and (last.promised_on, last.reason, last.told_on) == (promised_on, reason, told_on):
            return False
        Promise.objects.create(
            order=order,
            promised_on=promised_on,
            reason=reason,
            told_on=told_on,
            recorded_by=by,  # type: ignore[misc]
        )
        order.due_on = promised_on
        order.save(update_fields=["due_on"])
    return True


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
    """Say what an order, a lot or a wheel waits for besides work. The same again, while it waits, is one hold."""
    with writing():
        hold_order(order.pk)
        told = {
            "order": order,
            "lot": lot or (wheel.lot if wheel else None),
            "wheel": wheel,
            "kind": kind,
            "what": what,
            "expected_on": expected_on,
        }
        there = Hold.objects.filter(**told, lifted_at=None).first()
        return there or Hold.objects.create(**told, placed_at=at)


def lift_hold(hold: Hold, *, at: datetime) -> bool:
    """What was waited for is here. Lifting a hold twice changes nothing; says whether this lifted it."""
    with writing():
        return lift_holds(Hold.objects.filter(pk=hold.pk), at=at) > 0


def lift_holds(holds: QuerySet[Hold], *, at: datetime) -> int:
    """Lift those that still wait, and say how many they were; call it inside the write.

    A hold may be placed while the request that lifts it is on its way: none is lifted before it was placed.
    """
    return holds.filter(lifted_at=None).update(lifted_at=Greatest(Value(at), "placed_at"))
