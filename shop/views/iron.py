"""Iron: what bar, draw and heat the wheels of an order want, and one sheet for a hot day."""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode

from jobs.iron.fire import CLEAR_NM, LOOKED_IN_ON_HOURS, watch_warning
from jobs.iron.weld import WELD_SHRINK_NM
from jobs.makeup import in_print
from jobs.measures import NM_PER_MM, Unit, format_feet
from shop.access import may, roles_of
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.forms.iron import HotDayForm, IronForm, OrderIronForm
from shop.hot_day import HotDay
from shop.iron_rows import told
from shop.many_wheels import A_PAGE
from shop.order_iron import OrderIron
from shop.trades import read_list
from shop.views.orders import find_order
from shop.views.trades import check_trade


@may("desk", "smith", "bench")
@conditional("day")
def order_iron(request: HttpRequest, number: int) -> HttpResponse:
    """The tyres and bands of an order: run, draw, bar, mass and heat of each."""
    check_trade(request, "smith")
    order, here = find_order(number), asked(request)
    form = OrderIronForm(request.GET, unit=here.unit, currency=here.shop.currency)
    iron = OrderIron(order, form.terms, here, most=_most(request)) if form.is_valid() else None
    context: dict[str, object] = {
        "order": order,
        "iron": iron,
        "may_open_order": bool(roles_of(request) & {"desk", "bench"}),
    }
    return _show(request, "shop/trades/iron.html", form, here, context)


@may("desk", "smith", "bench")
@conditional("minute")
def hot_day(request: HttpRequest) -> HttpResponse:
    """Every wheel that is ready for its tyre, by bar and by heat, with what to mind."""
    check_trade(request, "smith")
    here = asked(request)
    form = HotDayForm(request.GET, unit=here.unit)
    listed = read_list("smith", now=here.now)
    iron = HotDay(listed, form.terms, here, most=_most(request)) if form.is_valid() else None
    context: dict[str, object] = {
        "iron": iron,
        "today": here.today,
        "clear": _clear_ground(here.unit),
        "looked_in_on_hours": LOOKED_IN_ON_HOURS,
        "watch_warning": watch_warning(iron.terms.watch_minutes) if iron else "",
    }
    return _show(request, "shop/trades/hot_day.html", form, here, context)


def _show(request: HttpRequest, template: str, form: IronForm, here: Asked, context: dict[str, object]) -> HttpResponse:
    context |= {
        "form": form,
        "terms": form.terms if form.is_valid() else None,
        "draws": [(said.value(here.unit), said) for said in in_print.DRAW],
        "weld_shrink": told(WELD_SHRINK_NM, here.unit),
        "all_url": f"?{urlencode(request.GET.dict() | {'all': 1})}",
        "is_desk": here.is_desk,
        "unit": here.unit,
    }
    return render(request, template, context, status=422 if form.errors else 200)


def _most(request: HttpRequest) -> int:
    """How many rows of a bar are spelled out: a page of them, unless all are asked for."""
    return sys.maxsize if "all" in request.GET else A_PAGE


def _clear_ground(unit: Unit) -> str:
    return format_feet(CLEAR_NM) if unit == "in" else f"{CLEAR_NM / (1000 * NM_PER_MM):.1f} m"
