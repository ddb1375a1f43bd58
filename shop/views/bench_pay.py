"""A hand's own pay, at the bench: what this period comes to so far, and the sheets that are closed.

Whoever holds the tablet can tap a name, so pay is shown after the PIN alone, asked anew, and for a short while.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from shop.access import BENCH_SESSION, may
from shop.bench_context import AtWork, at_work, place_at_work
from shop.door_log import note_wrong
from shop.models import PaySheet
from shop.older import page_of
from shop.pay.reckoning import Reckoned
from shop.pay_reckoned import reckon_period
from shop.pay_runs import DraftSheet, next_period, period_in_words
from shop.pay_sheet import SheetTold, of_closed, of_draft
from shop.people import device_of
from shop.pins import check_pin
from shop.views.bench_who import PinForm, why_not

MOST = 60
SHOWN_UNTIL = "bench_pay_shown_until"
SHOWN_FOR = timedelta(minutes=2)


def behind_the_pin(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Show a page of pay at the bench for two minutes after the PIN; without a PIN never. A desk session needs none."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: int | str, **kwargs: int | str) -> HttpResponse:
        me = at_work(request)
        if BENCH_SESSION not in request.session or _is_shown(request, me.now):
            return view(request, *args, **kwargs)
        return _ask_pin(request, me)

    return guarded


def _is_shown(request: HttpRequest, now: datetime) -> bool:
    until = request.session.get(SHOWN_UNTIL)
    # A clock that was set back does not lengthen it.
    return until is not None and now < datetime.fromisoformat(until) <= now + SHOWN_FOR


def _ask_pin(request: HttpRequest, me: AtWork) -> HttpResponse:
    device = device_of(request)
    has_pin = bool(me.hand.pin_hash)
    form = PinForm(request.POST if request.method == "POST" and has_pin else None)
    status = 200
    if device is not None and form.is_valid():
        answer = check_pin(device, me.hand, form.cleaned_data["pin"], me.now)
        if answer.right:
            request.session[SHOWN_UNTIL] = (me.now + SHOWN_FOR).isoformat()
            return redirect(request.get_full_path())
        note_wrong(request, me.hand, device, looked=answer.looked)
        form.add_error("pin", why_not(answer, me.shop))
        status = 429 if answer.wait_until else 422
    elif form.errors:
        status = 422
    context = {"at_work": place_at_work(request), "form": form, "has_pin": has_pin}
    return render(request, "shop/bench/pay_pin.html", context, status=status)


@may("bench")
@never_cache
@sensitive_post_parameters("pin")
@behind_the_pin
def pay(request: HttpRequest) -> HttpResponse:
    """This period so far, late facts of earlier ones left out: those the next run tells."""
    me = at_work(request)
    closed = PaySheet.objects.filter(hand=me.user).select_related("run")
    page = page_of(request, closed, day="run__first_on", most=MOST)
    context = {
        "at_work": place_at_work(request),
        "sheet": _so_far(me),
        "rows": [(row, period_in_words(row.run.first_on, row.run.last_on)) for row in page.rows],
        "page": page,
    }
    return render(request, "shop/bench/pay.html", context)


def _so_far(me: AtWork) -> SheetTold:
    period = next_period(me.shop)
    found = reckon_period(period, me.shop, now=me.now, hand_id=me.user.pk)
    sheet = DraftSheet(me.user.pk, me.hand.name, found.by_hand.get(me.user.pk, Reckoned((), ())))
    return of_draft(sheet, period, me.shop)


@may("bench")
@never_cache
@sensitive_post_parameters("pin")
@behind_the_pin
def pay_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """One's own closed sheet; another's is not there."""
    me = at_work(request)
    rows = PaySheet.objects.filter(hand=me.user).select_related("run").prefetch_related("adjustments__of_run")
    row = get_object_or_404(rows, pk=pk)
    context = {"at_work": place_at_work(request), "row": row, "sheet": of_closed(row)}
    return render(request, "shop/bench/pay_sheet.html", context)
