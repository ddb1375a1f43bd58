"""Tags of the pages of times: the picture of timings, and this page's address with another question."""

from typing import Any

from django import template
from django.template import RequestContext
from django.utils.safestring import SafeString, mark_safe

from shop.times_picture import Picture

register = template.Library()


@register.simple_tag
def dots(picture: Picture, ident: str) -> SafeString:
    """Draw a picture made by `shop.times_picture`; `ident` must be unique on the page."""
    return mark_safe(picture.figures + picture.svg(ident) + picture.words)  # noqa: S308  texts in it were escaped


@register.simple_tag(takes_context=True)
def query_with(context: RequestContext, **changes: Any) -> str:
    """This page's own question with these answers changed; an empty one is left out.

    A page that answers an act at another address says in `asked_at` where its questions go.
    """
    asked = context["request"].GET.copy()
    for name, value in changes.items():
        asked.pop(name, None)
        if value not in ("", None):
            asked[name] = str(value)
    at = context.get("asked_at", "")
    return f"{at}?{asked.urlencode()}" if asked else at or context["request"].path
