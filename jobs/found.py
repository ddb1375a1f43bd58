"""What a repair was found to need once it was looked over: listed, and held for the customer's word."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Sum
from django.db.models.functions import Greatest

from jobs.changes import add_found
from jobs.models import FoundUnits, Hold, Lot, Operation, Task, Wheel
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
    """Units ever listed as found in a lot: it tells whether the list has been added to since it was shown.

    What was left out at a no counts too: it never goes down, so an old list sent again is known for what it is.
    """
    total: int | None = FoundUnits.objects.filter(task__lot=lot).aggregate(total=Sum("units"))["total"]
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
        hold = place_hold(lot.order, lot=lot, kind=Hold.Kind.CUSTOMER, what=found.what, at=at)
        for operation, number in numbers.items():
            task = add_found(lot, operation, wanted=number, wheel=wheel)
            FoundUnits.objects.create(hold=hold, task=task, wheel=wheel, units=number)
        return hold


def leave_found_out(hold: Hold, *, at: datetime) -> None:
    """The customer said no: what was listed under this hold is wanted no more.

    What was done of it stays, and so does what the same work is wanted for besides.
    """
    with writing():
        rows = FoundUnits.objects.filter(hold=hold, left_out_at=None)
        for task_id, units in rows.order_by("task").values_list("task").annotate(Sum("units")):
            live = Task.objects.live().filter(pk=task_id)
            live.update(wanted=Greatest(F("wanted") - units, F("made") - F("lost"), 0))
            live.filter(wanted=0).update(dropped_at=at)
        rows.update(left_out_at=at)
