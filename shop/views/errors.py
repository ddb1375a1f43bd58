"""What is answered where the program broke, and where it could not save for want of room."""

import sys

from django.http import HttpRequest, HttpResponse, HttpResponseServerError
from django.template.loader import render_to_string

from shop.full_disk import is_full_disk

INSUFFICIENT_STORAGE = 507


def server_error(request: HttpRequest) -> HttpResponse:
    """Called by Django while it handles the error, whichever part of the program raised it."""
    if is_full_disk(sys.exc_info()[1]):
        return HttpResponse(render_to_string("507.html"), status=INSUFFICIENT_STORAGE)
    return HttpResponseServerError(render_to_string("500.html"))
