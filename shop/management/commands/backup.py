"""`manage.py backup DIR`: a proved copy of the shop, while it runs."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError
from django.utils import timezone

from jobs.tables import make_tables
from shop.backup import BackupRefused
from shop.backup_sources import own_source


class Command(BaseCommand):
    help = "Copies the shop, in use or not, into a folder, compressed, and proves the copy by recounting it."
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("folder", metavar="DIR", type=Path, help="where the copy goes; made where it is missing")

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        try:
            make_tables()
            made = own_source().back_up(folder, now=timezone.now(), name="shop")
        except BackupRefused as error:
            raise CommandError(str(error)) from error
        except DatabaseError as error:
            raise CommandError(f"The database can't be read: {str(error).strip().splitlines()[0]}.") from error
        except OSError as error:
            raise CommandError(f"{error.filename or folder} can't be written: {error.strerror}.") from error
        self.stdout.write(f"{made.file}\n{made.said}")
