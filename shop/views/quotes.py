"""Quotations: the list, a new one, the page of one, and what becomes of it."""

from collections.abc import Sequence
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.library import by_name
from jobs.models import LibraryMakeUp, Order
from jobs.orders import OrderRefused, WheelRow
from shop.access import may
from shop.asked import Asked, asked, signed_in
from shop.conditional import conditional
from shop.forms.order_rows import SETS
from shop.forms.quote_rows import QuoteEntry
from shop.forms.quotes import MOST_PER_CENT, WHOLE, FiguresForm, PriceForm, QuoteHead
from shop.forms.search import FindForm
from shop.forms.together import Together
from shop.models import Quote, Revision
from shop.quote_list import list_quotes
from shop.quote_page import QuotePage
from shop.quote_words import price_choice
from shop.quoting.actions import accept, give_up, price_of, refuse, revise, send, start_quote, wanted_of
from shop.quoting.altering import QuoteRefused
from shop.quoting.drafts import mark_of, rows_like
from shop.quoting.frozen import thaw
from shop.quoting.pricing import PriceRefused, margin_of, markup_of
from shop.quoting.reckoning import Reckoned, Reckoner
from shop.quoting.rows import MaterialRow
from shop.quoting.shown import as_shown
from shop.views.orders import customer_names

MOST_NOTE = 200


def find_quote(number: int) -> Quote:
    """The quotation of this number; 404 where there is none."""
    return get_object_or_404(Quote.objects.select_related("customer", "order", "alters"), number=number)


def reckoner_for(here: Asked) -> Reckoner:
    """What reckons on the shop's own day, in its words and units."""
    return Reckoner(here.shop, on=here.today, words=here.words, unit=here.unit)


@may("desk")
@conditional("day")
def quotes(request: HttpRequest) -> HttpResponse:
    """All quotations, the open ones first. A number typed in full goes straight to its quotation."""
    form = FindForm.asking(request.GET.get("q", ""))
    text = form.text
    if text.isdecimal() and len(text) <= 9 and Quote.objects.filter(number=int(text)).exists():
        return redirect("shop:quote", int(text))
    here = asked(request)
    page = list_quotes(text, here, after=request.GET.get("after", ""))
    query = {key: value for key, value in (("q", text), ("after", page.next_key)) if value}
    context = {
        "form": form,
        "page": page,
        "text": text,
        "older_url": f"{reverse('shop:quotes')}?{urlencode(query)}" if page.next_key else "",
        "begins_later": "after" in request.GET,
        "today": here.today,
    }
    return render(request, "shop/quotes/list.html", context)


@may("desk")
def quote_new(request: HttpRequest) -> HttpResponse:
    """Begin a quotation; `?order=` begins with an order's wheels, `?makeup=` with a make-up."""
    here, library = asked(request), list(by_name())
    if request.method != "POST":
        return _begin(request, here, library)
    entry = QuoteEntry(request.POST, asked=here, library=library, head=QuoteHead(request.POST))
    if entry.answer(request.POST):
        return _new_form(request, entry)
    if not entry.is_ready:
        return _new_form(request, entry, status=422)
    try:
        quote = start_quote(
            rows=[row.row() for row in entry.rows], by=signed_in(request), at=here.now, **entry.head.cleaned_data
        )
    except OrderRefused as refused:
        entry.head.add_error(None, str(refused))
        return _new_form(request, entry, status=422)
    return redirect("shop:quote", quote.number)


def _begin(request: HttpRequest, here: Asked, library: list[LibraryMakeUp]) -> HttpResponse:
    number = request.GET.get("order", "")
    if not (number.isdecimal() and len(number) <= 9):
        entry = QuoteEntry(None, asked=here, library=library, head=QuoteHead.fresh())
        entry.add_row({"makeup": request.GET.get("makeup")})
        return _new_form(request, entry)
    order = get_object_or_404(Order.objects.select_related("customer"), number=int(number))
    head = QuoteHead.fresh({"customer": order.customer.name, "carriage": order.carriage})
    entry = QuoteEntry(None, asked=here, library=library, head=head)
    told = left_out_in_words(entry.fill_with(rows_like(order)))
    if not entry.rows:
        entry.add_row()
    return _new_form(request, entry, begun=order, told=told)


def left_out_in_words(rows: list[tuple[WheelRow, int]]) -> str:
    """What is said where a form has no room for all the wheels."""
    if not rows:
        return ""
    names = [row.name if left == len(row.places) else f"{left} of the {row.name}" for row, left in rows]
    return f"There is no room here for {', '.join(names)}: put them into another quotation."


