"""How the bars of an order are cut. It is asked by plain GET; nothing is kept."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.access import may, roles_of
from shop.asked import asked
from shop.conditional import conditional
from shop.forms.cutting import CuttingForm, OffcutsForm, bars_told, offcuts_key
from shop.order_cutting import plans_of, wanted_of
from shop.order_iron import OrderIron
from shop.stores.offcuts import kept_for, offer_longest
from shop.stores.offered import offer_issues
from shop.stores.plans import of_bars
from shop.views.orders import find_order
from shop.views.trades import check_trade


@may("desk", "smith", "bench")
@conditional("day")
def order_cutting(request: HttpRequest, number: int) -> HttpResponse:
    """The tyres and bands of an order on as few bars as can be."""
    check_trade(request, "smith")
    order, here = find_order(number), asked(request)
    form = CuttingForm(request.GET, unit=here.unit, currency=here.shop.currency)
    context: dict[str, object] = {
        "order": order,
        "form": form,
        "may_open_order": bool(roles_of(request) & {"desk", "bench"}),
        "query": request.GET.urlencode(),
    }
    if form.is_valid():
        wanted = wanted_of(OrderIron(order, form.terms, here).bars, unit=here.unit)
        there = kept_for(order)
        kept = {offcuts_key(*one): offer_longest(there.lengths(one), here.unit) for one in there.by_section}
        bars = [(bar.key, bar.name) for bar in wanted]
        offcuts = OffcutsForm(
            request.GET,
            bars=bars,
            unit=here.unit,
            kept={key: one.told for key, one in kept.items()},
            left_out={key: one.left_out for key, one in kept.items()},
            own={offcuts_key(*section) for section in there.own},
        )
        if offcuts.is_valid():
            context["plans"] = plans = plans_of(
                wanted,
                form.stocks,
                offcuts.cleaned_data,
                kerf_nm=form.cleaned_data["kerf"],
                unit=here.unit,
                words=here.words,
            )
            planned = of_bars(plans, order, here, there.by_section)
            context["to_issue"] = offer_issues(planned, order, here, plan_url=request.get_full_path())
    else:
        offcuts = OffcutsForm(request.GET, bars=bars_told(request.GET, unit=here.unit), unit=here.unit)
    wrong = bool(form.errors or offcuts.errors)
    context |= {"offcuts": offcuts, "wrong": wrong, "wrong_form": form if form.errors else offcuts}
    status = HTTPStatus.UNPROCESSABLE_ENTITY if wrong else HTTPStatus.OK
    return render(request, "shop/trades/cutting.html", context, status=status)
