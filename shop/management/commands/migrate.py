"""`manage.py migrate`: Django's own, and before it a proved backup of a shop whose tables are to be changed."""

from typing import Any

from django.core.checks import Tags
from django.core.management.base import CommandParser
from django.core.management.commands import migrate
from django.db import DEFAULT_DB_ALIAS, connections

from shop.before_migrating import back_up_before_migrating


class Command(migrate.Command):
    help = "Brings the tables to this version; a shop that has some is backed up first."

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument(
            "--no-backup", action="store_false", dest="backup", help="change the tables without a backup before it"
        )

    def check(self, *args: Any, **options: Any) -> None:
        """Of tables and their database: checks of addresses load every page, which takes longer than all else here."""
        super().check(*args, **{**options, "tags": [Tags.models, Tags.database]})

    def handle(self, *args: Any, **options: Any) -> None:
        changes = not (options["plan"] or options["check_unapplied"])
        if options.pop("backup") and changes and options["database"] == DEFAULT_DB_ALIAS:
            back_up_before_migrating(
                connections[DEFAULT_DB_ALIAS], tell=self.stdout.write, named=bool(options["app_label"])
            )
        super().handle(*args, **options)
