"""What is done with the shop's list of operations and what each waits on. A circle of waits is refused."""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Any

from django.utils.text import slugify

from jobs.models import Operation, Wait
from jobs.turns import take_turns
from jobs.writing import writing

# Once there is work of an operation, a change of these would give its counts another meaning.
FIXED_BY_WORK = ("part", "per", "per_number", "for_lot")
KEY_LENGTH = 50
STEP = 10


class OperationRefused(ValueError):
    """What was asked can't be done; the message is one sentence, with {hub} and the like for the shop's words."""


def add_operation(*, after: Operation | None, **fields: Any) -> Operation:
    """Add an operation of the shop's own after another, or at the head of the list. `fields` are its own by name.

    It belongs to orders taken from now on; work that is laid out already does not get it. OperationRefused where
    one in use has the name: two could not be told apart, and the same form may have been sent twice.
    """
    with writing():
        take_turns("operations")
        if Operation.objects.in_use().filter(name__iexact=fields["name"]).exists():
            raise OperationRefused(
                f"There is “{fields['name']}” already: give this one another name, or change that one."
            )
        operation = Operation(key=_free_key(fields["name"]), position=0, **fields)
        operation.save()
        _place(operation, after)
    return operation


def edit_operation(operation: Operation, *, after: Operation | None, **fields: Any) -> None:
    """Change an operation, and its place in the list. OperationRefused if its counts would change their meaning."""
    with writing():
        changed = [name for name, value in fields.items() if getattr(operation, name) != value]
        if set(changed) & set(FIXED_BY_WORK) and operation.tasks.exists():
            raise OperationRefused(
                f"There is work of “{operation.name}” already, so what is counted can't change: "
                "retire it and add another instead."
            )
        for name in changed:
            setattr(operation, name, fields[name])
        operation.save(update_fields=changed)
        _place(operation, after)


def retire_operation(operation: Operation, *, at: datetime) -> bool:
    """Take an operation out of use for orders taken from now on. Work laid out already keeps it.

    Says whether it was in use till now.
    """
    with writing():
        return bool(Operation.objects.filter(pk=operation.pk, retired_at=None).update(retired_at=at))


def restore_operation(operation: Operation) -> bool:
    """Take a retired operation into use again. Says whether it was retired till now."""
    with writing():
        retired = Operation.objects.filter(pk=operation.pk).exclude(retired_at=None)
        return bool(retired.update(retired_at=None))


def set_wait(operation: Operation, on: Operation, *, how: str, standing_minutes: int) -> Wait:
    """Have an operation wait on another, or change how it does. OperationRefused if they would wait in a circle."""
    with writing():
        waits: dict[int, list[int]] = {}
        for one, other in Wait.objects.values_list("operation_id", "on_operation_id"):
            waits.setdefault(one, []).append(other)
        circle = way_between(on.pk, operation.pk, waits)
        if circle:
            raise OperationRefused(_circle_in_words([operation.pk, *circle]))
        wait, _ = Wait.objects.update_or_create(
            operation=operation, on_operation=on, defaults={"how": how, "standing_minutes": standing_minutes}
        )
    return wait


def drop_wait(wait: Wait) -> bool:
    """Take a wait off the list. Says whether it was on it till now."""
    with writing():
        return bool(Wait.objects.filter(pk=wait.pk).delete()[0])


def way_between(start: int, end: int, waits: Mapping[int, Iterable[int]]) -> list[int]:
    """The shortest way from one operation to another along what each waits on, both ends named; [] for none."""
    ways, seen = [[start]], {start}
    while ways:
        further = []
        for way in ways:
            if way[-1] == end:
                return way
            for other in waits.get(way[-1], ()):
                if other not in seen:
                    seen.add(other)
                    further.append([*way, other])
        ways = further
    return []


def with_marks(name: str, words: Mapping[str, str]) -> str:
    """A name as typed, with {hub}, {felloe}, {tyre} and their plurals where the shop's own words stood."""
    nouns = {word: noun for noun, word in words.items()}
    longest_first = sorted(map(re.escape, nouns), key=len, reverse=True)
    return re.sub(rf"\b(?:{'|'.join(longest_first)})\b", lambda found: "{" + nouns[found[0]] + "}", name)


def _circle_in_words(circle: Sequence[int]) -> str:
    names = dict(Operation.objects.filter(pk__in=circle).values_list("pk", "name"))
    if len(circle) == 2:
        return f"“{names[circle[0]]}” can't wait on itself."
    chain = ", which waits on ".join(f"“{names[one]}”" for one in circle[1:])
    return f"They would wait in a circle: “{names[circle[0]]}” waits on {chain}. Take one of these waits off first."


def _free_key(name: str) -> str:
    """A key that no operation has, from the name."""
    base = slugify(name.replace("{", " ").replace("}", " "))[:KEY_LENGTH].strip("-") or "operation"
    taken = set(Operation.objects.filter(key__startswith=base).values_list("key", flat=True))
    return next(key for key in (base, *(f"{base}-{n}" for n in range(2, len(taken) + 3))) if key not in taken)


def _place(operation: Operation, after: Operation | None) -> None:
    """Put an operation after another, or first, and number the list anew where that moves anything."""
    order = [one for one in Operation.objects.order_by("position", "id") if one.pk != operation.pk]
    at = next((i + 1 for i, one in enumerate(order) if after and one.pk == after.pk), 0)
    order.insert(at, operation)
    if all(one.position < other.position for one, other in pairwise(order)):
        return
    for position, one in enumerate(order, 1):
        one.position = position * STEP
    Operation.objects.bulk_update(order, ["position"])
