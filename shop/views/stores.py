"""The stores: what lies in the rack, what is bought, counted, issued and brought back, and what to buy."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

from django.contrib import messages
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.models import Order
from jobs.writing import writing
from shop.access import may
from shop.amounts import ChargeRefused
from shop.asked import Asked, asked, signed_in
from shop.conditional import conditional
from shop.days import day_in_words
from shop.forms.charges import TakeBackForm
from shop.forms.cutting import offcuts_told
from shop.forms.seen import Overtaken, status_of
from shop.forms.stores import (
    BackToRackForm,
    CountForm,
    FromRackForm,
    IssuePlanForm,
    OffcutsKeptForm,
    PurchaseForm,
    WhichMaterialForm,
    offcuts_now,
)
from shop.models import Issue, Material, Purchase, StockCount
from shop.stores.actions import (
    Entry,
    Place,
    bring_back,
    buy,
    count,
    issue,
    issue_all,
    much_of,
    still_out,
    take_count_back,
    take_purchase_back,
)
from shop.stores.amounts import about_pieces, amount_told
from shop.stores.book import Stores, in_use_or_lying
from shop.stores.offcuts import kept_of, note_offcuts, noted_with, put_right
from shop.stores.page import material_page, stores_page
from shop.stores.plan_seen import PlanOvertaken, check_seen
from shop.stores.seasoning import HOW
from shop.views.orders import find_order


@may("desk", "bench")
@conditional("day")
def stores(request: HttpRequest) -> HttpResponse:
    """Every material: what lies there, what orders want of it, and what to buy. What it cost is for the desk."""
    here = asked(request)
    return render(request, "shop/stores/list.html", {"page": stores_page(here), "is_desk": here.is_desk, "how": HOW})


@may("desk", "bench")
@conditional("day")
def material_stock(request: HttpRequest, pk: int) -> HttpResponse:
    """One material: who wants it, what came in and what went out."""
    material, here = get_object_or_404(Material, pk=pk), asked(request)
    page = material_page(material, here, after=_number(request, "after"), issue=_number(request, "issue"))
    return render(
        request, "shop/stores/material.html", {"one": material, "page": page, "is_desk": here.is_desk, "how": HOW}
    )


def _number(request: HttpRequest, name: str) -> int:
    text = request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0


@may("desk")
def purchase_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter what came in, and what was paid for it."""
    material, here = get_object_or_404(Material, pk=pk), asked(request)
    form = PurchaseForm(request.POST or None, material=material, today=here.today, currency=here.shop.currency)

    def enter() -> str:
        entry = _entry(form, request, here)
        row = buy(form.much, entry, paid_pence=form.cleaned_data["paid"], **form.about)
        return f"Entered: {much_of(row).words} of {material.name}."

    return _form_page(request, form, enter, _Shown("Bought", material, "What came in, and what was paid for it."))


