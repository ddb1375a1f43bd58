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
from shop.file_answers import as_paper, kept, paper_links, refused
from shop.forms.sizes import SizesForm
from shop.order_words import due_in_words
from shop.sizes_page import SizesPage
from shop.sizes_paper import sizes_paper
from shop.views.order_changes import find_lot


@may("desk", "bench")
def makeup_sizes(request: HttpRequest, pk: int) -> HttpResponse:
    """The sizes of a make-up in the library."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    asks = Asks(request, row.makeup, new_work=False)
    about = {
        "name": row.name,
        "back_url": reverse("shop:makeup", args=[row.pk]),
        "back": row.name,
        "patterns_url": reverse("shop:makeup-patterns", args=[row.pk]),
        "timber_url": reverse("shop:makeup-timber", args=[pk]),
        "papers": paper_links("makeup-sizes-paper", row.pk, asked=asks.given),
    }
    return _sizes(request, asks, about)


@may("desk", "bench")
def lot_sizes(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The sizes of a lot's own copy."""
    lot = find_lot(number, pk)
    asks = Asks(request, lot.makeup, new_work=lot.work == KindOfWork.NEW)
    about = {
        "name": f"{lot.name}, order {lot.order.number}",
        "back_url": reverse("shop:lot", args=[number, lot.pk]),
        "back": f"Make-up of the {lot.name}, order {lot.order.number}",
        "patterns_url": reverse("shop:lot-patterns", args=[number, lot.pk]),
        "timber_url": reverse("shop:order-timber", args=[number]),
        "papers": paper_links("lot-sizes-paper", number, lot.pk, asked=asks.given),
    }
    return _sizes(request, asks, about)


@may("desk", "bench")
def makeup_sizes_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """The same to print, with the make-up's own measures."""
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    asks = Asks(request, row.makeup, new_work=False)
    return _paper(asks, paper, name=row.name, about=())


@may("desk", "bench")
def lot_sizes_paper(request: HttpRequest, number: int, pk: int, paper: str) -> HttpResponse:
    """The same of a lot."""
    lot = find_lot(number, pk)
    asks = Asks(request, lot.makeup, new_work=lot.work == KindOfWork.NEW)
    order = lot.order
    about = (f"{order.carriage}, for {order.customer}. {due_in_words(order, asks.here.today)}",)
    return _paper(asks, paper, name=f"{lot.name}, order {number}", about=about)


class Asks:
    """What a page of sizes, or its paper, is asked."""

    def __init__(self, request: HttpRequest, makeup: MakeUp, *, new_work: bool) -> None:
        self.here = asked(request)
        given = {name: text for name, text in request.GET.items() if name in SizesForm.base_fields}
        self.form = SizesForm(given, makeup=makeup, unit=self.here.unit)
        told = self.form.cleaned_data if self.form.is_valid() else {}
        self.page = SizesPage(
            makeup,
            words=self.here.words,
            unit=self.here.unit,
            new_work=new_work,
            circle_nm=told.get("circle"),
            gap_nm=told.get("gap"),
            fit=told.get("fit", DRIVEN),
            blank_over_nm=self.here.shop.allow_spoke_length_nm,
        )
        self.given = kept(request, self.form)


def _sizes(request: HttpRequest, asks: Asks, about: dict[str, Any]) -> HttpResponse:
    form, page = asks.form, asks.page
    context = about | {"page": page, "form": form, "makeup": page.makeup, "unit": page.unit}
    return render(request, "shop/orders/sizes.html", context, status=422 if form.errors else 200)


def _paper(asks: Asks, paper: str, *, name: str, about: tuple[str, ...]) -> HttpResponse:
    if asks.form.errors:
        return refused(asks.form)
    return as_paper(sizes_paper(asks.page, asks.here, name=name, about=about), paper, name=f"{name}, sizes")
