"""Pages that are asked for again and again: where nothing has changed since, 304, without the page's work."""

import hashlib
from collections.abc import Callable
from functools import cache, wraps
from http import HTTPStatus
from typing import Any, Literal

import django
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase
from django.utils.cache import get_conditional_response, patch_cache_control

from shop.asked import asked
from shop.people import DEVICE_COOKIE

View = Callable[..., HttpResponseBase]
Span = Literal["minute", "day"]

# What a page is made by, besides the database.
SOURCES = ("jobs", "timing", "shop", "templates", "static")


def conditional(span: Span) -> Callable[[View], View]:
    """Give a page's answers an ETag, and answer 304 to who has that page already.

    `span` says for how long a page may stand while nothing is saved: "minute" where it shows what passes with time
    by itself (glue that has dried), "day" where it only knows what day it is. Put it under `may`, so that who may
    not open a page is told so first. It is not for a page whose script counts on from the second it was made.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def answered(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            tag = tag_of(request, span)
            request.page_tag = tag  # type: ignore[attr-defined]
            response: HttpResponseBase | None = get_conditional_response(request, etag=tag) if tag else None
            if response is None:
                response = view(request, *args, **kwargs)
            if request.method in ("GET", "HEAD"):
                if tag and response.status_code in (HTTPStatus.OK, HTTPStatus.NOT_MODIFIED):
                    response["ETag"] = tag
                # Kept by this browser alone, and never shown without asking.
                patch_cache_control(response, private=True, no_cache=True)
            return response

        return answered

    return decorate


def tag_of(request: HttpRequest, span: Span) -> str | None:
    """The ETag of a page for who asks, or None where it can't be told or a message is to be shown once."""
    if request.method not in ("GET", "HEAD") or settings.DEBUG or len(messages.get_messages(request)):
        return None
    stamp = getattr(request, "stamp", None)
    if stamp is None:
        return None
    here = asked(request)
    parts = (
        stamp,
        code_version(),
        f"{here.now:%Y-%m-%d %H:%M}" if span == "minute" else str(here.today),
        request.get_full_path(),
        request.session.session_key,
        # A page's forms hold a token that belongs to this cookie.
        request.COOKIES.get(settings.CSRF_COOKIE_NAME),
        request.COOKIES.get(DEVICE_COOKIE),
        request.headers.get("HX-Request"),
    )
    told = hashlib.sha256("\n".join(map(str, parts)).encode()).hexdigest()[:32]
    # Weak: the same page drawn twice has other tokens in its forms.
    return f'W/"{told}"'


@cache
def code_version() -> str:
    """Names what draws the pages: our own files and Django's release."""
    found = hashlib.sha256(django.get_version().encode())
    for path in sorted(path for room in SOURCES for path in (settings.BASE_DIR / room).rglob("*.[phjc]*")):
        if path.suffix in (".py", ".html", ".js", ".css"):
            found.update(path.read_bytes())
    return found.hexdigest()
