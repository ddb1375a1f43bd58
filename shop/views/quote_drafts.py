"""A draft is changed: its price, figures of one's own, its wheels, its terms, and what it has beside wheels."""

from contextlib import suppress

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs.library import by_name
from jobs.models.operations import Work
from jobs.orders import OrderRefused, customer_named
from jobs.writing import writing
from shop.access import may
from shop.asked import Asked, asked
from shop.forms.order_rows import SETS
from shop.forms.quote_items import ItemsEntry
from shop.forms.quote_rows import QuoteEntry
from shop.forms.quotes import AlterationTermsForm, DraftHead, TermsForm, terms_now
from shop.forms.seen import Overtaken, status_of
from shop.forms.together import Together
from shop.models import Quote, Revision
from shop.quoting.actions import put_items, put_lots, wanted_of
from shop.quoting.altering import QuoteRefused
from shop.quoting.drafts import (
    NO_DRAFT,
    ChangedMeanwhile,
    change_draft,
    check_seen,
    held_draft,
    items_mark,
    rows_of,
    wheels_mark,
)
from shop.quoting.suggesting import TOGETHER, suggest_rates
from shop.views.orders import customer_names
from shop.views.quotes import (
    figures_form_of,
    figures_now,
    find_quote,
    left_out_in_words,
    price_form_of,
    price_now,
    reckon,
    reckoner_for,
    show_quote,
    wished_revision,
)


def _draft_of(quote: Quote) -> Revision:
    """The draft to be shown or changed. QuoteRefused where there is none."""
    draft = quote.revisions.drafts().first()
    if draft is None:
        raise QuoteRefused(NO_DRAFT)
    return draft


def _too_late(request: HttpRequest, quote: Quote, refused: QuoteRefused) -> HttpResponse:
    messages.warning(request, str(refused))
    if request.method != "POST":
        return redirect("shop:quote", quote.number)
    return show_quote(request, find_quote(quote.number), wished_revision(quote, ""), status=409)


@may("desk")
@require_POST
def quote_price(request: HttpRequest, number: int) -> HttpResponse:
    """Choose what the price follows."""
    one, here = find_quote(number), asked(request)
    try:
        draft = _draft_of(one)
        reckoned = reckon(draft, here)
        form = price_form_of(draft, reckoned, here, request.POST)
        if form.is_valid():
            with suppress(Overtaken), writing():
                now = held_draft(one)
                form.meet(price_now(now, reckoned, here.shop.currency), by="another")
                told = {"price_by": form.cleaned_data["by"], "price_figure": form.cleaned_data["figure"]}
                change_draft(now, at=here.now, **told)
                return redirect("shop:quote", number)
    except QuoteRefused as refused:
        return _too_late(request, one, refused)
    return show_quote(request, one, draft, price_form=form, status=status_of(form))


@may("desk")
@require_POST
def quote_figures(request: HttpRequest, number: int) -> HttpResponse:
    """Put figures of one's own in place of the prices of materials, or take them away."""
    one, here = find_quote(number), asked(request)
    try:
        draft = _draft_of(one)
        reckoned = reckon(draft, here)
        rows = [*reckoned.timber, *reckoned.iron]
        form = figures_form_of(draft, reckoned, here, request.POST)
        if form.is_valid():
            with suppress(Overtaken), writing():
                now = held_draft(one)
                told = figures_now(now, rows)
                form.meet({name: told.get(name) for name in (*form.answers, "state")})
                change_draft(now, at=here.now, **form.put_into(now.own_pence, now.own_for))
                messages.success(request, form.told("Kept."))
                return redirect("shop:quote", number)
    except QuoteRefused as refused:
        return _too_late(request, one, refused)
    return show_quote(request, one, draft, figures_form=form, status=status_of(form))


@may("desk")
def quote_terms(request: HttpRequest, number: int) -> HttpResponse:
    """Tax, deposit, how long it holds, what is not in it, and what is done outside."""
    one, here = find_quote(number), asked(request)
    try:
        kind = AlterationTermsForm if one.alters_id else TermsForm
        form = kind(request.POST or None, initial=terms_now(_draft_of(one)))
        if request.method == "POST" and form.is_valid():
            with suppress(Overtaken), writing():
                now = held_draft(one)
                form.meet(terms_now(now))
                change_draft(now, at=here.now, **_columns(form))
                messages.success(request, form.told("The terms are kept."))
                return redirect("shop:quote", number)
    except QuoteRefused as refused:
        return _too_late(request, one, refused)
    return render(request, "shop/quotes/terms.html", {"quote": one, "form": form}, status=status_of(form))


