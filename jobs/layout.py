"""From a lot's make-up to its parts and tasks: how many of each, for the lot and for each wheel."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.models import Lot, Operation, Part, Task, Wheel
from jobs.models.operations import PartKind, Per

# Wheels that one fire serves at most: common practice, no source.
A_FIRE_SERVES = 8


def pieces_in_a_wheel(kind: str, makeup: MakeUp) -> int:
    """Pieces of one kind of part in one wheel."""
    return {
        PartKind.BAND: len(makeup.bands),
        PartKind.SPOKE: makeup.spokes,
        PartKind.FELLOE: makeup.felloes,
    }.get(PartKind(kind), 1)


def units_in_a_wheel(operation: Operation, makeup: MakeUp) -> int:
    """Units of an operation in one wheel: an n-spoke wheel has n mortises, and as many joints as felloes."""
    if operation.per == Per.NUMBER:
        return operation.per_number or 0
    return {
        Per.SPOKE: makeup.spokes,
        Per.FELLOE: makeup.felloes,
        Per.JOINT: makeup.felloes,
        Per.BAND: len(makeup.bands),
        Per.COAT: makeup.coats,
    }.get(Per(operation.per), 1)


def is_chosen(operation: Operation, lot: Lot) -> bool:
    """Whether a lot of this work and make-up has the operation from the start."""
    return lot.work in operation.works and all(
        str(getattr(lot, choice)) in allowed for choice, allowed in operation.chosen_by.items()
    )


@dataclass(frozen=True, slots=True)
class Count:
    """What one operation is wanted for: its units a piece, and how many for the lot or for a wheel."""

    units: int
    wanted: int


def count_for(operation: Operation, lot: Lot, *, wheels: int) -> Count:
    """Units of one piece, and units wanted for `wheels` wheels with the lot's spares where pieces are loose."""
    makeup = lot.makeup
    in_a_wheel = units_in_a_wheel(operation, makeup)
    pieces = pieces_in_a_wheel(operation.part, makeup)
    units = max(1, -(-in_a_wheel // max(1, pieces)))
    if operation.per == Per.HEAT:
        return Count(units=1, wanted=-(-wheels // A_FIRE_SERVES))
    wanted = in_a_wheel * wheels
    if operation.for_lot and wheels:
        wanted += units * spares_of(operation.part, lot)
    return Count(units=units, wanted=wanted)


def spares_of(kind: str, lot: Lot) -> int:
    return {PartKind.SPOKE: lot.spare_spokes, PartKind.FELLOE: lot.spare_felloes}.get(PartKind(kind), 0)


def lay_out(lot: Lot, wheels: Sequence[Wheel], operations: Iterable[Operation]) -> None:
    """Make the parts and tasks of a new lot. Call it inside the transaction that makes the lot."""
    chosen = [operation for operation in operations if is_chosen(operation, lot)]
    parts: dict[tuple[int | None, str], Part] = {}
    tasks: list[Task] = []
    for operation in chosen:
        count = count_for(operation, lot, wheels=len(wheels) if operation.for_lot else 1)
        if count.wanted == 0:
            continue
        for wheel in [None] if operation.for_lot else wheels:
            key = (wheel.pk if wheel else None, operation.part)
            if key not in parts:
                parts[key] = new_part(lot, wheel, operation.part, wheels=len(wheels))
            tasks.append(
                Task(
                    part=parts[key],
                    lot=lot,
                    wheel=wheel,
                    operation=operation,
                    units=count.units,
                    wanted=count.wanted,
                )
            )
    Part.objects.bulk_create(parts.values())
    Task.objects.bulk_create(tasks)


def new_part(lot: Lot, wheel: Wheel | None, kind: str, *, wheels: int = 1) -> Part:
    """An unsaved part: of one wheel, or the loose pieces of a lot of so many wheels."""
    pieces = pieces_in_a_wheel(kind, lot.makeup)
    if wheel is None:
        pieces = pieces * wheels + spares_of(kind, lot)
    return Part(lot=lot, wheel=wheel, kind=kind, pieces=pieces)
