"""The library of make-ups: put in, change, retire. Lots have their own copy, so no order changes with it."""

from datetime import datetime

from django.db.models import Q, QuerySet, Value
from django.db.models.functions import Lower

from jobs.makeup import MakeUp
from jobs.models import LibraryMakeUp
from jobs.writing import writing

OWN = "our own"
PUBLISHED = "published"


class LibraryRefused(ValueError):
    """What was asked of the library can't be done; the message is one sentence for the person who asked."""


def by_name(*, retired: bool = False, after: str = "") -> QuerySet[LibraryMakeUp]:
    """Make-ups in use, or those retired, by name as a person looks for it: small and capital letters alike.

    `after` is the name of the last one shown: those that follow it.
    """
    rows = LibraryMakeUp.objects.filter(retired_at__isnull=not retired).annotate(folded=Lower("name"))
    if after:
        last = Lower(Value(after))
        rows = rows.filter(Q(folded__gt=last) | Q(folded=last, name__gt=after))
    return rows.order_by("folded", "name")


def add_to_library(makeup: MakeUp, *, name: str, carriage: str, place: str, source: str) -> LibraryMakeUp:
    """Put a make-up into the library. The same again, by the same name, is the one that is there.

    Raises LibraryRefused for a name that another make-up has.
    """
    with writing():
        there = LibraryMakeUp.objects.filter(name__iexact=name).first()
        if there is not None:
            if there.makeup == makeup:
                return there
            raise LibraryRefused(f"There is a make-up named “{there.name}” already: give this one another name.")
        row = LibraryMakeUp.from_makeup(makeup, name=name, carriage=carriage, place=place, source=source, status=OWN)
        row.save()
        return row


def change_in_library(row: LibraryMakeUp, makeup: MakeUp, *, name: str, carriage: str, place: str, source: str) -> None:
    """Change a make-up of the shop's own. Raises LibraryRefused for a published one, whose figures are its source's."""
    if row.status == PUBLISHED:
        raise LibraryRefused("A published make-up stays as it was printed: copy it and change the copy.")
    with writing():
        told = LibraryMakeUp.columns_of(makeup) | {
            "name": name,
            "carriage": carriage,
            "place": place,
            "source": source,
            "status": OWN,
        }
        for column, value in told.items():
            setattr(row, column, value)
        row.save(update_fields=list(told))


def retire_from_library(row: LibraryMakeUp, *, at: datetime) -> None:
    """Offer it no longer for new orders. Retiring twice changes nothing."""
    with writing():
        LibraryMakeUp.objects.filter(pk=row.pk, retired_at=None).update(retired_at=at)


def bring_back_to_library(row: LibraryMakeUp) -> None:
    """Offer a retired make-up again."""
    with writing():
        LibraryMakeUp.objects.filter(pk=row.pk).update(retired_at=None)
