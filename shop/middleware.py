"""What every answer carries, and the door: nothing is shown to a stranger unless a view says so."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django_htmx.http import HttpResponseClientRedirect

# No nonces, since there is no inline script or style anywhere.
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

Answer = Callable[[HttpRequest], HttpResponse]


def content_security_policy(get_response: Answer) -> Answer:
    """Give every answer the one policy."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response["Content-Security-Policy"] = POLICY
        return response

    return middleware


class SignInMiddleware(LoginRequiredMiddleware):
    """Sends strangers to sign in; a fragment asked for by htmx makes the whole page go there."""

    def process_view(
        self, request: HttpRequest, view_func: Callable[..., Any], view_args: Any, view_kwargs: Any
    ) -> HttpResponseBase | None:
        response = super().process_view(request, view_func, view_args, view_kwargs)
        if response is not None and getattr(request, "htmx", False):
            return HttpResponseClientRedirect(response["Location"])
        return response
