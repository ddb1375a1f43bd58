"""Alterations of an order: what was priced and agreed, and wheels put into the one that is being written."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs.library import by_name
from jobs.models import Lot, Order, Wheel
from jobs.models.operations import Work as KindOfWork
from jobs.orders import OrderRefused, WheelRow
from shop.access import may
from shop.asked import Asked, asked, signed_in
from shop.conditional import conditional
from shop.file_answers import FileLink, paper_links
from shop.forms.changes import WhichWheelsForm
from shop.forms.makeups import MakeUpForm
from shop.forms.order_rows import RowEntry
from shop.forms.together import Together
from shop.models import Quote, QuoteLot, Revision
from shop.money import format_pence
from shop.quote_paper_words import places_in_words
from shop.quote_standing import state_in_words
from shop.quoting.alterations import add_to_alteration, take_out, wheels_to_change
from shop.quoting.altering import QuoteRefused
from shop.views.order_changes import find_lot
from shop.views.orders import find_order
from shop.views.quotes import find_quote, show_quote, wished_revision


@dataclass(frozen=True, slots=True)
class AlterationRow:
    """An alteration: what it changes, how it stands, its papers, and new lots that pieces may be carried over to."""

    quote: Quote
    revision: Revision
    changes: tuple[str, ...]
    state: str
    papers: list[FileLink]
    new_lots: list[Lot]
    price: str


@may("desk")
@conditional("day")
def alterations(request: HttpRequest, number: int) -> HttpResponse:
    """What was asked to be otherwise since the order was agreed, and what became of it."""
    order, here = find_order(number), asked(request)
    lots = list(Lot.objects.filter(order=order, dropped_at=None)) if order.is_open else []
    context = {"order": order, "rows": _rows(order, here), "lots": lots}
    return render(request, "shop/quotes/alterations.html", context)


def _rows(order: Order, here: Asked) -> list[AlterationRow]:
    quotes = Quote.objects.filter(alters=order).prefetch_related("revisions__lots__instead_of", "revisions__lots__made")
    return [_row(quote, list(quote.revisions.all()), here) for quote in quotes.order_by("number")]


def _row(quote: Quote, revisions: list[Revision], here: Asked) -> AlterationRow:
    last = revisions[-1]
    lots = list(last.lots.all())
    return AlterationRow(
        quote=quote,
        revision=last,
        changes=tuple(_change_in_words(lot) for lot in lots),
        state=state_in_words(last, today=here.today, zone=here.zone),
        papers=paper_links("quote-paper", quote.number, asked={}),
        new_lots=[lot.made for lot in lots if lot.made],
        price="" if last.price_pence is None else format_pence(last.price_pence, last.currency or here.shop.currency),
    )


def _change_in_words(lot: QuoteLot) -> str:
    what = f"{lot.name}, {places_in_words(lot.places)}"
    return f"{what}: another make-up than the {lot.instead_of.name}’s" if lot.instead_of else f"{what}: added"


@may("desk")
def alteration_add(request: HttpRequest, number: int) -> HttpResponse:
    """Put wheels to be added into the alteration that is being written."""
    order, here = find_order(number), asked(request)
    entry = RowEntry(request.POST or None, place=0, asked=here, library=list(by_name()))
    status, told = (422 if request.method == "POST" else 200), ""
    if request.method == "POST" and entry.is_ready:
        try:
            return _put_in(request, order, entry.row())
        except (OrderRefused, QuoteRefused) as refused:
            told = str(refused)
    context = {"order": order, "entry": entry, "form": Together(*entry.forms), "told": told, "token": _token(request)}
    return render(request, "shop/quotes/alteration_add.html", context, status=status)


@may("desk")
def alteration_change(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Put into it wheels of a lot that are to get another make-up."""
    lot, here = find_lot(number, pk), asked(request)
    wheels = wheels_to_change(lot)
    which = WhichWheelsForm(
        request.POST or None, wheels=wheels, initial={"wheels": [wheel.pk for wheel in wheels], "name": lot.name}
    )
    is_new = lot.work == KindOfWork.NEW
    measures = MakeUpForm(request.POST or None, words=here.words, unit=here.unit, new_work=is_new, makeup=lot.makeup)
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and all([which.is_valid(), measures.is_valid()]) and measures.is_accepted:
        assert measures.makeup is not None  # noqa: S101 - a valid form has one
        places = [wheel.place for wheel in which.chosen]
        row = WheelRow(measures.makeup, which.cleaned_data["name"], places, work=lot.work)
        try:
            return _put_in(request, lot.order, row, instead_of=lot, wheels=which.chosen)
        except (OrderRefused, QuoteRefused) as refused:
            which.add_error("wheels", str(refused))
    context = {"order": lot.order, "lot": lot, "which": which, "measures": measures, "token": _token(request)}
    context |= {"form": Together(which, measures)}
    return render(request, "shop/quotes/alteration_change.html", context, status=status)


@may("desk")
@require_POST
def quote_take_out(request: HttpRequest, number: int) -> HttpResponse:
    """Take a row out of an alteration that is being written."""
    quote, here = find_quote(number), asked(request)
    row = request.POST.get("row", "")
    try:
        if not quote.alters_id:
            raise QuoteRefused("Only an alteration has rows that are taken out: change the wheels instead.")
        there = take_out(quote, int(row), at=here.now) if row.isdecimal() and len(row) < 19 else False
    except QuoteRefused as refused:
        messages.warning(request, str(refused))
        return show_quote(request, quote, wished_revision(quote, ""), status=409)
    if there:
        messages.success(request, "It is taken out.")
    else:
        messages.warning(request, "It is in this alteration no more.")
    return redirect("shop:quote", number)


def _put_in(
    request: HttpRequest,
    order: Order,
    row: WheelRow,
    *,
    instead_of: Lot | None = None,
    wheels: Sequence[Wheel] = (),
) -> HttpResponse:
    here = asked(request)
    quote = add_to_alteration(
        order,
        row,
        token=_token(request),
        by=signed_in(request),
        at=here.now,
        instead_of=instead_of,
        wheels=wheels,
    )
    messages.success(request, f"It is in quotation {quote.number}, an alteration of this order.")
    return redirect("shop:alterations", order.number)


def _token(request: HttpRequest) -> uuid.UUID:
    """Minted with the page, so that a form sent twice begins one alteration."""
    try:
        return uuid.UUID(request.POST.get("token", ""))
    except ValueError:
        return uuid.uuid4()
