"""What a repair was found to need once it was looked over: listed, and held for the customer's word."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Sum

from jobs.changes import add_found
from jobs.models import Hold, Lot, Operation, Task, Wheel
from jobs.orders import OrderRefused, hold_order, place_hold
from jobs.starting_operations import USUALLY_FOUND
from jobs.writing import writing


@dataclass(frozen=True, slots=True)
class Found:
    """What was found on one wheel: units of each operation, and what was said of it."""

    wheel: Wheel
    numbers: Mapping[Operation, int]
    what: str


def usually_found(lot: Lot) -> list[Operation]:
    """The operations that this kind of repair is usually found to need, in the order of the work."""
    keys = [_of_this_makeup(key, lot) for key in USUALLY_FOUND.get(lot.work, ())]
    return [operation for operation in Operation.objects.in_use().filter(key__in=keys) if _fits(operation, lot)]


def _of_this_makeup(key: str, lot: Lot) -> str:
    """The same work by the name that it has on a wheel of this make-up."""
    if key == "tongue-spoke" and lot.tongue == "square":
        return "square-tongue-spoke"
    return {"weld-tyre": "weld-channel"}.get(key, key) if lot.tyre == "rubber" else key


def _fits(operation: Operation, lot: Lot) -> bool:
    return all(str(getattr(lot, choice)) in allowed for choice, allowed in operation.chosen_by.items())


def found_so_far(lot: Lot) -> int:
    """Units listed as found in a lot: it tells whether the list has been added to since it was shown."""
    total: int | None = Task.objects.filter(lot=lot, origin=Task.Origin.FOUND).aggregate(total=Sum("wanted"))["total"]
    return total or 0


def list_found(found: Found, *, seen: int, at: datetime) -> Hold:
    """Add what was found, and hold the lot for the customer's word, in one write.

    `seen` is what `found_so_far` said when the list was made: the same list sent twice is added once, and
    OrderRefused is raised where another was added meanwhile.
    """
    wheel, lot = found.wheel, found.wheel.lot
    numbers = {operation: number for operation, number in found.numbers.items() if number}
    if not numbers:
        raise OrderRefused("Nothing is listed yet: write how many against what the wheel needs.")
    with writing():
        hold_order(lot.order_id)
        told = {"order": lot.order, "lot": lot, "kind": Hold.Kind.CUSTOMER, "what": found.what}
        if found_so_far(lot) != seen:
            there = Hold.objects.filter(**told, lifted_at=None).first()
            if there:
                return there
            raise OrderRefused("The list was added to meanwhile: look at it as it is now, and send again.")
        if Wheel.objects.filter(pk=wheel.pk, dropped_at=None).first() is None:
            raise OrderRefused(f"The {wheel.label} wheel was dropped meanwhile: nothing was listed.")
        for operation, number in numbers.items():
            add_found(lot, operation, wanted=number, wheel=wheel)
        return place_hold(lot.order, lot=lot, kind=Hold.Kind.CUSTOMER, what=found.what, at=at)


def leave_found_out(lot: Lot, *, at: datetime) -> int:
    """The customer said no: what was found and not begun is left out. Returns how many operations."""
    with writing():
        return Task.objects.filter(
            lot=lot, origin=Task.Origin.FOUND, dropped_at=None, made=0, spoiled=0, seconds=0
        ).update(dropped_at=at)
