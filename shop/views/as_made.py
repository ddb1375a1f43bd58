"""A wheel's measures as made: run, draw, dish, seats."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.as_made import newest, write_down
from jobs.models import Measure, Wheel
from shop.access import may
from shop.asked import asked
from shop.forms.trades import AsMadeForm


@may("desk", "smith", "bench")
def as_made(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Write down a wheel's measures as made."""
    wheel = get_object_or_404(Wheel.objects.select_related("lot__order__customer"), pk=pk, lot__order__number=number)
    ask = asked(request)
    form = AsMadeForm(request.POST or None, unit=ask.unit)
    if form.is_valid():
        write_down(wheel, form.measures_nm, by=request.user, at=ask.now)  # type: ignore[arg-type]
        messages.success(request, f"Measures of the {wheel.label} written down.")
        return redirect("shop:as-made", number, pk)
    rows = list(Measure.objects.filter(wheel=wheel).select_related("taken_by__shop_hand").order_by("-id"))
    standing = {row.pk for row in newest([wheel.pk]).values()}
    context = {"wheel": wheel, "order": wheel.lot.order, "form": form, "rows": rows, "standing": standing}
    context |= {"unit": ask.unit, "is_desk": ask.is_desk}
    return render(request, "shop/trades/as_made.html", context, status=422 if form.errors else 200)
