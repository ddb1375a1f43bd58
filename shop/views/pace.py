"""Pace: what so many wheels of a make-up, or of a lot, take of the shop's hands. It is asked by plain GET."""

from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.models import LibraryMakeUp, Lot, Operation
from jobs.models.operations import Trade, Work
from shop.access import may
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.forms.times import PaceForm
from shop.pace_page import USUAL_DAYS, USUAL_HOURS, PacePage, usual_hands
from shop.pace_page import Asked as PaceAsked
from shop.views.order_changes import find_lot
from timing.pace import Week
from timing.usual import the_usual

SET_OF_FOUR = 4


@may("desk", "bench")
@conditional("day")
def makeup_pace(request: HttpRequest, pk: int) -> HttpResponse:
    """Of new wheels of a make-up in the library."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    about = {"name": row.name, "back": row.name, "back_url": reverse("shop:makeup", args=[pk])}
    return _pace(request, asked(request), Lot.from_makeup(row.makeup, work=Work.NEW), SET_OF_FOUR, about)


@may("desk", "bench")
@conditional("day")
def lot_pace(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Of a lot's wheels, with its spares; of all the work that its kind has from the start."""
    lot = find_lot(number, pk)
    about = {
        "name": f"{lot.name}, order {number}",
        "back": f"Make-up of the {lot.name}, order {number}",
        "back_url": reverse("shop:lot", args=[number, pk]),
    }
    return _pace(request, asked(request), lot, max(lot.wheels.filter(dropped_at=None).count(), 1), about)


def _pace(request: HttpRequest, here: Asked, lot: Lot, wheels: int, about: dict[str, str]) -> HttpResponse:
    usual: dict[str, Any] = {"wheels": wheels, "hours": USUAL_HOURS, "days": USUAL_DAYS}
    usual |= {trade: f"{hands:g}" for trade, hands in usual_hands(here.shop).items()}
    form = PaceForm(request.GET, usual=usual)
    context: dict[str, object] = {"form": form, "usual": None}
    if form.is_valid() and Operation.objects.in_use().exists():
        told = form.cleaned_data
        question = PaceAsked(
            wheels=told["wheels"],
            week=Week(hours=float(told["hours"]), days=float(told["days"])),
            hands={trade: float(told[trade]) for trade in Trade.values if trade in told},
        )
        times = the_usual()
        page = PacePage(lot, question, times, list(Operation.objects.in_use()), here.words)
        context |= {"page": page, "usual": times}
    status = HTTPStatus.UNPROCESSABLE_ENTITY if form.errors else HTTPStatus.OK
    return render(request, "shop/times/pace.html", context | about, status=status)
