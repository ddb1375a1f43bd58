"""The records of one hand, written out for who has a right to see them."""

from datetime import timedelta
from typing import cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode

from jobs.patterns.tiles import Paper
from shop.access import may
from shop.asked import Asked, asked
from shop.file_answers import as_file, refused
from shop.forms.inspector import InspectorForm
from shop.inspector import Records, records_of
from shop.models import Hand

USUAL_DAYS = 28


@may("owner")
def inspector(request: HttpRequest) -> HttpResponse:
    """Whose records, of which days; the pay periods that hold them, and the file."""
    ask = asked(request)
    form = _form(request, ask)
    if not form.is_valid():
        return render(request, "shop/pay/inspector.html", {"form": form}, status=422 if request.GET else 200)
    found = _records(form, ask)
    context = {
        "form": form,
        "found": found,
        "is_asked": bool(request.GET),
        "file_url": f"{reverse('shop:inspector-file')}?{urlencode({name: form[name].value() for name in form.fields})}",
    }
    return render(request, "shop/pay/inspector.html", context)


@may("owner")
def inspector_file(request: HttpRequest) -> HttpResponse:
    """The file itself."""
    # What writes papers takes a while to load, so that only who asks waits for it.
    from shop.inspector_files import write_records

    ask = asked(request)
    form = _form(request, ask)
    if not form.is_valid():
        return refused(form)
    records = _records(form, ask)
    content = write_records(records, ask.shop, today=ask.today, paper=cast(Paper, form.cleaned_data["paper"] or "a4"))
    name = f"Records of {records.hand.name}, {records.first} to {records.last}.zip"
    return as_file(content, kind="application/zip", name=name)


def _form(request: HttpRequest, ask: Asked) -> InspectorForm:
    """As asked; without a question, the first hand's last four weeks."""
    first = (ask.today - timedelta(days=USUAL_DAYS - 1)).isoformat()
    usual = {"first": first, "last": ask.today.isoformat(), "paper": "letter" if ask.shop.pay_rules == "us" else "a4"}
    given = {name: text for name, text in request.GET.items() if name in InspectorForm.base_fields}
    hand = Hand.objects.working().order_by("name").values_list("pk", flat=True).first()
    return InspectorForm(usual | {"hand": str(hand or "")} | given, today=ask.today)


def _records(form: InspectorForm, ask: Asked) -> Records:
    answers = form.cleaned_data
    hand = Hand.objects.get(pk=answers["hand"])
    return records_of(hand, ask.shop, first=answers["first"], last=answers["last"], now=ask.now)
