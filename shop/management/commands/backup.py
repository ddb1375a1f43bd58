"""`manage.py backup DIR`: a proved copy of the shop, while it runs."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from jobs.tables import make_tables
from shop.backup import BackupRefused, back_up


class Command(BaseCommand):
    help = "Copies the shop, in use or not, into a folder, compressed, and proves the copy by recounting it."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", metavar="DIR", type=Path, help="where the copy goes; made where it is missing")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        if not settings.ON_SQLITE:
            raise CommandError(
                "The shop is on PostgreSQL, which makes its own backups: "
                'pg_dump --format=custom --file=shop.dump "$DATABASE_URL"'
            )
        make_tables()
        try:
            made = back_up(Path(str(settings.DATABASES["default"]["NAME"])), folder, now=timezone.now())
        except BackupRefused as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{error.filename or folder} can't be written: {error.strerror}.") from error
        self.stdout.write(f"{made.file}\n{made.said}")
