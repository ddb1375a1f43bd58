"""`manage.py export DIR`: the shop's tables as CSV files."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from jobs.tables import make_tables
from shop.export import ExportRefused, write_export


class Command(BaseCommand):
    help = "Writes every table that a person would want as CSV, without secrets, into a new or empty folder."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", metavar="DIR", type=Path, help="a new or empty folder")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        make_tables()
        try:
            rows = write_export(folder)
        except ExportRefused as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{error.filename or folder} can't be written: {error.strerror}.") from error
        self.stdout.write(f"{folder}: {len(rows)} files, {sum(rows.values())} rows.")
