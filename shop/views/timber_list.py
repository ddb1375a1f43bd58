"""The cutting list of a make-up and of an order. It is asked by plain GET; nothing is kept."""

from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.models import LibraryMakeUp
from shop.access import may, roles_of
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.forms.timber_list import MOST_WHEELS, TimberListForm
from shop.money import format_pence
from shop.timber_list import TimberList, makeup_timber_list, order_timber_list
from shop.timber_stock import StockRow, Timbers
from shop.views.orders import find_order


@dataclass(frozen=True, slots=True)
class Subject:
    """Whose list it is, and the page that it is reached from."""

    name: str
    back: str
    back_url: str
    of_order: bool


@may("desk", "bench")
@conditional("day")
def makeup_timber(request: HttpRequest, pk: int) -> HttpResponse:
    """The timber of so many wheels of a make-up in the library."""
    row, here = get_object_or_404(LibraryMakeUp, pk=pk), asked(request)
    subject = Subject(row.name, row.name, reverse("shop:makeup", args=[row.pk]), of_order=False)

    def listed(wheels: int) -> TimberList:
        return makeup_timber_list(row.makeup, wheels, here.shop.allowances, words=here.words, unit=here.unit)

    return _show(request, here, subject, listed)


@may("desk", "bench")
@conditional("day")
def order_timber(request: HttpRequest, number: int) -> HttpResponse:
    """The timber of all new wheels of an order."""
    order, here = find_order(number), asked(request)
    back = f"Order {order.number}, {order.carriage}"
    subject = Subject(f"order {order.number}", back, reverse("shop:order", args=[order.number]), of_order=True)

    def listed(wheels: int) -> TimberList:
        return order_timber_list(order, here.shop.allowances, words=here.words, unit=here.unit)

    return _show(request, here, subject, listed)


def _show(request: HttpRequest, here: Asked, subject: Subject, listed: Callable[[int], TimberList]) -> HttpResponse:
    shown = listed(_wheels(request))
    timbers = Timbers(on=here.today, unit=here.unit, currency=here.shop.currency)
    form = TimberListForm(request.GET, offers=timbers.offers(shown.groups), unit=here.unit, of_order=subject.of_order)
    rows: dict[str, StockRow] = {}
    if form.is_valid():
        rows = timbers.rows(shown.groups, form, words=here.words)
        for key, row in rows.items():
            # What was asked is to be put right; what the shop's own materials can't do is told beside them.
            if row.refused and form.is_asked(key):
                form.add_error(f"{key}-length", row.refused)
    prices = [row.pence for row in rows.values() if row.pence is not None]
    context = {
        "subject": subject,
        "form": form,
        "wheels": _wheels(request),
        "list": shown,
        "groups": [(group, rows.get(group.key), form.of(group.key)) for group in shown.groups],
        "total": format_pence(sum(prices), here.shop.currency) if prices else "",
        "unpriced": [
            f"{group.heading[0].lower()}{group.heading[1:]}"
            for group in shown.groups
            if group.key in rows and (rows[group.key].pence is None or group.untold)
        ],
        "is_desk": here.is_desk,
        "is_owner": "owner" in roles_of(request),
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if form.errors else HTTPStatus.OK
    return render(request, "shop/orders/timber_list.html", context, status=status)


def _wheels(request: HttpRequest) -> int:
    """How many are asked for; one where that can't be read, which the form then says."""
    text = request.GET.get("wheels", "")
    number = int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else 1
    return min(max(1, number), MOST_WHEELS)
