"""A hand's own pay, at the bench: what this period comes to so far, and the sheets that are closed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.cache import never_cache

from shop.access import may
from shop.bench_context import AtWork, at_work, place_at_work
from shop.models import PaySheet
from shop.pay.reckoning import Reckoned
from shop.pay_reckoned import reckon_period
from shop.pay_runs import DraftSheet, next_period, period_in_words
from shop.pay_sheet import SheetTold, of_closed, of_draft

MOST = 60


@may("bench")
@never_cache
def pay(request: HttpRequest) -> HttpResponse:
    """This period so far, late facts of earlier ones left out: those the next run tells."""
    me = at_work(request)
    rows = PaySheet.objects.filter(hand=me.user).select_related("run").order_by("-run__first_on")[:MOST]
    context = {
        "at_work": place_at_work(request),
        "sheet": _so_far(me),
        "rows": [(row, period_in_words(row.run.first_on, row.run.last_on)) for row in rows],
    }
    return render(request, "shop/bench/pay.html", context)


def _so_far(me: AtWork) -> SheetTold:
    period = next_period(me.shop)
    found = reckon_period(period, me.shop, now=me.now, hand_id=me.user.pk)
    sheet = DraftSheet(me.user.pk, me.hand.name, found.by_hand.get(me.user.pk, Reckoned((), ())))
    return of_draft(sheet, period, me.shop)


@may("bench")
@never_cache
def pay_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """One's own closed sheet; another's is not there."""
    me = at_work(request)
    rows = PaySheet.objects.filter(hand=me.user).select_related("run").prefetch_related("adjustments__of_run")
    row = get_object_or_404(rows, pk=pk)
    context = {"at_work": place_at_work(request), "row": row, "sheet": of_closed(row)}
    return render(request, "shop/bench/pay_sheet.html", context)
