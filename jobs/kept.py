"""Rows that are records: they are added, and nothing takes one away, by itself or among many.

What belongs to such a row is protected by its key; here the row itself is. The database's own clearing of tables, in
tests and in restoring a backup, does not come through here.
"""

from typing import Any, NoReturn, TypeVar

from django.db import models

Row = TypeVar("Row", bound=models.Model, covariant=True)


class MustBeKept(TypeError):
    """A record was to be deleted; the message says of which kind."""


class KeptQuerySet(models.QuerySet[Row]):
    """Rows that are not deleted."""

    def delete(self) -> NoReturn:
        raise MustBeKept(f"{_name(self.model)} must be kept: nothing here deletes them.")


class KeptRow(models.Model):
    """A row that is not deleted; for one whose own `objects` is made of a `KeptQuerySet`."""

    class Meta:
        abstract = True

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise MustBeKept(f"{_name(type(self))} must be kept: nothing here deletes them.")


class Kept(KeptRow):
    """A row that is not deleted, and has no more ways of being asked for than any other."""

    objects = KeptQuerySet.as_manager()

    class Meta:
        abstract = True


def _name(model: type[models.Model]) -> str:
    name = str(model._meta.verbose_name_plural)
    return f"{name[:1].upper()}{name[1:]}"
