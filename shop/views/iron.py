"""Iron: what bar, draw and heat the wheels of an order want, and one sheet for a hot day; both on paper too."""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode

from jobs.makeup import in_print
from shop.access import may, roles_of
from shop.asked import Asked, asked
from shop.conditional import conditional
from shop.file_answers import as_paper, kept, paper_links, refused
from shop.forms.iron import HotDayForm, IronForm, OrderIronForm
from shop.hot_day import HotDay
from shop.iron_paper import hot_day_paper, order_iron_paper
from shop.iron_words import LOCAL_RULES, hot_cautions, how_reckoned, terms_said
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
        "may_open_order": bool(roles_of(request) & {"desk", "bench"}),
        "papers": paper_links("order-iron-paper", number, asked=kept(request, form, "all")),
    }
    return _show(request, "shop/trades/iron.html", form, here, iron, context)


@may("desk", "smith", "bench")
def order_iron_on_paper(request: HttpRequest, number: int, paper: str) -> HttpResponse:
    """The same for the forge, with boxes for what is measured there."""
    check_trade(request, "smith")
    order, here = find_order(number), asked(request)
    form = OrderIronForm(request.GET, unit=here.unit, currency=here.shop.currency)
    if not form.is_valid():
        return refused(form)
    iron = OrderIron(order, form.terms, here, most=_most(request))
    return as_paper(order_iron_paper(iron, here), paper, name=f"Order {number}, iron")


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
        "today": here.today,
        "cautions": hot_cautions(unit=here.unit, watch_minutes=form.terms.watch_minutes) if iron else (),
        "local_rules": LOCAL_RULES,
        "papers": paper_links("hot-day-paper", asked=kept(request, form, "all")),
    }
    return _show(request, "shop/trades/hot_day.html", form, here, iron, context)


@may("desk", "smith", "bench")
def hot_day_on_paper(request: HttpRequest, paper: str) -> HttpResponse:
    """The same for the forge, with boxes for what is measured there."""
    check_trade(request, "smith")
    here = asked(request)
    form = HotDayForm(request.GET, unit=here.unit)
    if not form.is_valid():
        return refused(form)
    iron = HotDay(read_list("smith", now=here.now), form.terms, here, most=_most(request))
    return as_paper(hot_day_paper(iron, here), paper, name=f"Hot day, {here.today.isoformat()}")


def _show(
    request: HttpRequest,
    template: str,
    form: IronForm,
    here: Asked,
    iron: OrderIron | HotDay | None,
    context: dict[str, object],
) -> HttpResponse:
    terms = form.terms if form.is_valid() else None
    bars = iron.bars if iron else []
    context |= {
        "iron": iron,
        "form": form,
        "terms": terms,
        "terms_said": terms_said(terms, unit=here.unit) if terms else "",
        "how_reckoned": how_reckoned(terms, bars, unit=here.unit) if terms else "",
        "draws": [(said.value(here.unit), said) for said in in_print.DRAW],
        "all_url": f"?{urlencode(request.GET.dict() | {'all': 1})}",
        "is_desk": here.is_desk,
        "unit": here.unit,
    }
    return render(request, template, context, status=422 if form.errors else 200)


def _most(request: HttpRequest) -> int:
    """How many rows of a bar are spelled out: a page of them, unless all are asked for."""
    return sys.maxsize if "all" in request.GET else A_PAGE
