"""Settings: customers whose orders are long over, and a number in the place of their names."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.models import Customer
from shop.access import may
from shop.asked import asked, signed_in
from shop.forms.records import CustomersForm, ReplaceForm
from shop.name_places import WrittenMeanwhile, where_people_wrote_it
from shop.past_customers import (
    OPEN,
    CustomerRefused,
    named_customer,
    number_of,
    past_customers,
    past_of,
    replace_customer,
)


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
    ask, number = asked(request), number_of(customer)
    if customer.replaced_at:
        messages.success(request, f"{customer.name} is a number already: the name was replaced.")
        return redirect("shop:records-customers")
    found = where_people_wrote_it(named_customer(customer, ask.shop, today=ask.today))
    form = ReplaceForm(request.POST if request.method == "POST" else None, found=found)
    past = past_of(customer, ask.shop, today=ask.today)
    is_open = past is not None and past.may_be_replaced(ask.today)
    refusal, status = "", 422 if form.is_bound else 200
    # Before its day it is refused for that, whatever else is wrong with the form.
    if form.is_bound and (form.is_valid() or not is_open):
        try:
            name = replace_customer(customer, **form.chosen, at=ask.now, shop=ask.shop, by=signed_in(request))
        except CustomerRefused as refused:
            refusal = str(refused)
        except WrittenMeanwhile as written:
            refusal, status = str(written), 409
            found = where_people_wrote_it(named_customer(customer, ask.shop, today=ask.today))
            form = ReplaceForm(found=found)
        else:
            messages.success(request, f"Replaced: it says {name} from now on. Orders and sums are as they were.")
            return redirect("shop:records-customers")
    context = {
        "customer": customer,
        "number": number,
        "past": past,
        "is_open": is_open,
        "found": found,
        "form": form,
        "refusal": refusal,
        "open_words": OPEN,
    }
    return render(request, "shop/settings/records_customer.html", context, status=status)
