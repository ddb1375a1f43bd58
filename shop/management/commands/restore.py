"""`manage.py restore FILE`: puts a backup in the shop's place and keeps what was there."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from shop import backup
from shop.backup import BackupRefused
from shop.running import AlreadyRunning, only_one


class Command(BaseCommand):
    help = "Puts a backup in the shop's place, once it is proved, and keeps what was there beside it."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path, help="a file that backup has made")

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        place = str(settings.DATABASES["default"]["NAME"])
        kept: object
        try:
            if settings.ON_SQLITE:
                with only_one(Path(place)):
                    kept = backup.restore(file, Path(place), now=timezone.now())
            else:
                from shop import backup_postgres  # and with it PostgreSQL's driver

                kept = backup_postgres.restore(file, now=timezone.now())
        except (BackupRefused, AlreadyRunning) as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            raise CommandError(f"{error.filename or file} can't be used: {error.strerror}.") from error
        self.stdout.write(f"{file} is in place at {place}.")
        if kept:
            self.stdout.write(f"What was there is kept: {kept}")
