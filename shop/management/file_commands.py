"""What commands that read a file have in common."""

from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from jobs.models import Operation
from jobs.starting import start_operations
from jobs.tables import make_tables
from timing.files.table import MOST_BYTES, TOO_LONG, FileRefused


def set_up_lists() -> None:
    """Tables, and the operations that a new shop begins with, where there are none: a shop need not be opened first."""
    make_tables()
    if not Operation.objects.exists():
        start_operations()


def read_file(path: Path) -> bytes:
    """The bytes of a file. Raises CommandError."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise CommandError(f"{path}: {TOO_LONG}")
        return path.read_bytes()
    except OSError as error:
        raise CommandError(f"{path} can't be read: {error.strerror}.") from error


def tell_refusal(command: BaseCommand, path: Path, refused: FileRefused, outcome: str) -> CommandError:
    """Tell every line that is wrong on standard error; returns the error that ends the command."""
    for sentence in refused.sentences:
        command.stderr.write(sentence)
    return CommandError(f"{path}: {outcome}.")


def tell_unread(command: BaseCommand, unread: list[str]) -> None:
    if unread:
        names = ", ".join(f"“{name}”" for name in unread)
        command.stderr.write(f"Not read, since nothing asks for it: the column{'s' * (len(unread) > 1)} {names}.")
