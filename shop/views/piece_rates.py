"""What rate a piece of an operation should have. It writes nothing down: the form of the rate does."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.models import Operation
from shop.access import may
from shop.agreements import Agreements
from shop.asked import asked
from shop.forms.piece_rates import PieceRateForm, months_back
from shop.output_page import OutputPage
from shop.pay.rules import RULES
from shop.pay_facts import Scheme
from shop.piece_rate_page import PieceRatePage
from shop.usual_times import is_out_of_date, left_out_hands
from timing.usual import the_usual


@may("owner")
def piece_rate(request: HttpRequest, key: str) -> HttpResponse:
    """By the usual minutes, what an hour is to earn and the law; tried on the last whole month unless asked."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    told = {"month": months_back(here.today)[1].isoformat()}
    told |= {name: request.GET[name] for name in PieceRateForm.base_fields if name in request.GET}
    form = PieceRateForm(told, currency=here.shop.currency, today=here.today)
    context: dict[str, Any] = {"operation": operation, "form": form, "rules": RULES[here.shop.pay_rules]}
    if form.is_valid():
        usual = the_usual()
        scheme = Scheme.load(here.words)
        page = PieceRatePage(operation, usual, here, scheme, left_out=left_out_hands(), **form.cleaned_data)
        if here.shop.pay_rules == "gb":
            context["output"] = OutputPage(operation, here, scheme, Agreements.load())
        if page.hour is not None and not told.get("hour"):
            # What was left out is shown, to be changed.
            form = PieceRateForm(told | {"hour": page.hour_typed}, currency=here.shop.currency, today=here.today)
        context |= {"page": page, "form": form, "usual": usual, "is_newer": is_out_of_date()}
    return render(request, "shop/pay/piece_rate.html", context, status=422 if form.errors else 200)
