"""Rated output work of an operation: what is known of it, tests, estimates and notices. For Great Britain."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from jobs.models import Operation
from jobs.words import in_words
from shop.access import may
from shop.agreeing import (
    TESTS,
    AgreementRefused,
    Tried,
    give_notices,
    mean_row_on,
    next_period_after,
    notice_of,
    record_mean,
)
from shop.agreements import Agreements, rates_of
from shop.asked import Asked, asked, signed_in
from shop.days import day_in_words
from shop.file_answers import as_paper, paper_links
from shop.forms.output import EndForm, EstimateForm, NoticeForm, OutputTestForm
from shop.forms.shown import ask_again
from shop.models import Hand, OutputMean, OutputNotice
from shop.output_hands import hands_by_pieces, hands_who_do
from shop.output_page import OutputPage
from shop.output_paper import notice_paper
from shop.pay_facts import Scheme
from shop.rates import RateBook


@may("owner")
def piece_output(request: HttpRequest, key: str) -> HttpResponse:
    """What is known of an operation's mean output, and who was told."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    page = OutputPage(operation, here, Scheme.load(here.words), Agreements.load())
    return render(request, "shop/pay/output.html", {"operation": operation, "page": page, "rules": here.shop.pay_rules})


@may("owner")
def piece_output_test(request: HttpRequest, key: str) -> HttpResponse:
    """Enter a fair test of the hands who do it."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    by_pieces = hands_by_pieces(here)
    by_hours = [hand for hand in Hand.objects.working() if hand not in by_pieces]
    told: dict[str, Any] = {"by_pieces": by_pieces, "by_hours": by_hours, "today": here.today}
    form = OutputTestForm(request.POST or None, who_do_it=hands_who_do(operation, here), **told)
    return _enter(request, operation, here, form, "A test of its output")


@may("owner")
def piece_output_estimate(request: HttpRequest, key: str) -> HttpResponse:
    """Enter an estimate from a test; one from an estimate there is not."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    rows = list(OutputMean.objects.filter(basis__in=TESTS).select_related("operation").order_by("-tried_on", "-id"))
    tests = [(row.pk, f"{in_words(row.operation.name, here.words)}, {day_in_words(row.tried_on)}") for row in rows]
    own = [row.pk for row in rows if row.operation_id == operation.pk]
    form = EstimateForm(request.POST or None, tests=tests, of_this_work=own, today=here.today)
    return _enter(request, operation, here, form, "An estimate of its output")


@may("owner")
def piece_output_end(request: HttpRequest, key: str) -> HttpResponse:
    """The hours really worked count from the first pay period of a day or later."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    form = EndForm(request.POST or None, today=here.today)
    return _enter(request, operation, here, form, "Rate it no longer")


def _enter(
    request: HttpRequest,
    operation: Operation,
    here: Asked,
    form: OutputTestForm | EstimateForm | EndForm,
    title: str,
) -> HttpResponse:
    if form.is_valid():
        told: Tried = form.told
        sure = form.cleaned_data["confirmed"]
        try:
            record_mean(operation, told, token=_token(form), by=signed_in(request), at=here.now, confirmed=sure)
        except AgreementRefused as refused:
            ask_again(form, "confirmed", refused)
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Written down.")
            return redirect("shop:piece-output", operation.key)
    context = {"operation": operation, "form": form, "title": title}
    return render(request, "shop/pay/output_enter.html", context, status=422 if form.errors else 200)


def _token(form: EndForm | NoticeForm) -> UUID:
    token: UUID = form.cleaned_data["token"]
    return token


@may("owner")
def piece_notice(request: HttpRequest, key: str) -> HttpResponse:
    """The notice as it would be given today, and to whom it was given."""
    operation, here = get_object_or_404(Operation, key=key), asked(request)
    begins = next_period_after(here.today, here.shop)
    mean, rates = mean_row_on(operation, begins), rates_of(RateBook.load(), operation.pk, begins)
    hands = hands_by_pieces(here)
    form = NoticeForm(request.POST or None, hands=hands, today=here.today, initial={"given_on": here.today})
    if form.is_valid():
        answers = form.cleaned_data
        try:
            mean = mean_row_on(operation, next_period_after(answers["given_on"], here.shop))
            if mean is None:
                raise AgreementRefused("No mean output stands in the period that follows: enter a test first.")
            given = [hand for hand in hands if hand.pk in answers["hands"]]
            rows = give_notices(
                mean,
                given,
                given_on=answers["given_on"],
                shop=here.shop,
                token=_token(form),
                by=signed_in(request),
                at=here.now,
                confirmed=answers["confirmed"],
            )
        except AgreementRefused as refused:
            ask_again(form, "confirmed", refused)
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Written down. Print one for each hand, and keep it.")
            return redirect("shop:output-notice", rows[0].pk) if len(rows) == 1 else redirect("shop:piece-output", key)
    context = {"operation": operation, "form": form, "begins": begins, "rates": rates, "hands": hands}
    context["told"] = notice_of(mean, rates, here.shop) if mean and rates else ()
    return render(request, "shop/pay/notice_give.html", context, status=422 if form.errors else 200)


@may("owner")
def output_notice(request: HttpRequest, pk: int) -> HttpResponse:
    """A notice as it was given."""
    row = _notice(pk)
    context = {"row": row, "papers": paper_links("output-notice-paper", row.pk, asked={})}
    return render(request, "shop/pay/notice.html", context)


@may("owner")
def output_notice_paper(request: HttpRequest, pk: int, paper: str) -> HttpResponse:
    """The same on paper, to be given."""
    row, here = _notice(pk), asked(request)
    document = notice_paper(row, here)
    return as_paper(document, paper, name=document.title)


def _notice(pk: int) -> OutputNotice:
    rows = OutputNotice.objects.select_related("hand__shop_hand", "mean__operation", "recorded_by__shop_hand")
    return get_object_or_404(rows, pk=pk)
