"""`manage.py recount`: proves that the counters equal the facts."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from jobs.models import Task
from jobs.tables import make_tables
from timing.models import Stretch
from timing.recount import find_faults, mend


class Command(BaseCommand):
    help = "Proves that the counters of every task equal the sums of its facts; --mend sets them right."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--mend", action="store_true", help="set counters to what the facts say")

    def handle(self, *args: Any, **options: Any) -> None:
        make_tables()
        faults = find_faults()
        for fault in faults:
            self.stderr.write(fault.sentence)
        if faults and options["mend"]:
            mended = mend(faults)
            self.stdout.write(f"{mended} tasks mended.")
            faults = find_faults()
        if faults:
            raise CommandError(f"{len(faults)} faults: counters and facts differ.")
        self.stdout.write(
            f"Clean: the counters of {Task.objects.count()} tasks equal {Stretch.objects.count()} stretches."
        )
