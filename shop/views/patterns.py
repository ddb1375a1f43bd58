"""Patterns of a wheel, full size: of a make-up in the library, and of a lot's own copy."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.makeup import MakeUp
from jobs.makeup.mortises import DRIVEN
from jobs.models import LibraryMakeUp
from jobs.sizes import sizes_of
from shop.access import may
from shop.asked import Asked, asked
from shop.file_answers import kept, refused
from shop.forms.sizes import SizesForm
from shop.patterns_page import Patterns
from shop.views.order_changes import find_lot


@dataclass(frozen=True, slots=True)
class Whose:
    """What the patterns are of, where its sizes are, and where each file of its patterns is."""

    makeup: MakeUp
    name: str
    sizes_url: str
    file_url: Callable[[str, str], str]


def _of_makeup(pk: int) -> Whose:
    row = get_object_or_404(LibraryMakeUp, pk=pk)
    sizes = reverse("shop:makeup-sizes", args=[pk])
    return Whose(row.makeup, row.name, sizes, lambda key, form: reverse("shop:makeup-pattern", args=[pk, key, form]))


def _of_lot(number: int, pk: int) -> Whose:
    lot = find_lot(number, pk)
    name, sizes = f"{lot.name}, order {number}", reverse("shop:lot-sizes", args=[number, pk])
    return Whose(lot.makeup, name, sizes, lambda key, form: reverse("shop:lot-pattern", args=[number, pk, key, form]))


@may("desk", "bench")
def makeup_patterns(request: HttpRequest, pk: int) -> HttpResponse:
    return _page(request, _of_makeup(pk))


@may("desk", "bench")
def makeup_pattern(request: HttpRequest, pk: int, drawing: str, form: str) -> HttpResponse:
    return _file(request, _of_makeup(pk), drawing, form)


@may("desk", "bench")
def lot_patterns(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    return _page(request, _of_lot(number, pk))


@may("desk", "bench")
def lot_pattern(request: HttpRequest, number: int, pk: int, drawing: str, form: str) -> HttpResponse:
    return _file(request, _of_lot(number, pk), drawing, form)


def _page(request: HttpRequest, whose: Whose) -> HttpResponse:
    here = asked(request)
    form = _form(request, whose.makeup, here)
    patterns = _patterns(form, whose, here)
    context = {
        "whose": whose,
        "form": form,
        "makeup": whose.makeup,
        "unit": here.unit,
        "drawn": patterns.drawn(whose.file_url, asked=kept(request, form)),
    }
    return render(request, "shop/orders/patterns.html", context, status=422 if form.errors else 200)


def _file(request: HttpRequest, whose: Whose, drawing: str, kind: str) -> HttpResponse:
    here = asked(request)
    form = _form(request, whose.makeup, here)
    if not form.is_valid():
        return refused(form)
    response = _patterns(form, whose, here).file(drawing, kind)
    if response is None:
        raise Http404("There is no such pattern of this wheel.")
    return response


def _form(request: HttpRequest, makeup: MakeUp, here: Asked) -> SizesForm:
    given = {name: text for name, text in request.GET.items() if name in SizesForm.base_fields}
    return SizesForm(given, makeup=makeup, unit=here.unit)


def _patterns(form: SizesForm, whose: Whose, here: Asked) -> Patterns:
    told = form.cleaned_data if form.is_valid() else {}
    sizes = None
    if whose.makeup.bare_spoke_nm > 0:
        sizes = sizes_of(whose.makeup, gap_nm=told.get("gap"), fit=told.get("fit", DRIVEN))
    return Patterns(
        whose.makeup, sizes, name=whose.name, words=here.words, unit=here.unit, circle_nm=told.get("circle")
    )
