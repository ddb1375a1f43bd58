"""Settings: timber, iron and goods that the shop buys, the sizes in which they are stocked, and their prices today."""

from contextlib import suppress
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.writing import writing
from shop.access import may
from shop.asked import Asked, asked, signed_in
from shop.forms.materials import MaterialForm, material_now
from shop.forms.seen import Overtaken, status_of
from shop.materials import (
    MaterialRefused,
    add_material,
    edit_material,
    restore_material,
    retire_material,
    size_in_words,
)
from shop.models import Material
from shop.rates import RateBook


@dataclass(frozen=True, slots=True)
class Priced:
    """A material with its size in words, and its price today in millipence (None where none stands)."""

    material: Material
    size: str
    price: int | None


@may("owner")
def materials(request: HttpRequest) -> HttpResponse:
    """What is on the list, and what was retired from it."""
    here = asked(request)
    rows = _priced(list(Material.objects.all()), here)
    context = {
        "rows": [row for row in rows if row.material.retired_at is None],
        "retired": [row for row in rows if row.material.retired_at is not None],
    }
    return render(request, "shop/settings/materials.html", context)


@may("owner")
def material_new(request: HttpRequest) -> HttpResponse:
    form = MaterialForm(request.POST or None, unit=asked(request).unit)
    if form.is_valid():
        try:
            material = add_material(**form.asked, by=signed_in(request))
        except MaterialRefused as refused:
            form.add_error(refused.field, str(refused))
        else:
            messages.success(request, "Added. Write down here what it costs.")
            return redirect("shop:rate", "material", material.pk)
    return render(request, "shop/settings/material.html", {"form": form}, status=status_of(form))


@may("owner")
def material(request: HttpRequest, pk: int) -> HttpResponse:
    """One material: its name, kind and size."""
    one, here = get_object_or_404(Material, pk=pk), asked(request)
    form = MaterialForm(request.POST or None, unit=here.unit, material=one)
    if form.is_valid():
        try:
            with suppress(Overtaken), writing():
                now = Material.objects.select_for_update().get(pk=pk)
                form.meet(material_now(now))
                edit_material(now, **form.asked, by=signed_in(request))
                messages.success(request, form.told(f"Kept “{now.name}”."))
                return redirect("shop:materials")
        except MaterialRefused as refused:
            form.add_error(refused.field, str(refused))
    context = {"form": form, "one": _priced([one], here)[0]}
    return render(request, "shop/settings/material.html", context, status=status_of(form))


@may("owner")
@require_POST
def material_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it off the list; with `back`, on again."""
    one = get_object_or_404(Material, pk=pk)
    if "back" in request.POST:
        restore_material(one, by=signed_in(request))
        messages.success(request, f"“{one.name}” is in use again.")
    else:
        retire_material(one, at=timezone.now(), by=signed_in(request))
        messages.success(request, f"“{one.name}” is retired: cutting lists are reckoned without it.")
    return redirect("shop:materials")


def _priced(rows: list[Material], here: Asked) -> list[Priced]:
    book = RateBook.load()
    return [Priced(row, size_in_words(row, here.unit), book.material(row.pk, here.today)) for row in rows]