def _columns(form: TermsForm) -> dict[str, object]:
    told = form.answers
    return {"tax_bp": told.pop("tax"), "deposit_bp": told.pop("deposit"), **told}


@may("desk")
def quote_items(request: HttpRequest, number: int) -> HttpResponse:
    """Outwork, goods, and rates for what stripping may find."""
    one, here = find_quote(number), asked(request)
    try:
        draft = _draft_of(one)
        data = request.POST if request.method == "POST" else None
        entry, status, told = ItemsEntry(data, items=draft.items.all(), currency=here.shop.currency), 200, ""
        if data is not None and "suggest" in data:
            told = _suggest(draft, entry, here)
        elif data is not None:
            status = 422
            if entry.is_valid():
                _keep_items(one, entry, request)
                messages.success(request, "Kept.")
                return redirect("shop:quote", number)
    except ChangedMeanwhile as changed:
        status, told = 409, str(changed)
    except QuoteRefused as refused:
        return _too_late(request, one, refused)
    context = {
        "quote": one,
        "entry": entry,
        "mark": request.POST["saw"] if status != 409 and "saw" in request.POST else items_mark(draft),
        "told": told,
        "form": Together(*entry.forms),
        "is_repair": draft.lots.exclude(work=Work.NEW).exists(),
        "together": TOGETHER,
    }
    return render(request, "shop/quotes/items.html", context, status=status)


def _suggest(draft: Revision, entry: ItemsEntry, here: Asked) -> str:
    """Put suggested rates among the rows, to be looked at: nothing is kept. Says what is left out."""
    reckoner = reckoner_for(here)
    suggested = suggest_rates(draft, reckoner.reckon(wanted_of(draft)), reckoner)
    entry.add(suggested.items)
    if not suggested.left_out:
        return ""
    return f"No rate follows for {', '.join(suggested.left_out)}: what such work or its timber costs is not known yet."


def _keep_items(quote: Quote, entry: ItemsEntry, request: HttpRequest) -> None:
    with writing():
        now = held_draft(quote)
        check_seen(request.POST.get("saw", ""), items_mark(now), "These rows")
        put_items(now, entry.items)
        change_draft(now, at=asked(request).now)


@may("desk")
def quote_wheels(request: HttpRequest, number: int) -> HttpResponse:
    """Change the wheels of a draft, and for whom it is."""
    one, here = find_quote(number), asked(request)
    data, status, told = request.POST if request.method == "POST" else None, 200, ""
    try:
        draft = _draft_of(one)
        rows = rows_of(draft)
        if one.alters_id:
            raise QuoteRefused("The wheels of an alteration are chosen with it.")
        head = DraftHead(data, initial=_head_now(draft))
        entry = QuoteEntry(data, asked=here, library=list(by_name()), head=head)
        if data is None:
            told = left_out_in_words(entry.fill_with(rows))
        elif not entry.answer(data):
            status = 422
            if entry.is_ready:
                with suppress(Overtaken), writing():
                    _keep_wheels(one, head, entry, request)
                    return redirect("shop:quote", number)
                status = 409
    except ChangedMeanwhile as changed:
        status, rows = 409, rows_of(_draft_of(one))
        head.add_error(None, str(changed))
    except OrderRefused as refused:
        head.add_error("customer", str(refused))
    except QuoteRefused as refused:
        return _too_late(request, one, refused)
    context = {
        "quote": one,
        "entry": entry,
        # What was seen stays what was seen until a page shows what there is by now.
        "mark": request.POST["saw"] if status != 409 and "saw" in request.POST else wheels_mark(rows),
        "told": told,
        "form": Together(*entry.forms),
        "sets": [(name, label) for name, (label, _) in SETS.items()],
        "customers": customer_names(),
    }
    return render(request, "shop/quotes/wheels.html", context, status=status)


def _head_now(draft: Revision) -> dict[str, object]:
    return {"customer": draft.customer.name, "carriage": draft.carriage}


def _keep_wheels(quote: Quote, head: DraftHead, entry: QuoteEntry, request: HttpRequest) -> None:
    """Call it inside the write. Raises Overtaken, QuoteRefused."""
    now = held_draft(quote)
    check_seen(request.POST.get("saw", ""), wheels_mark(rows_of(now)), "The wheels")
    head.meet(_head_now(now))
    told = head.answers
    whose = {"customer": customer_named(told["customer"], before=now.customer), "carriage": told["carriage"]}
    Quote.objects.filter(pk=quote.pk).update(**whose)
    put_lots(now, [row.row() for row in entry.rows])
    change_draft(now, at=asked(request).now, **whose)