@may("desk")
def stock_count(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter what lies there."""
    material, here = get_object_or_404(Material, pk=pk), asked(request)
    form = CountForm(request.POST or None, material=material, today=here.today)

    def enter() -> str:
        entry = _entry(form, request, here)
        row = count(form.much, entry, at_day_end=entry.on < here.today)
        return f"Counted: {much_of(row).words} of {material.name}."

    sentence = f"By what was written down {_in_rack(material)} lie there. What is counted stands from now on."
    return _form_page(request, form, enter, _Shown("Count", material, sentence))


@may("desk")
def material_offcuts(request: HttpRequest, pk: int) -> HttpResponse:
    """Put right which offcuts of a bar are kept: one that was used without a plan, or lost, is struck off."""
    bar, here = get_object_or_404(Material, pk=pk, kind=Material.Kind.BAR), asked(request)
    form = OffcutsKeptForm(request.POST or None, unit=here.unit, kept=kept_of(bar))

    def keep() -> str:
        with writing():
            Material.objects.select_for_update().get(pk=bar.pk)
            form.meet(offcuts_now(kept_of(bar), here.unit))
            put_right(bar, form.found, by=signed_in(request), at=here.now, unit=here.unit)
        return form.told(f"Offcuts of {bar.name}: {form.cleaned_data['lengths'] or 'none'}.")

    sentence = "Every length that is kept. One that is left out is struck off; bars that are not cut are no offcuts."
    return _form_page(request, form, keep, _Shown("Offcuts kept", bar, sentence, act="Keep it"))


@may("desk")
def from_rack(request: HttpRequest, number: int) -> HttpResponse:
    """Which material an order takes from the rack; once that is told, how much of it."""
    order, here = find_order(number), asked(request)
    materials = {one.pk: one for one in in_use_or_lying()}
    offers = [(pk, f"{one.name}, retired" if one.retired_at else one.name) for pk, one in materials.items()]
    which = WhichMaterialForm(request.GET or None, offers=offers)
    if not which.is_valid():
        context = {"which": which, "order": order, "none": not materials}
        return render(request, "shop/stores/which.html", context, status=422 if which.errors else 200)
    material = materials[which.cleaned_data["material"]]
    form = FromRackForm(request.POST or None, material=material, today=here.today, order=order)

    def enter() -> str:
        lot, wheel = form.cleaned_data["place"]
        row = issue(form.much, _entry(form, request, here), place=Place(order, lot, wheel))
        warn_of_short(request, [material])
        return f"Issued: {much_of(row).words} of {material.name}."

    shown = _Shown("From the rack", material, f"By what was written down {_in_rack(material)} lie there.", order)
    return _form_page(request, form, enter, shown)


@may("desk")
@require_POST
def issue_plan(request: HttpRequest, number: int) -> HttpResponse:
    """Issue all that a plan of timber or of bars takes, at once."""
    order, here = find_order(number), asked(request)
    told = list(Material.objects.filter(pk__in=_told_materials(request)))
    form = IssuePlanForm(request.POST, order=order, materials=told, today=here.today, unit=here.unit)

    def enter() -> str:
        these, (lot, wheel) = form.these, form.cleaned_data["place"]

        def keep_offcuts(rows: list[Issue]) -> None:
            for bar, row in form.noted_with(rows):
                not_kept = note_offcuts(row, bar, left=form.offcuts(bar, "left"), used=form.offcuts(bar, "used"))
                if not_kept:
                    told = offcuts_told(not_kept, unit=here.unit)
                    messages.warning(request, f"The plan cuts from offcuts of {bar.name} that are not kept: {told}.")

        entry, place = _entry(form, request, here), Place(order, lot, wheel)
        issue_all(
            [(much, "") for much in these],
            entry,
            place=place,
            check=lambda: check_seen(form.cleaned_data["seen"], order, told),
            and_then=keep_offcuts,
        )
        warn_of_short(request, [much.material for much in these])
        return f"Issued: {', '.join(f'{much.words} of {much.material.name}' for much in these)}."

    shown = _Shown("Issue", None, "What the plan takes from the rack.", order, act="Issue these")
    try:
        return _form_page(request, form, enter, shown)
    except PlanOvertaken as overtaken:
        context = {"order": order, "sentence": str(overtaken), "plan_url": _plan_url(form, order)}
        return render(request, "shop/stores/overtaken.html", context, status=422)


def _told_materials(request: HttpRequest) -> list[int]:
    """The ids of what a plan's form tells an amount of, in use or not."""
    return [int(found[1]) for found in map(re.compile("much-([0-9]{1,9})").fullmatch, request.POST) if found]


def _plan_url(form: IssuePlanForm, order: Order) -> str:
    """Where the plan stood that was issued from; the order's cutting list where the form doesn't tell."""
    plans = [reverse(f"shop:{name}", args=[order.number]) for name in ("order-timber", "order-cutting")]
    url = form.cleaned_data.get("plan", "")
    return url if url.partition("?")[0] in plans else plans[0]


@may("desk")
def back_to_rack(request: HttpRequest, pk: int) -> HttpResponse:
    """Bring back what was not needed of an issue."""
    joined = ("material", "order__customer", "lot", "wheel")
    row = get_object_or_404(
        Issue.objects.select_related(*joined), pk=pk, material__isnull=False, returns=None, cancels=None
    )
    material, here = row.material, asked(request)
    if material is None:
        raise ValueError("It was asked for by its material.")
    form = BackToRackForm(request.POST or None, material=material, today=here.today)

    def enter() -> str:
        back = bring_back(row, form.much, _entry(form, request, here))
        return f"Back in the rack: {amount_told(material, -(back.amount_millionths or 0))} of {material.name}."

    out = amount_told(material, still_out(row))
    sentence = f"Of {much_of(row).words} that order {row.order.number} was issued, {out} can come back."
    if noted_with(row):
        sentence += (
            " If all of it comes back, nothing was cut: the offcuts that it left are none, and those it used are kept "
            "again. If a part does, they stay as they were told: put them right on the page of the bar."
        )
    return _form_page(request, form, enter, _Shown("Back to the rack", material, sentence, row.order))


@may("desk")
def purchase_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a purchase that was entered wrongly, and say why."""
    row = get_object_or_404(Purchase.objects.select_related("material"), pk=pk)
    sentence = f"{much_of(row).words} of {row.material.name}. Both rows stay, and come to nothing."
    shown = _Shown("Take a purchase back", row.material, sentence, act="Take it back")
    return _take_back(request, partial(take_purchase_back, row), shown)


@may("desk")
def count_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back a count that was entered wrongly, and say why."""
    row = get_object_or_404(StockCount.objects.select_related("material"), pk=pk)
    told = f"{much_of(row).words} of {row.material.name}, counted {day_in_words(row.on)}"
    sentence = f"{told}. The rack is then reckoned as if it had not been counted."
    shown = _Shown("Take a count back", row.material, sentence, act="Take it back")
    return _take_back(request, partial(take_count_back, row), shown)


@dataclass(frozen=True, slots=True)
class _Shown:
    """What stands above a form; of an order, whose cost it leads back to, or else of the material alone."""

    title: str
    material: Material | None
    sentence: str
    order: Order | None = None
    act: str = "Enter it"

    @property
    def back_url(self) -> str:
        if self.order:
            return reverse("shop:cost", args=[self.order.number])
        return reverse("shop:material-stock", args=[self.material.pk]) if self.material else reverse("shop:stores")


def _form_page(request: HttpRequest, form: Form, enter: Callable[[], str], shown: _Shown) -> HttpResponse:
    """A form, and what it does once it is right; `enter` says what was done."""
    if form.is_valid():
        try:
            messages.success(request, enter())
        except PlanOvertaken:
            raise
        except Overtaken:
            return render(request, "shop/stores/form.html", {"form": form, "shown": shown}, status=status_of(form))
        except ChargeRefused as refused:
            form.add_error(None, str(refused))
        else:
            return redirect(shown.back_url)
    context = {"form": form, "shown": shown}
    return render(request, "shop/stores/form.html", context, status=422 if form.errors else 200)


def _take_back(request: HttpRequest, take: Callable[..., object], shown: _Shown) -> HttpResponse:
    """The form that asks why; `take` is given its token and reason, who says so and when."""
    form = TakeBackForm(request.POST or None)

    def enter() -> str:
        told = form.cleaned_data
        take(token=told["token"], reason=told["reason"], by=signed_in(request), at=asked(request).now)
        return "Taken back."

    return _form_page(request, form, enter, shown)


def _entry(form: Form, request: HttpRequest, here: Asked) -> Entry:
    return Entry(form.cleaned_data["token"], form.cleaned_data["on"], signed_in(request), here.now)


def _in_rack(material: Material) -> str:
    """What lies there by the facts: "63 board feet, about 12 planks"."""
    amount = max(0, Stores([material.pk]).rack(material.pk).amount)
    return ", ".join(filter(None, (amount_told(material, amount), about_pieces(material, amount))))


def warn_of_short(request: HttpRequest, materials: Iterable[Material]) -> None:
    """Say where more was issued than is known to have come in: it is taken all the same."""
    asked_for = list(materials)
    stores = Stores([one.pk for one in asked_for])
    for one in asked_for:
        amount = stores.rack(one.pk).amount
        if amount < 0:
            beyond = amount_told(one, -amount)
            told = f"{beyond} more of {one.name} went out than came in: count it, or enter what was bought."
            messages.warning(request, told)