def _new_form(request: HttpRequest, entry: QuoteEntry, *, status: int = 200, **others: object) -> HttpResponse:
    context = {
        "entry": entry,
        "form": Together(*entry.forms),
        "sets": [(name, label) for name, (label, _) in SETS.items()],
        "customers": customer_names(),
    }
    return render(request, "shop/quotes/new.html", context | others, status=status)


@may("desk")
@conditional("day")
def quote(request: HttpRequest, number: int) -> HttpResponse:
    """A quotation as it stands: its draft, else its last revision; `?revision=` shows another."""
    one = find_quote(number)
    return show_quote(request, one, wished_revision(one, request.GET.get("revision", "")))


def wished_revision(quote: Quote, wished: str) -> Revision:
    """The revision of that number, 404 where there is none; without one the last."""
    if wished.isdecimal() and len(wished) < 5:
        return get_object_or_404(quote.revisions, number=int(wished))
    last = quote.revisions.order_by("-number").first()
    if last is None:
        raise ValueError(f"Quotation {quote.number} has no revision.")
    return last


def reckon(revision: Revision, here: Asked) -> Reckoned:
    """A draft as things are today; what was sent as they were then."""
    if revision.is_draft or revision.frozen is None:
        return reckoner_for(here).reckon(wanted_of(revision))
    return thaw(revision.frozen)


def show_quote(
    request: HttpRequest,
    quote: Quote,
    revision: Revision,
    *,
    status: int = 200,
    price_form: PriceForm | None = None,
    figures_form: FiguresForm | None = None,
) -> HttpResponse:
    """The page of one revision, also as the answer to a form that can't be taken or an act that came too late."""
    here = asked(request)
    reckoned = reckon(revision, here)
    context: dict[str, object] = {"quote": quote, "revision": revision, "form": None}
    if revision.is_draft:
        figures_form = figures_form or figures_form_of(revision, reckoned, here)
        context["figures_form"] = figures_form
        context["price_form"] = price_form or price_form_of(revision, reckoned, here)
        context["form"] = next((form for form in (price_form, figures_form) if form and form.errors), None)
    page = QuotePage(quote, revision, reckoned, here, figures_form)
    return render(request, "shop/quotes/quote.html", context | {"page": page}, status=status)


def price_form_of(revision: Revision, reckoned: Reckoned, here: Asked, data: object = None) -> PriceForm:
    """The form of a draft's price, which says it in all four ways."""
    currency = here.shop.currency
    initial, is_replacing = price_now(revision, reckoned, currency), bool(reckoned.taken_off_pence)
    return PriceForm(data, initial=initial, currency=currency, is_replacing=is_replacing)


def price_now(revision: Revision, reckoned: Reckoned, currency: str) -> dict[str, object]:
    """What that form would show by now; the choice that stands is what others may have changed."""
    likely = reckoned.cost.spread.likely
    told: dict[str, object] = {"by": revision.price_by, "state": f"It was priced by {price_choice(revision, currency)}"}
    try:
        price = price_of(revision, reckoned)
    except PriceRefused:
        return told | {str(revision.price_by): revision.price_figure}
    told |= {"price": price}
    if likely > 0:
        # Only what the form would take again.
        margin, markup = margin_of(price, likely), markup_of(price, likely)
        told |= {"margin": round(margin * WHOLE)} if margin is not None and margin >= 0 else {}
        told |= {"markup": round(markup * WHOLE)} if markup is not None and 0 <= markup <= MOST_PER_CENT / 100 else {}
    if reckoned.cost.work is not None:
        told["chance"] = min(max(round(reckoned.cost.chance_within(price) * 100), 1), 99) * 100
    # What is kept is shown as it was typed, not as it comes back from the sums.
    return told | {str(revision.price_by): revision.price_figure}


def figures_form_of(revision: Revision, reckoned: Reckoned, here: Asked, data: object = None) -> FiguresForm:
    """The form of a draft's own figures for materials."""
    rows = [*reckoned.timber, *reckoned.iron]
    return FiguresForm(data, initial=figures_now(revision, rows), rows=rows, currency=here.shop.currency)


def figures_now(revision: Revision, rows: Sequence[MaterialRow]) -> dict[str, object]:
    """What that form would show by now; and, so that no figure is kept for wheels that nobody saw, what they want."""
    wanted = ", ".join(f"{row.name} {row.amount.partition(' from ')[0]}" for row in rows)
    return {**revision.own_pence, "state": f"What the wheels want was changed to {wanted}"}


