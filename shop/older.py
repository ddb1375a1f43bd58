"""A list a page at a time, the newest first: the newest rows, or those older than one that an address names."""

from dataclasses import dataclass
from typing import Generic, TypeVar

from django.db.models import Model, Q, QuerySet
from django.http import HttpRequest

Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True, slots=True)
class Older(Generic[Row]):
    """The rows of a page, and where the others are: the next older, and the newest; "" where there are none."""

    rows: list[Row]
    older_url: str
    newer_url: str


def page_of(request: HttpRequest, rows: QuerySet[Row], *, day: str, most: int) -> "Older[Row]":
    """At most so many of some rows, by the column of their day and then by id; from `?before=` an id on.

    One query, two where a row is named; an id that is none of these rows' names nothing.
    """
    before = request.GET.get("before", "")
    known = before.isascii() and before.isdigit() and len(before) < 16
    named = rows.filter(pk=int(before)).values_list(day, "pk").first() if known else None
    if named:
        on, pk = named
        rows = rows.filter(Q(**{f"{day}__lt": on}) | Q(**{day: on}, pk__lt=pk))
    found = list(rows.order_by(f"-{day}", "-pk")[: most + 1])
    older_url = f"?before={found[most - 1].pk}" if len(found) > most else ""
    return Older(found[:most], older_url, request.path if named else "")
