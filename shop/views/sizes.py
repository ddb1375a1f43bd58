"""Every size of a make-up on one sheet: of the library's, and of a lot's own copy."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.makeup import MakeUp
from jobs.makeup.mortises import DRIVEN
from jobs.models import LibraryMakeUp
from jobs.models.operations import Work as KindOfWork
from shop.access import may
from shop.asked import asked
from shop.forms.sizes import SizesForm
from shop.sizes_page import SizesPage
from shop.views.order_changes import find_lot


@may("desk", "bench")
def makeup_sizes(request: HttpRequest, pk: int) -> HttpResponse:
    """The sizes of a make-up in the library."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    about = {
        "name": row.name,
        "back_url": reverse("shop:makeup", args=[row.pk]),
        "back": row.name,
        "patterns_url": reverse("shop:makeup-patterns", args=[row.pk]),
        "timber_url": reverse("shop:makeup-timber", args=[pk]),
    }
    return _sizes(request, row.makeup, about, new_work=False)


@may("desk", "bench")
def lot_sizes(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The sizes of a lot's own copy."""
    lot = find_lot(number, pk)
    about = {
        "name": f"{lot.name}, order {lot.order.number}",
        "back_url": reverse("shop:lot", args=[number, lot.pk]),
        "back": f"Make-up of the {lot.name}, order {lot.order.number}",
        "patterns_url": reverse("shop:lot-patterns", args=[number, lot.pk]),
        "timber_url": reverse("shop:order-timber", args=[number]),
    }
    return _sizes(request, lot.makeup, about, new_work=lot.work == KindOfWork.NEW)


def _sizes(request: HttpRequest, makeup: MakeUp, about: dict[str, Any], *, new_work: bool) -> HttpResponse:
    here = asked(request)
    given = {name: text for name, text in request.GET.items() if name in SizesForm.base_fields}
    form = SizesForm(given, makeup=makeup, unit=here.unit)
    told = form.cleaned_data if form.is_valid() else {}
    page = SizesPage(
        makeup,
        words=here.words,
        unit=here.unit,
        new_work=new_work,
        circle_nm=told.get("circle"),
        gap_nm=told.get("gap"),
        fit=told.get("fit", DRIVEN),
        blank_over_nm=here.shop.allow_spoke_length_nm,
    )
    context = about | {"page": page, "form": form, "makeup": makeup, "unit": here.unit}
    return render(request, "shop/orders/sizes.html", context, status=422 if form.errors else 200)
