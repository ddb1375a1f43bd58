"""A hand's own work: every stretch, by day, to be put right or disputed."""

from typing import Any
from uuid import UUID, uuid4

from django.contrib import messages
from django.db.models import Exists, OuterRef, Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache

from jobs.durations import hours_and_minutes
from shop.access import may
from shop.bench_context import AtWork, at_work, place_at_work
from shop.bench_mine import OwnDay, OwnStretch, by_day
from shop.forms.bench import CorrectionForm, DisputeForm
from shop.overlap_words import overlaps_in_words
from shop.passing import still_passed
from shop.pay_runs import PAID, closed_until, is_paid
from timing.corrections import as_told, can_be_corrected, correct, dispute, with_changes
from timing.facts import FactRefused, NeedsConfirming
from timing.models import Stretch, Tally
from timing.models.facts import Kind
from timing.posted import read_token

A_PAGE = 40


def _own(me: AtWork) -> QuerySet[Stretch]:
    tallies = Tally.objects.select_related("task__operation", "task__lot__order", "task__wheel").order_by("task_id")
    return (
        Stretch.objects.of_the_shop()
        .filter(hand=me.user)
        .select_related("operation", "entered_by__shop_hand")
        .prefetch_related(Prefetch("tallies", tallies))
        .annotate(is_undone=Exists(Stretch.objects.filter(cancels_token=OuterRef("token"))))
    )


@may("bench")
@never_cache
def mine(request: HttpRequest) -> HttpResponse:
    """The newest forty, and the older by key."""
    me = at_work(request)
    rows = _own(me).order_by("-id")
    before = request.GET.get("before", "")
    if before.isascii() and before.isdigit() and len(before) < 16:
        rows = rows.filter(pk__lt=int(before))
    found = list(rows[: A_PAGE + 1])
    shown, more = found[:A_PAGE], len(found) > A_PAGE
    words, zone = me.shop.words, me.shop.zone
    overlaps = overlaps_in_words(shown, words=words, zone=zone, own_id=me.user.pk)
    days: list[OwnDay] = by_day(shown, words=words, zone=zone, overlaps=overlaps, paid_until=closed_until())
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "days": days,
        "older_url": f"{reverse('shop:bench-mine')}?{urlencode({'before': str(shown[-1].pk)})}" if more else "",
        "newer_url": reverse("shop:bench-mine") if before else "",
    }
    return render(request, "shop/bench/mine.html", context)


def _own_stretch(me: AtWork, token: UUID) -> tuple[Stretch, list[Tally]]:
    """One's own stretch with its tallies; what is not one's own is not there."""
    stretch = get_object_or_404(_own(me).filter(cancels_token=None), token=token)
    return stretch, list(stretch.tallies.all())


@may("bench")
@never_cache
def correct_own(request: HttpRequest, token: UUID) -> HttpResponse:
    """Put a stretch right: the old one is undone and a new one stands in its place; both stay readable."""
    me = at_work(request)
    stretch, tallies = _own_stretch(me, token)
    minutes = "" if stretch.seconds is None else hours_and_minutes(stretch.seconds)
    form = CorrectionForm(
        request.POST or None,
        initial={"made": sum(row.made for row in tallies), "minutes": minutes, "note": stretch.note},
    )
    if len(tallies) != 1:
        del form.fields["made"]
    if stretch.kind != Kind.WORK:
        form.fields["minutes"].required = True
    return _correct(request, me, stretch, tallies, form)


def _correct(
    request: HttpRequest, me: AtWork, stretch: Stretch, tallies: list[Tally], form: CorrectionForm
) -> HttpResponse:
    if not can_be_corrected(stretch, tallies):
        messages.error(request, "That one can't be put right here: undo it at its job and tell it anew.")
        return redirect("shop:bench-mine")
    if is_paid(stretch, closed_until()):
        messages.error(request, PAID)
        return redirect("shop:bench-mine")
    ask_confirmed = "confirmed" in request.POST
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            fact = as_told(stretch, tallies, token=read_token(request.POST))
            fact = with_changes(
                fact,
                made=data.get("made"),
                seconds=data["minutes"],
                note=data["note"],
                confirmed=data["confirmed"],
            )
            still_passed(stretch, lambda: correct(stretch, fact, by_id=me.user.pk, zone=me.shop.zone, now=me.now))
        except FactRefused as refusal:
            ask_confirmed = ask_confirmed or isinstance(refusal, NeedsConfirming)
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Put right. The old entry stays readable, struck out.")
            return redirect("shop:bench-mine")
    return _render(request, me, stretch, form, "shop/bench/correct.html", ask_confirmed=ask_confirmed)


@may("bench")
@never_cache
def dispute_own(request: HttpRequest, token: UUID) -> HttpResponse:
    """Say in words what is wrong with a stretch, for the owner to see."""
    me = at_work(request)
    stretch, tallies = _own_stretch(me, token)
    form = DisputeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            words, token = form.cleaned_data["words"], read_token(request.POST)
            still_passed(stretch, lambda: dispute(stretch, tallies, words, token=token, zone=me.shop.zone, now=me.now))
        except FactRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, "Your words stand in the day book.")
            return redirect("shop:bench-mine")
    return _render(request, me, stretch, form, "shop/bench/dispute.html")


def _render(
    request: HttpRequest,
    me: AtWork,
    stretch: Stretch,
    form: CorrectionForm | DisputeForm,
    template: str,
    *,
    ask_confirmed: bool = False,
) -> HttpResponse:
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "form": form,
        "ask_confirmed": ask_confirmed,
        "row": OwnStretch.of(stretch, words=me.shop.words, zone=me.shop.zone),
        "token": request.POST.get("token") or uuid4(),
    }
    return render(request, template, context, status=422 if form.errors else 200)
