"""`manage.py recount`: proves that the counters equal the facts."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from jobs.models import Task
from jobs.tables import make_tables
from jobs.writing import one_snapshot
from timing.models import Stretch
from timing.recount import Fault, find_faults, mend


def found() -> list[Fault]:
    """The faults of one moment: a shop that runs meanwhile has none by that."""
    with one_snapshot():
        return find_faults()


class Command(BaseCommand):
    help = "Proves that the counters of every task equal the sums of its facts; --mend sets them right."
    # They load every page, which takes longer than all else here; and no page may stand between a shop and its backup.
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="set counters to what the facts say")

    def handle(self, *args: Any, **options: Any) -> None:
        make_tables()
        faults = found()
        for fault in faults:
            self.stderr.write(fault.sentence)
        if faults and options["mend"]:
            self.stdout.write(f"{mend()} tasks mended.")
            faults = found()
        if faults:
            raise CommandError(f"{len(faults)} faults: counters and facts differ.")
        stretches = Stretch.objects.of_the_shop().count()
        self.stdout.write(f"Clean: the counters of {Task.objects.count()} tasks equal {stretches} stretches.")
