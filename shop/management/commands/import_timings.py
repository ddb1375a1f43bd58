"""`manage.py import_timings FILE`: brings timings of an old book in, all or none, each once."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone

from shop.management.file_commands import read_file, set_up_lists, tell_refusal, tell_unread
from shop.old_book import Plan, carry_out, read_plan
from shop.progress import Progress
from shop.times_words import counted
from timing.files import operations_file, timings_file
from timing.files.table import FileRefused

MOST_NAMED = 20


class Command(BaseCommand):
    help = (
        f"Brings timings of an old book in, as CSV: {','.join(timings_file.COLUMNS)}. The same file again adds "
        "nothing, a longer version of it what is new; where a line is wrong nothing is brought in."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="the timings")
        parser.add_argument(
            "--operations",
            metavar="FILE",
            type=Path,
            help=f"operations to add or change, as CSV: {','.join(operations_file.COLUMNS)}",
        )
        parser.add_argument(
            "--add-hands",
            action="store_true",
            help="put people whom the shop doesn't know down as hands who have left, who can't sign in",
        )
        parser.add_argument("--dry-run", action="store_true", help="say what would be done, and bring nothing in")

    def handle(
        self, *args: Any, file: Path, operations: Path | None, add_hands: bool, dry_run: bool, **options: Any
    ) -> None:
        content = read_file(file)
        list_of_operations = read_file(operations) if operations else None
        progress = Progress(self.stderr, "Reading")
        try:
            set_up_lists()
            plan = read_plan(content, list_of_operations, tick=progress.tick)
            progress.end()
            self.tell_plan(plan, add_hands=add_hands, dry_run=dry_run)
            self.refuse_unknown(plan, add_hands=add_hands)
            if dry_run:
                self.stdout.write(
                    f"{file}: {counted(len(plan.rows), 'row')} would be new, {plan.seen:,} there already."
                )
                return
            fresh = carry_out(plan, now=timezone.now(), tell=progress.say)
        except FileRefused as refused:
            progress.end()
            which = f"{file} and {operations}" if operations else str(file)
            raise tell_refusal(self, Path(which), refused, "nothing was brought in") from None
        except DatabaseError as error:
            progress.end()
            raise CommandError(f"The database can't be used: {str(error).strip().splitlines()[0]}.") from error
        progress.end()
        there = plan.seen + len(plan.rows) - fresh
        self.stdout.write(f"{file}: new: {counted(fresh, 'row')}; there already: {there:,}.")

    def tell_plan(self, plan: Plan, *, add_hands: bool, dry_run: bool) -> None:
        """What is added and changed besides timings; on standard output, since it is what the command does."""
        tell_unread(self, plan.unread)
        would = "would be " if dry_run else "is "
        for told in plan.operations:
            self.stdout.write(f"Operation {would}{'changed' if told.operation else 'added'}: {told.sentence}")
        if add_hands:
            for one in plan.newcomers:
                self.stdout.write(
                    f"Hand {would}added, as one who left on {one.last_on}: {one.name}, {counted(one.rows, 'row')}"
                )

    def refuse_unknown(self, plan: Plan, *, add_hands: bool) -> None:
        """Raises CommandError where rows name whom or what the shop doesn't know, and says what would help."""
        people = [] if add_hands else [(one.name, one.rows) for one in plan.newcomers]
        for what, unknown, help_ in (
            ("person", people, "--add-hands puts them down as hands who have left"),
            (
                "operation",
                plan.unknown,
                f"--operations FILE adds what a file tells as {','.join(operations_file.COLUMNS)}; or write them as "
                "Settings, Operations has them",
            ),
        ):
            for name, rows in unknown[:MOST_NAMED]:
                self.stderr.write(f"The shop knows no {what} “{name}”: {rows:,} row{'s' * (rows > 1)}.")
            if len(unknown) > MOST_NAMED:
                self.stderr.write(f"And {len(unknown) - MOST_NAMED:,} more.")
            if unknown:
                self.stderr.write(f"{help_}.")
        if people or plan.unknown:
            raise CommandError("The file names whom or what the shop doesn't know: nothing was brought in.")
