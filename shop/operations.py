"""What an owner does with the shop's list of operations, each with its line of who changed what."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User

from jobs import operations
from jobs.models import Operation, Wait
from jobs.operations import FIXED_BY_WORK, OperationRefused
from jobs.words import in_words
from jobs.writing import writing
from shop.audit import Kind, note_change, note_differences, the_shop
from shop.own_words import own_words
from timing.models import Stretch


def add_operation(*, by: User | None, **asked: Any) -> Operation:
    """Add an operation, as `jobs.operations.add_operation` says, which names the errors too.

    `by`, here and below, is the owner who asked for it; None for a command.
    """
    with writing():
        operation = operations.add_operation(**asked)
        told = described(operation, the_shop().words)
        after = f"added: {told['done by']}, {told['one unit is one']}, book minutes {told['book minutes'] or 'none'}"
        note_change(Kind.OPERATION, told["name"], by=by, after=after)
    return operation


def edit_operation(operation: Operation, *, by: User | None, **asked: Any) -> None:
    """Change an operation, as `jobs.operations.edit_operation` says, which names the errors too."""
    with writing():
        words = the_shop().words
        now = Operation.objects.select_for_update().get(pk=operation.pk)
        if any(asked.get(name, getattr(now, name)) != getattr(now, name) for name in FIXED_BY_WORK) and is_worked(now):
            raise OperationRefused(
                f"There is work of “{in_words(now.name, words)}” already, so what is counted can't change: "
                "retire it and add another instead."
            )
        before = described(now, words)
        operations.edit_operation(operation, **asked)
        after = described(Operation.objects.get(pk=operation.pk), words)
        note_differences(Kind.OPERATION, before["name"], before, after, by=by)


def is_worked(operation: Operation) -> bool:
    """Whether an order has it, or an old book timed it: what one unit of it is can't change then."""
    return operation.tasks.exists() or Stretch.objects.filter(operation=operation).exists()


def write_book_time(operation: Operation, seconds: int | None, *, by: User | None) -> None:
    """Write the book time of a piece, in seconds, or that there is none. The same again changes nothing."""
    with writing():
        words = the_shop().words
        now = Operation.objects.select_for_update().get(pk=operation.pk)
        before = described(now, words)
        now.book_seconds = seconds
        now.save(update_fields=["book_seconds"])
        note_differences(Kind.OPERATION, before["name"], before, described(now, words), by=by)


def retire_operation(operation: Operation, *, at: datetime, by: User) -> None:
    """Take an operation out of use for orders taken from now on. Twice changes nothing."""
    with writing():
        if operations.retire_operation(operation, at=at):
            _note(operation, before="in use", after="retired", by=by)


def restore_operation(operation: Operation, *, by: User) -> None:
    """Take a retired operation into use again. Twice changes nothing."""
    with writing():
        if operations.restore_operation(operation):
            _note(operation, before="retired", after="in use", by=by)


def set_wait(operation: Operation, on: Operation, *, how: str, standing_minutes: int, by: User) -> None:
    """Have an operation wait on another, as `jobs.operations.set_wait` says, which names the errors too."""
    with writing():
        was = Wait.objects.filter(operation=operation, on_operation=on).first()
        before = _wait_in_words(was) if was else ""
        after = _wait_in_words(operations.set_wait(operation, on, how=how, standing_minutes=standing_minutes))
        if before != after:
            _note(operation, f" waits on {_name(on)}", before=before, after=after, by=by)


def drop_wait(wait: Wait, *, by: User) -> None:
    """Take a wait off the list."""
    with writing():
        before = _wait_in_words(wait)
        if operations.drop_wait(wait):
            _note(wait.operation, f" waits on {_name(wait.on_operation)}", before=before, after="no longer", by=by)


def described(operation: Operation, words: Mapping[str, str]) -> dict[str, str]:
    """An operation as an owner sets it, each thing in words by its name."""
    before = Operation.objects.in_use().filter(position__lt=operation.position).order_by("-position").first()
    seconds = operation.book_seconds
    chosen = [f"{name} {' or '.join(map(str, values))}" for name, values in sorted(operation.chosen_by.items())]
    return {
        "name": in_words(operation.name, words),
        "when done it is": in_words(operation.done_word, words),
        "work on": own_words(operation.get_part_display(), words),
        "one unit is one": own_words(operation.get_per_display(), words),
        "how many a wheel": str(operation.per_number or ""),
        "loose for the whole lot": "yes" if operation.for_lot else "no",
        "done by": str(operation.get_trade_display()),
        "hands at once": str(operation.hands),
        "book minutes": "" if seconds is None else f"{seconds / 60:g}",
        "kinds of work": ", ".join(sorted(operation.works)).replace("_", " "),
        "only for": "; ".join(chosen),
        "notes": in_words(operation.notes, words),
        "stands after": in_words(before.name, words) if before else "the head of the list",
    }


def _note(operation: Operation, more: str = "", *, before: str, after: str, by: User) -> None:
    note_change(Kind.OPERATION, f"{_name(operation)}{more}", by=by, before=before, after=after)


def _name(operation: Operation) -> str:
    return in_words(operation.name, the_shop().words)


def _wait_in_words(wait: Wait) -> str:
    standing = f", then stands {wait.standing_minutes} minutes" if wait.standing_minutes else ""
    return f"for {wait.get_how_display()}{standing}"
