"""`manage.py forecast FILE`: minutes of work to come, as CSV on standard output."""

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone

from shop.forecast_lines import Asked, Forecasts, as_lines, forecast
from shop.management.file_commands import read_file, set_up_lists, tell_refusal, tell_unread
from shop.usual_times import is_out_of_date, work_out_for_shop
from timing.files.forecast_file import COLUMNS, read_forecast_file
from timing.files.table import FileRefused
from timing.forecast import WorkRefused
from timing.usual import Usual, the_usual

QUANTILES = ("p10", "p50", "p90")


class Command(BaseCommand):
    help = (
        f"Forecasts work from a CSV file ({','.join(COLUMNS)}) by the shop's usual times: for each order the minutes "
        "that it stays within one time in ten, one in two, and nine in ten."
    )
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="the work: pieces are a row's in all")
        parser.add_argument("--lines", action="store_true", help="forecast each row, in the file's order")

    def handle(self, *args: Any, file: Path, lines: bool, **options: Any) -> None:
        content = read_file(file)
        try:
            sheet = read_forecast_file(content)
            tell_unread(self, sheet.unread)
            set_up_lists()
            usual = self.usual()
            asked = as_lines(sheet.rows, usual.fit)
            for name, line in asked.strangers.items():
                self.stderr.write(
                    f"“{name}” (line {line}) has no timings that count: reckoned as a new hand, with the wider range."
                )
            found = forecast(asked, usual.fit)
        except FileRefused as refused:
            raise tell_refusal(self, file, refused, "nothing was forecast") from None
        except WorkRefused as refused:
            raise CommandError(str(refused)) from refused
        except DatabaseError as error:
            raise CommandError(f"The database can't be used: {str(error).strip().splitlines()[0]}.") from error
        self.write(*(by_line(asked, found) if lines else by_order(found)))

    def usual(self) -> Usual:
        """The usual times, worked out anew where there is more to learn."""
        if is_out_of_date():
            usual = work_out_for_shop(timezone.now())
            if usual.timings:
                self.stderr.write(f"Usual times are worked out anew, from {usual.timings:,} timings.")
        else:
            usual = the_usual()
        if usual.fit.rests_on_book_times_alone:
            self.stderr.write("There are no timings that count: this rests on book times alone.")
        return usual

    def write(self, header: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        writer = csv.writer(self.stdout, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def by_order(found: Forecasts) -> tuple[Sequence[str], Iterable[Sequence[str]]]:
    """Header and rows, one an order."""
    return ("order", *QUANTILES), ([order, *_minutes(minutes)] for order, minutes in found.orders.items())


def by_line(asked: Asked, found: Forecasts) -> tuple[Sequence[str], Iterable[Sequence[str]]]:
    """Header and rows, one a line of the file."""
    rows = (
        [row.order, row.operation, row.person, row.diameter_mm, *_minutes(minutes)]
        for row, minutes in zip(asked.rows, found.rows, strict=True)
    )
    return ("order", "operation", "person", "diameter_mm", *QUANTILES), rows


def _minutes(minutes: Sequence[float]) -> list[str]:
    """Hundredths of a minute: a wedge is driven in one or two."""
    return [f"{one:.2f}" for one in minutes]
