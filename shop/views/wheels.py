"""A wheel: its page, leaving it out, and what a repair was found to need."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.changes import drop_wheel
from jobs.found import Found, found_so_far, list_found, usually_found
from jobs.models import Wheel
from jobs.models.operations import Work
from jobs.orders import OrderRefused
from shop.access import may
from shop.asked import asked
from shop.conditional import conditional
from shop.costing import order_cost
from shop.file_answers import as_file
from shop.forms.found import FoundForm
from shop.wheel_card import address_for_phones, card_of
from shop.wheel_page import WheelPage


def find_wheel(number: int, pk: int) -> Wheel:
    """A wheel of the order of this number; 404 where there is none."""
    return get_object_or_404(Wheel.objects.select_related("lot__order__customer"), pk=pk, lot__order__number=number)


@may("desk", "bench")
@conditional("minute")
def wheel(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """One wheel, large, with every part of it, its measures as made, and at the desk its cost."""
    found, here = find_wheel(number, pk), asked(request)
    context = {
        "order": found.lot.order,
        "wheel": found,
        "page": WheelPage(found, here),
        "is_desk": here.is_desk,
        "open_cost": f"wheel-{found.pk}",
        "cost": order_cost(found.lot.order, words=here.words).of_wheel(found.pk) if here.is_desk else None,
    }
    return render(request, "shop/orders/wheel.html", context)


@may("desk", "bench")
def wheel_card(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The card to hang on it, as a file to print."""
    found, here = find_wheel(number, pk), asked(request)
    url = address_for_phones(request, found)
    card = card_of(found, url=url, words=here.words, unit=here.unit)
    return as_file(card, kind="application/pdf", name=f"Order {number}, wheel {found.number}, card.pdf")


@may("desk")
def wheel_drop(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Say what leaving a wheel out keeps, and leave it out."""
    found, here = find_wheel(number, pk), asked(request)
    if request.method == "POST":
        drop_wheel(found, at=here.now)
        messages.success(request, f"The {found.label} wheel is left out; what was done on it is kept.")
        return redirect("shop:order", number)
    context = {"order": found.lot.order, "wheel": found, "page": WheelPage(found, here)}
    return render(request, "shop/orders/wheel_drop.html", context)


@may("desk")
def wheel_found(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """List what a wheel under repair was found to need, and wait for the customer's word."""
    found, here = find_wheel(number, pk), asked(request)
    lot = found.lot
    if lot.work == Work.NEW or found.dropped_at is not None:
        messages.warning(request, "Only a wheel under repair is looked over: this one is new, or left out.")
        return redirect("shop:wheel", number, pk)
    form = FoundForm(
        request.POST or None, words=here.words, usual=usually_found(lot), initial={"seen": found_so_far(lot)}
    )
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and form.is_valid():
        try:
            list_found(Found(found, form.numbers, form.what(found)), seen=form.cleaned_data["seen"], at=here.now)
        except OrderRefused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"Listed for the {found.label} wheel. It waits for the customer’s word.")
            return redirect("shop:order", number)
    context = {"order": lot.order, "wheel": found, "form": form}
    return render(request, "shop/orders/found.html", context, status=status)
