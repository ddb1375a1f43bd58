"""Settings: how one hand is paid from a day on."""

from contextlib import suppress

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.turns import take_turns
from jobs.writing import writing
from shop.access import may
from shop.asked import asked, signed_in
from shop.days import day_in_words
from shop.forms.pay import TermsForm
from shop.forms.seen import STATE, Overtaken, status_of
from shop.models import Hand, PayTerms
from shop.pay.terms import DatedTerms, Terms
from shop.pay_terms import all_terms, record_terms, terms_in_words


@may("owner")
def pay_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Whether pieces are paid, and what the law asks at the least."""
    person = get_object_or_404(Hand.objects.select_related("user"), pk=pk)
    ask = asked(request)
    now = all_terms().get(person.user_id, DatedTerms()).on(ask.today)
    initial = {"paid_by": "pieces" if now.by_pieces else "hours", "band": now.band, STATE: _newest(person)}
    form = TermsForm(request.POST or None, initial=initial)
    if form.is_valid():
        answers = form.answers
        told = Terms(answers["paid_by"] == "pieces", answers["band"])
        with suppress(Overtaken), writing():
            take_turns("pay terms")
            last = _last(person)
            if last is None or (Terms(last.by_pieces, last.band), last.from_on) != (told, answers["from_on"]):
                form.meet({STATE: _newest(person)})
            record_terms(
                person,
                by_pieces=told.by_pieces,
                band=told.band,
                from_on=answers["from_on"],
                at=ask.now,
                by=signed_in(request),
            )
            messages.success(request, "Written down.")
            return redirect("shop:pay-terms", person.pk)
    rows = PayTerms.objects.filter(hand=person.user_id).select_related("recorded_by").order_by("-from_on", "-id")
    context = {
        "form": form,
        "person": person,
        "title": f"{person.name}: how paid",
        "standing": terms_in_words(now),
        "history": [(row, terms_in_words(Terms(row.by_pieces, row.band))) for row in rows],
    }
    return render(request, "shop/settings/pay_terms.html", context, status=status_of(form))


def _last(person: Hand) -> PayTerms | None:
    return PayTerms.objects.filter(hand=person.user_id).select_related("recorded_by").order_by("pk").last()


def _newest(person: Hand) -> str:
    """What was written down last, as a sentence; empty before the first."""
    last = _last(person)
    if last is None:
        return ""
    by = f" by {last.recorded_by.get_username()}" if last.recorded_by else ""
    words = terms_in_words(Terms(last.by_pieces, last.band))
    return f"“{words}” from {day_in_words(last.from_on)} was written down{by}"