@may("desk")
@require_POST
def quote_send(request: HttpRequest, number: int) -> HttpResponse:
    """Write the draft out, as it was seen; 409 with the page as it is where it has changed since."""
    one, here = find_quote(number), asked(request)
    draft = one.revisions.drafts().first()
    if draft is None:
        messages.warning(request, "It was written out already, here or on another device.")
        return redirect("shop:quote", number)
    reckoned = as_shown(reckon(draft, here), request.POST.get("timber", ""))
    try:
        seen = mark_of(draft, price_of(draft, reckoned), reckoned)
        if request.POST.get("saw") != seen:
            raise QuoteRefused("It is not as you saw it: look at it now, and write it out once more.")
        send(one, reckoned, seen=draft.token, by=signed_in(request), at=here.now, on=here.today, as_of=draft.changed_at)
    except (QuoteRefused, PriceRefused) as refused:
        messages.warning(request, str(refused))
        return show_quote(request, find_quote(number), wished_revision(one, ""), status=409)
    messages.success(request, "Written out. It stays as it is now, whatever rates and prices do.")
    return redirect("shop:quote", number)


@may("desk")
@require_POST
def quote_accept(request: HttpRequest, number: int) -> HttpResponse:
    """The customer takes it: its order is made, once."""
    one, here = find_quote(number), asked(request)
    revision = wished_revision(one, request.POST.get("revision", ""))
    try:
        order = accept(one, revision, by=signed_in(request), at=here.now, on=here.today, note=_note(request))
    except (QuoteRefused, OrderRefused) as refused:
        messages.warning(request, str(refused))
        return show_quote(request, find_quote(number), wished_revision(one, str(revision.number)), status=409)
    was_ours = one.revisions.get(pk=revision.pk).answered_at == here.now
    if was_ours and revision.state != Revision.State.ACCEPTED:
        said = f"Order {order.number} is altered." if one.alters else f"Taken: order {order.number}."
        messages.success(request, said)
        return redirect("shop:order", order.number)
    messages.warning(request, f"It was accepted already: order {order.number}.")
    return redirect("shop:quote", number)


@may("desk")
@require_POST
def quote_refuse(request: HttpRequest, number: int) -> HttpResponse:
    """The customer does not want it."""
    one, here = find_quote(number), asked(request)
    revision = wished_revision(one, request.POST.get("revision", ""))
    try:
        now = refuse(one, revision, note=_note(request), by=signed_in(request), at=here.now)
    except QuoteRefused as refused:
        messages.warning(request, str(refused))
        return show_quote(request, find_quote(number), wished_revision(one, str(revision.number)), status=409)
    if now.answered_at == here.now and revision.state != Revision.State.REFUSED:
        messages.success(request, "Noted: it is not wanted. What it said stays readable.")
    else:
        said = f" with “{now.answer_note}”, which stays" if now.answer_note else ""
        messages.warning(request, f"It was noted before that it is not wanted{said}.")
    return redirect("shop:quote", number)


@may("desk")
@require_POST
def quote_revise(request: HttpRequest, number: int) -> HttpResponse:
    """A draft to go on from the last revision, or to renew it."""
    one, here = find_quote(number), asked(request)
    try:
        draft = revise(one, at=here.now)
    except QuoteRefused as refused:
        messages.warning(request, str(refused))
        return show_quote(request, find_quote(number), wished_revision(one, ""), status=409)
    messages.success(request, f"Revision {draft.number} is a draft, priced as things are today.")
    return redirect("shop:quote", number)


@may("desk")
@require_POST
def quote_give_up(request: HttpRequest, number: int) -> HttpResponse:
    """Leave the draft: what was sent before stands again; one that was never sent is gone."""
    one = find_quote(number)
    try:
        was_there = give_up(one, seen=request.POST.get("saw", ""))
    except QuoteRefused as refused:
        messages.warning(request, str(refused))
        return show_quote(request, one, wished_revision(one, ""), status=409)
    if not was_there:
        messages.warning(request, "There is no draft any more: it was given up or written out before.")
    else:
        messages.success(request, "The draft is given up.")
    if Quote.objects.filter(number=number).exists():
        return redirect("shop:quote", number)
    return redirect("shop:quotes")


def _note(request: HttpRequest) -> str:
    return " ".join(request.POST.get("note", "").replace("\0", " ").split())[:MOST_NOTE]
