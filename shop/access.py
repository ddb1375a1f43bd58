"""Who may open what. Every view says so with one of these, and a test walks the addresses to see that it does."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlsplit

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponseBase
from django.urls import resolve
from django.utils.http import url_has_allowed_host_and_scheme

from shop.context import current_hand
from shop.models import Hand
from shop.people import BENCH_SESSION as BENCH_SESSION
from shop.people import bench_session_stands

View = Callable[..., HttpResponseBase]


def roles_of(request: HttpRequest) -> frozenset[str]:
    """What the person signed in may act as: an owner may do what the desk does, all may work at the bench."""
    hand = current_hand(request)
    if hand is None or hand.left_on is not None:
        return frozenset()
    if BENCH_SESSION in request.session:
        # For bench facts, whatever the person's role, and no longer than the device is enrolled.
        return frozenset({"bench"}) if bench_session_stands(request) else frozenset()
    roles = {hand.role}
    if hand.role == Hand.Role.OWNER:
        roles.add(Hand.Role.DESK)
    if hand.role != Hand.Role.SMITH:
        roles.add("bench")
    return frozenset(roles)


def may(*roles: str) -> Callable[[View], View]:
    """Open a view to hands with any of these roles ("owner", "desk", "hand", "smith", "bench"); 403 to others."""

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not roles_of(request) & set(roles):
                raise PermissionDenied("This page is not for your account.")
            return view(request, *args, **kwargs)

        guarded.may = frozenset(roles)  # type: ignore[attr-defined]
        return guarded

    return decorate


def open_to_all(view: View) -> View:
    """Open a view to strangers: the door itself, and nothing behind it."""
    view.may = frozenset({"anyone"})  # type: ignore[attr-defined]
    opened: View = login_not_required(view)
    return opened


def wanted_page(request: HttpRequest) -> str:
    """Where somebody was going when the door stopped them: an address of this shop, or ""."""
    told = request.POST.get("next") or request.GET.get("next", "")
    safe = url_has_allowed_host_and_scheme(told, {request.get_host()}, require_https=request.is_secure())
    # What does not begin so would be taken for the name of a page.
    return told if safe and told.startswith("/") else ""


def wanted_at_bench(request: HttpRequest) -> str:
    """The same, if a hand at the bench may open it."""
    told = wanted_page(request)
    try:
        view = resolve(urlsplit(told).path).func
    except Http404:
        return ""
    return told if "bench" in getattr(view, "may", ()) else ""
