"""Settings: customers whose orders are long over, and a number in the place of their names."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.models import Customer
from shop.access import may
from shop.asked import asked, signed_in
from shop.forms.records import CustomersForm
from shop.past_customers import (
    OPEN,
    CustomerRefused,
    named_customer,
    past_customers,
    past_of,
    replace_customer,
)
from shop.views.replacing import replacing


@may("owner")
def records_customers(request: HttpRequest) -> HttpResponse:
    """Those whose names may be replaced, of long ago first; by a part of the name where that is asked."""
    ask = asked(request)
    form = CustomersForm(request.GET)
    if not form.is_valid():
        return render(request, "shop/settings/records_customers.html", {"form": form}, status=422)
    rows, has_more = past_customers(ask.shop, today=ask.today, search=form.cleaned_data["name"])
    context = {"form": form, "rows": rows, "has_more": has_more, "is_narrowed": bool(form.cleaned_data["name"])}
    return render(request, "shop/settings/records_customers.html", context)


@may("owner")
def records_customer(request: HttpRequest, pk: int) -> HttpResponse:
    """One customer: what would be replaced by a number, and from which day; posted to, it is done."""
    customer = get_object_or_404(Customer, pk=pk)
    ask = asked(request)
    if customer.replaced_at:
        messages.success(request, f"{customer.name} is a number already: the name was replaced.")
        return redirect("shop:records-customers")
    past = past_of(customer, ask.shop, today=ask.today)
    is_open = past is not None and past.may_be_replaced(ask.today)
    told = replacing(
        request,
        named_customer(customer, ask.shop, today=ask.today),
        is_open=is_open,
        act=partial(replace_customer, customer, at=ask.now, shop=ask.shop, by=signed_in(request)),
        refused=CustomerRefused,
    )
    if told.name:
        messages.success(request, f"Replaced: it says {told.name} from now on. Orders and sums are as they were.")
        return redirect("shop:records-customers")
    context = told.context | {"customer": customer, "past": past, "is_open": is_open, "open_words": OPEN}
    return render(request, "shop/settings/records_customer.html", context, status=told.status)
