"""`manage.py restore FILE`: puts a backup in the shop's place and keeps what was there."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shop.backup import BackupRefused, restore
from shop.running import AlreadyRunning, only_one


class Command(BaseCommand):
    help = "Puts a backup in the shop's place, once it is proved, and keeps what was there beside it."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="a file that backup has made")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        if not settings.ON_SQLITE:
            raise CommandError(
                "The shop is on PostgreSQL, which puts back its own backups: "
                'pg_restore --clean --if-exists --dbname="$DATABASE_URL" shop.dump'
            )
        database = Path(str(settings.DATABASES["default"]["NAME"]))
        try:
            with only_one(database):
                kept = restore(file, database, now=timezone.now())
        except (BackupRefused, AlreadyRunning) as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{error.filename or file} can't be used: {error.strerror}.") from error
        self.stdout.write(f"{file} is in place at {database}.")
        if kept:
            self.stdout.write(f"What was there is kept: {kept}")
