"""Who changed what: one line for each change of a rate, a price, a person and the like, written with the change.

Each action writes its own line, in words. Signals would miss updates of many rows, and would know columns only: who
reads these lines wants to know that a wage went up, and must never meet the hash of a PIN.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, tzinfo

from django.contrib.auth.models import User
from django.db import connection
from django.db.models import Q
from django.utils import timezone

from shop.days import day_in_words
from shop.models import AuditLine, Shop
from shop.models.audit import AuditQuerySet

Kind = AuditLine.Kind
PAGE = 50


def a_line(
    kind: str, what: str, *, by: User | None, before: str = "", after: str = "", at: datetime | None = None
) -> AuditLine:
    """One change in the words of a person, not written down yet. Never give a secret.

    `by` is who asked for it, None for a command at the machine itself; `at` is now unless given.
    """
    return AuditLine(made_at=at or timezone.now(), by=by, kind=kind, what=what, before=before, after=after)


def write_down(lines: Iterable[AuditLine]) -> None:
    """Add lines; call it inside the write that makes the changes.

    RuntimeError outside a write: a change might be kept without its line.
    """
    if not connection.in_atomic_block:
        raise RuntimeError("A line of who changed what goes into the same write as the change.")
    AuditLine.objects.bulk_create(lines)


def note_change(
    kind: str, what: str, *, by: User | None, before: str = "", after: str = "", at: datetime | None = None
) -> None:
    """Write down one change, as `a_line` and `write_down` say."""
    write_down([a_line(kind, what, by=by, before=before, after=after, at=at)])


def note_differences(
    kind: str, what: str, before: Mapping[str, str], after: Mapping[str, str], *, by: User | None
) -> None:
    """Write down what of these named texts is not as it was, in one line; nothing where all is as before."""
    changed = [name for name in after if before[name] != after[name]]
    if changed:
        told = [
            "; ".join(f"{name}: {texts[name] or 'nothing'}" for name in changed if name) for texts in (before, after)
        ]
        note_change(kind, what, by=by, before=told[0], after=told[1])


def the_shop() -> Shop:
    """The shop in whose money and words a line is written."""
    return Shop.objects.filter(id=1).first() or Shop()


def day_or_none(day: date | None) -> str:
    return day_in_words(day) if day else "no day"


@dataclass(frozen=True, slots=True)
class Asked:
    """Which lines: of which days, by which user, of what kind; what is None or empty is not asked about."""

    first: date | None = None
    last: date | None = None
    by_id: int | None = None
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A page of lines, newest first, and the ids to go on from (None where there is no more)."""

    rows: list[AuditLine]
    older: int | None
    newer: int | None


def page(asked: Asked, *, zone: tzinfo, before: int | None = None, after: int | None = None) -> Page:
    """The newest lines asked for, or those older (`before`) or newer (`after`) than the line of an id.

    Two queries, three where a line is named, however many lines there are.
    """
    rows = _asked_for(asked, zone)
    named = AuditLine.objects.filter(pk=before or after or 0).values_list("made_at", "pk").first()
    if named and before:
        found = list(rows.filter(_older(*named)).newest_first()[: PAGE + 1])
        return Page(found[:PAGE], _last(found), found[0].pk if found else None)
    if named:
        found = list(rows.filter(_newer(*named)).order_by("made_at", "id")[: PAGE + 1])
        shown = found[:PAGE][::-1]
        return Page(shown, shown[-1].pk if shown else None, shown[0].pk if len(found) > PAGE else None)
    found = list(rows.newest_first()[: PAGE + 1])
    return Page(found[:PAGE], _last(found), None)


def _last(found: list[AuditLine]) -> int | None:
    return found[PAGE - 1].pk if len(found) > PAGE else None


def _older(at: datetime, pk: int) -> Q:
    # The first half alone would do for the sense; it is what an index can be walked by.
    return Q(made_at__lte=at) & (Q(made_at__lt=at) | Q(pk__lt=pk))


def _newer(at: datetime, pk: int) -> Q:
    return Q(made_at__gte=at) & (Q(made_at__gt=at) | Q(pk__gt=pk))


def _asked_for(asked: Asked, zone: tzinfo) -> AuditQuerySet:
    rows = AuditLine.objects.select_related("by__shop_hand")
    if asked.first:
        rows = rows.filter(made_at__gte=datetime.combine(asked.first, time(), zone))
    if asked.last:
        rows = rows.filter(made_at__lt=datetime.combine(asked.last + timedelta(days=1), time(), zone))
    if asked.by_id is not None:
        rows = rows.filter(by=asked.by_id)
    if asked.kind:
        rows = rows.filter(kind=asked.kind)
    return rows
