"""Where each role may go, for the band at the head of every page."""

from dataclasses import dataclass

from django.http import HttpRequest

from shop.models import Hand


@dataclass(frozen=True, slots=True)
class Place:
    label: str
    url: str
    current: bool


def navigation(request: HttpRequest, hand: Hand | None) -> list[Place]:
    """The pages that this hand may open, in the order of the day's work."""
    return []
