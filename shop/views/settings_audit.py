"""Settings: who changed rates, prices, people and the rest, newest first. It is read here, and changed nowhere."""

from datetime import date
from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from shop.access import may
from shop.asked import asked
from shop.audit import page
from shop.forms.audit import ChangesForm
from shop.models import AuditLine


@may("owner")
@require_safe
def changes(request: HttpRequest) -> HttpResponse:
    """Who changed what, by day; of a person, a kind and some days where that is asked."""
    here = asked(request)
    form = ChangesForm(request.GET)
    if not form.is_valid():
        return render(request, "shop/settings/changes.html", {"form": form}, status=422)
    found = page(form.asked, zone=here.zone, before=_id(request, "before"), after=_id(request, "after"))
    by_day = groupby(found.rows, key=lambda line: line.made_at.astimezone(here.zone).date())
    days: list[tuple[date, list[AuditLine]]] = [(day, list(lines)) for day, lines in by_day]
    context = {
        "form": form,
        "days": days,
        "is_narrowed": any(form.cleaned_data.values()),
        "older_url": _page_url(request, "before", found.older),
        "newer_url": _page_url(request, "after", found.newer),
    }
    return render(request, "shop/settings/changes.html", context)


def _id(request: HttpRequest, name: str) -> int | None:
    given = request.GET.get(name, "")
    return int(given) if given.isdecimal() and given.isascii() and len(given) < 16 else None


def _page_url(request: HttpRequest, name: str, pk: int | None) -> str:
    if pk is None:
        return ""
    rest = [(given, str(text)) for given, text in request.GET.items() if given not in ("before", "after")]
    return f"?{urlencode([*rest, (name, str(pk))])}"
