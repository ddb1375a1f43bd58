"""A backup of a shop whose tables are about to be changed."""

from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.core.management.base import CommandError
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from shop.backup import OURS, STRETCHES, Backup, BackupRefused, check_there
from shop.backup_sources import own_source


def back_up_before_migrating(connection: BaseDatabaseWrapper, *, tell: Callable[[str], object], named: bool) -> None:
    """Back the shop up where it has tables and migrations are pending, or one is asked for by name.

    A first start that was broken off may have left Django's tables, or some of ours, but nothing that was ever told.
    The backup is proved as all are: a copy of it is brought to the new tables and recounted, which tries the migration
    before the shop itself is touched. Raises CommandError where it can't be made.
    """
    if connection.vendor == "sqlite" and not Path(str(connection.settings_dict["NAME"])).is_file():
        return  # in memory, or not made yet
    executor = MigrationExecutor(connection)
    applied = executor.loader.applied_migrations
    pending = executor.migration_plan(executor.loader.graph.leaf_nodes())
    is_shop = any(app in OURS for app, _ in applied) and STRETCHES in connection.introspection.table_names()
    if not is_shop or not (pending or named):
        return
    first = f"{pending[0][0].app_label}-{pending[0][0].name}" if pending else "migrating-back"
    made = _made(f"before-{first}")
    tell(f"The tables are to be changed ({first}); the shop as it was is kept: {made.file}")


def _made(name: str) -> Backup:
    try:
        if not settings.MAKES_BACKUPS_DIR:
            check_there(settings.BACKUPS_DIR)
        return own_source().back_up(settings.BACKUPS_DIR, now=timezone.now(), name=name)
    except BackupRefused as error:
        why = str(error)
    except OSError as error:
        why = f"{error.filename or settings.BACKUPS_DIR} can't be written: {error.strerror or error}."
    raise CommandError(
        f"The tables were not changed, since the shop could not be backed up first: {why} "
        "To change them without a backup: manage.py migrate --no-backup."
    )
