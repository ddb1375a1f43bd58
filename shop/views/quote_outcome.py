"""What was quoted, and what became of it: of one order, and of all that have ended."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.access import may
from shop.asked import asked
from shop.conditional import conditional
from shop.quote_held import read_held
from shop.quote_outcome import outcome_of
from shop.views.orders import find_order


@may("desk")
@conditional("day")
def outcome(request: HttpRequest, number: int) -> HttpResponse:
    """An order beside its quotation and the alterations that were accepted."""
    order, here = find_order(number), asked(request)
    found = outcome_of(order, words=here.words, currency=here.shop.currency)
    return render(request, "shop/quotes/outcome.html", {"order": order, "outcome": found})


@may("desk")
@conditional("day")
def quotes_held(request: HttpRequest) -> HttpResponse:
    """How many of the ranges held, and whether that is as it should be."""
    return render(request, "shop/quotes/held.html", {"held": read_held()})
