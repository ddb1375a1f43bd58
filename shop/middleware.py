"""What every answer carries, and the door: nothing is shown to a stranger unless a view says so."""

from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import redirect, resolve_url
from django_htmx.http import HttpResponseClientRedirect

from jobs.stamp import stamp_of_all
from shop.context import current_shop
from shop.people import BENCH_SESSION, bench_session_stands, device_of

# No nonces, since there is no inline script or style anywhere.
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

Answer = Callable[[HttpRequest], HttpResponse]


def content_security_policy(get_response: Answer) -> Answer:
    """Give every answer the one policy, and keep other sites from putting it into their pages."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response["Content-Security-Policy"] = POLICY
        response["Cross-Origin-Resource-Policy"] = "same-origin"
        return response

    return middleware


def stamp(get_response: Answer) -> Answer:
    """Note how the database stands before anything is read of it, who asks among it: see `shop.conditional`."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if request.method in ("GET", "HEAD"):
            request.stamp = stamp_of_all()  # type: ignore[attr-defined]
        return get_response(request)

    return middleware


def by_itself(get_response: Answer) -> Answer:
    """Let what an open page asks without anybody there keep no session alive: its script says so in a header."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if "X-By-Itself" in request.headers:
            request.session.is_by_itself = True  # type: ignore[attr-defined]
        return get_response(request)

    return middleware


# Where an empty shop is opened; every other page leads there until it is.
OPENING = frozenset({"shop:first-run", "shop:open-example"})


class SignInMiddleware(LoginRequiredMiddleware):
    """Sends everyone to open a shop that is empty, and strangers to sign in.

    A fragment asked for by htmx makes the whole page go there. A bench session ends with its device; one that has ended
    by the clock leads to the names on that device, and one of the desk to the page that was asked for.
    """

    def process_view(
        self, request: HttpRequest, view_func: Callable[..., Any], view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        match = request.resolver_match
        opening = match is not None and match.view_name in OPENING
        if not opening and current_shop(request) is None:
            return _whole_page(request, redirect("shop:first-run"))
        ended = BENCH_SESSION in request.session and not bench_session_stands(request)
        if ended:
            logout(request)
        response = super().process_view(request, view_func, view_args, view_kwargs)
        if response is None:
            return None
        if not ended and request.method == "GET" and request.COOKIES.get(settings.SESSION_COOKIE_NAME):
            messages.info(request, "You were signed out, as happens after some hours or with a new password.")
        at_bench = match is not None and match.view_name.startswith("shop:bench") and device_of(request) is not None
        # The bench's first page says what became of a device that was ended; a password would be of no use there.
        return _whole_page(request, redirect("shop:bench") if ended or at_bench else response)

    def handle_no_permission(self, request: HttpRequest, view_func: Callable[..., Any]) -> HttpResponseRedirect:
        return redirect_to_login(_page_of(request), resolve_url(settings.LOGIN_URL))


def _page_of(request: HttpRequest) -> str:
    """The page to go on with after signing in: not a fragment of it, nor an address that only takes posts."""
    if request.method == "GET" and not getattr(request, "htmx", False):
        return request.get_full_path()
    came_from = urlsplit(request.headers.get("HX-Current-URL") or request.headers.get("Referer", ""))
    return came_from._replace(scheme="", netloc="").geturl() or resolve_url("shop:home")


def _whole_page(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """The same redirect, understood by htmx too: it would put the page it leads to inside the fragment."""
    return HttpResponseClientRedirect(response["Location"]) if getattr(request, "htmx", False) else response
