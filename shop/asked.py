"""What almost every page of orders needs to know of the request: the shop, its words and units, the moment."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.utils import timezone

from jobs.measures import Unit
from shop.access import roles_of
from shop.context import current_shop
from shop.models import Shop


@dataclass(frozen=True, slots=True)
class Asked:
    """`today` is the shop's day; `is_desk`: the person keeps orders, and may see what they cost."""

    shop: Shop
    words: Mapping[str, str]
    unit: Unit
    zone: ZoneInfo
    now: datetime
    is_desk: bool

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()


def signed_in(request: HttpRequest) -> User:
    """The person who asks; the door lets no stranger as far as the views that call this."""
    if not isinstance(request.user, User):
        raise PermissionDenied("Sign in first.")
    return request.user


def asked(request: HttpRequest) -> Asked:
    """Read once at the head of a view."""
    shop = current_shop(request) or Shop()
    return Asked(
        shop=shop,
        words=shop.words,
        unit=cast(Unit, shop.units),
        zone=shop.zone,
        now=timezone.now(),
        is_desk="desk" in roles_of(request),
    )
