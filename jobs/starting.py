"""Puts the starting list of operations and the starting make-ups into an empty shop."""

from jobs.models import LibraryMakeUp, Operation, Wait
from jobs.starting_makeups import STARTING_MAKEUPS
from jobs.starting_operations import STARTING_OPERATIONS
from jobs.turns import take_turns
from jobs.writing import writing


def start_operations() -> None:
    """Enter the starting list; operations that are there already are left as they are."""
    with writing():
        take_turns("operations")
        there = set(Operation.objects.values_list("key", flat=True))
        Operation.objects.bulk_create(
            Operation(
                key=start.key,
                name=start.name,
                done_word=start.done_word,
                part=start.part,
                per=start.per,
                per_number=start.per_number,
                for_lot=start.for_lot,
                trade=start.trade,
                hands=start.hands,
                book_seconds=start.minutes * 60,
                position=position * 10,
                chosen_by={choice: list(allowed) for choice, allowed in start.chosen_by.items()},
                works=list(start.works),
                notes=start.notes,
            )
            for position, start in enumerate(STARTING_OPERATIONS, 1)
            if start.key not in there
        )
        by_key = {operation.key: operation for operation in Operation.objects.all()}
        Wait.objects.bulk_create(
            Wait(
                operation=by_key[start.key],
                on_operation=by_key[wait.on],
                how=wait.how,
                standing_minutes=wait.standing_minutes,
            )
            for start in STARTING_OPERATIONS
            if start.key not in there
            for wait in start.waits
        )


def start_library() -> None:
    """Enter the starting make-ups that the library lacks."""
    with writing():
        there = set(LibraryMakeUp.objects.values_list("name", flat=True))
        for start in STARTING_MAKEUPS:
            if start.name not in there:
                LibraryMakeUp.from_makeup(
                    start.makeup,
                    name=start.name,
                    carriage=start.carriage,
                    place=start.place,
                    source=start.source,
                    status=start.status,
                ).save()
