"""Where each person may go, for the band at the head of every page."""

from dataclasses import dataclass
from functools import cache

from django.http import HttpRequest
from django.urls import resolve, reverse

from shop.access import roles_of
from shop.models import Hand


@dataclass(frozen=True, slots=True)
class Place:
    label: str
    url: str
    current: bool


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the house: the page it opens with, and the beginnings of other addresses that belong to it.

    `only` is the one role that it is for, where its page is open to strangers too.
    """

    label: str
    opens_with: str
    others: tuple[str, ...] = ()
    only: str = ""

    @property
    def url(self) -> str:
        return reverse(f"shop:{self.opens_with}")


# In the order of the day's work.
SECTIONS = (
    Section("Bench", "bench", only="bench"),
    Section("Order book", "order-book"),
    Section("Smith's list", "smith", ("/trades/",)),
    Section("Quotations", "quotes"),
    Section("Day book", "day-book", ("/tasks/", "/pay/", "/costs/")),
    Section("Make-ups", "makeups", ("/timber/",)),
    Section("Stores", "stores"),
    Section("Times", "times"),
    Section("Settings", "settings"),
)


def navigation(request: HttpRequest, hand: Hand | None) -> list[Place]:
    """The pages that this hand may open: the views themselves say for whom they are."""
    if hand is None:
        return []
    roles = roles_of(request)
    return [
        Place(section.label, section.url, current=request.path.startswith((section.url, *section.others)))
        for section in SECTIONS
        if roles & ({section.only} if section.only else _for_whom(section.url))
    ]


@cache
def _for_whom(url: str) -> frozenset[str]:
    roles: frozenset[str] = resolve(url).func.may  # type: ignore[attr-defined]
    return roles
