"""Settings: how one hand is paid from a day on, and what it agreed to on overtime."""

from contextlib import suppress

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.turns import take_turns
from jobs.writing import writing
from shop.access import may
from shop.agreeing import (
    AgreementRefused,
    look_at_overtime,
    overtime_in_words,
    record_overtime,
    standing_overtime,
)
from shop.asked import asked, signed_in
from shop.days import day_in_words
from shop.forms.output import OvertimeForm
from shop.forms.pay import TermsForm
from shop.forms.seen import STATE, Overtaken, status_of
from shop.forms.shown import ask_again
from shop.models import Hand, OvertimeAgreement, PayTerms
from shop.pay.terms import DatedTerms, Terms
from shop.pay_terms import all_terms, terms_in_words, terms_of
from shop.terms_written import TermsRefused, look_at_terms, record_terms


@may("owner")
def pay_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Whether pieces are paid, and what the law asks at the least."""
    person = get_object_or_404(Hand.objects.select_related("user"), pk=pk)
    ask = asked(request)
    now = all_terms().get(person.user_id, DatedTerms()).on(ask.today)
    rules = ask.shop.pay_rules
    initial = {"paid_by": "pieces" if now.by_pieces else "hours", "band": now.band, STATE: _newest(person)}
    initial["hours"] = "shop" if now.hours_are_controlled else "hand"
    form = TermsForm(request.POST or None, initial=initial, asks_hours=rules == "gb")
    if form.is_valid():
        answers = form.answers
        controlled = answers["hours"] == "shop" if "hours" in answers else now.hours_are_controlled
        told = Terms(answers["paid_by"] == "pieces", answers["band"], controlled)
        # Reckoned before others wait for it.
        looked = look_at_terms(person, told, from_on=answers["from_on"], at=ask.now)
        with suppress(Overtaken), writing():
            take_turns("pay terms")
            last = _last(person)
            if last is None or (terms_of(last), last.from_on) != (told, answers["from_on"]):
                form.meet({STATE: _newest(person)})
            try:
                record_terms(
                    person,
                    told,
                    from_on=answers["from_on"],
                    at=ask.now,
                    by=signed_in(request),
                    was_mistake=answers["was_mistake"],
                    looked=looked,
                )
            except TermsRefused as refused:
                ask_again(form, "was_mistake", refused)
                form.add_error("from_on", str(refused))
            else:
                messages.success(request, "Written down.")
                return redirect("shop:pay-terms", person.pk)
    rows = PayTerms.objects.filter(hand=person.user_id).select_related("recorded_by").order_by("-from_on", "-id")
    context = {
        "form": form,
        "person": person,
        "title": f"{person.name}: how paid",
        "standing": terms_in_words(now),
        "rules": rules,
        "history": [(row, terms_in_words(terms_of(row))) for row in rows],
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
    words = terms_in_words(terms_of(last))
    return f"“{words}” from {day_in_words(last.from_on)} was written down{by}"


@may("owner")
def overtime_agreed(request: HttpRequest, pk: int) -> HttpResponse:
    """An agreement with a hand on the pieces of its overtime hours, and its end."""
    person = get_object_or_404(Hand.objects.select_related("user"), pk=pk)
    ask = asked(request)
    form = OvertimeForm(request.POST or None, initial={STATE: _newest_overtime(person)}, today=ask.today)
    if form.is_valid():
        told = {name: form.answers[name] for name in ("agreed_on", "begins_on", "ends_on")}
        # Reckoned before others wait for it.
        looked = look_at_overtime(person, **told, at=ask.now)
        with suppress(Overtaken), writing():
            take_turns("overtime agreed")
            last = _last_overtime(person)
            if last is None or any(getattr(last, name) != value for name, value in told.items()):
                form.meet({STATE: _newest_overtime(person)})
            try:
                record_overtime(
                    person,
                    **told,
                    by=signed_in(request),
                    at=ask.now,
                    confirmed=form.answers["confirmed"],
                    looked=looked,
                )
            except AgreementRefused as refused:
                ask_again(form, "confirmed", refused)
                form.add_error(None, str(refused))
            else:
                messages.success(request, "Written down.")
                return redirect("shop:overtime-agreed", person.pk)
    rows = OvertimeAgreement.objects.filter(hand=person.user_id).select_related("recorded_by__shop_hand")
    context = {"form": form, "person": person, "title": f"{person.name}: overtime by the piece"}
    context |= {"rows": rows.order_by("-begins_on", "-id"), "rules": ask.shop.pay_rules}
    context["standing"] = {row.pk for row in standing_overtime(person)}
    return render(request, "shop/settings/overtime.html", context, status=status_of(form))


def _last_overtime(person: Hand) -> OvertimeAgreement | None:
    return OvertimeAgreement.objects.filter(hand=person.user_id).select_related("recorded_by").order_by("pk").last()


def _newest_overtime(person: Hand) -> str:
    """What was agreed last, as a sentence; empty before the first."""
    last = _last_overtime(person)
    if last is None:
        return ""
    by = last.recorded_by.get_username()
    return f"What is {overtime_in_words(last)}, from {day_in_words(last.begins_on)}, was written down by {by}"
