"""Coming, going and breaks at the bench, in one touch; and a hand's own hours."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from jobs.words import in_words
from shop.access import may
from shop.attendance import keep, read_told
from shop.attendance_page import Here, own_days
from shop.bench_context import AtWork, at_work, check_hand, clock_context, fresh_but_kept, place_at_work
from shop.models import Attendance
from timing.clock import clock_of
from timing.facts import FactRefused
from timing.models import Clock

DAYS = 14


@may("bench")
@fresh_but_kept
def here(request: HttpRequest) -> HttpResponse:
    """Where the hand is by what it told, and its hours of the last fortnight."""
    return _show(request, at_work(request))


@may("bench")
@require_POST
def tell(request: HttpRequest) -> HttpResponse:
    """Keep one touch of the hand who is signed in: `token`, `kind`, `done_at`, `sent_at`, `hand`.

    The job clock is let be. Who comes goes on to the job; who goes, or rests, is told if the clock runs.
    """
    me = at_work(request)
    check_hand(request, me)
    by_script = bool(getattr(request, "htmx", False))
    try:
        told = read_told(request.POST, hand_id=me.user.pk, now=me.now)
        keep(told, me.shop, now=me.now)
    except FactRefused as refusal:
        if by_script:
            return render(request, "shop/bench/_trouble.html", {"trouble": str(refusal)}, status=422)
        return _show(request, me, trouble=str(refusal), status=422)
    if by_script:
        return render(request, "shop/bench/_trouble.html")
    is_at_work = told.kind in (Attendance.Kind.CAME, Attendance.Kind.BACK)
    return redirect("shop:bench-job" if is_at_work else "shop:bench-here")


def _show(request: HttpRequest, me: AtWork, *, trouble: str = "", status: int = 200) -> HttpResponse:
    clock = clock_of(me.user.pk)
    now = Here.of(me.user.pk, me.shop, now=me.now)
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "hand_at": clock_context(request, me, clock),
        "trouble": trouble,
        "here": now,
        "asks_clock": _clock_in_words(clock, me) if now.is_away else "",
        "days": own_days(me.user.pk, me.shop, last=me.today, first=me.today - timedelta(days=DAYS - 1), now=me.now),
        "token": uuid4(),
    }
    return render(request, "shop/bench/here.html", context, status=status)


def _clock_in_words(clock: Clock | None, me: AtWork) -> str:
    """The question about a clock that runs while its hand is away: "Your clock runs at shave spoke since 16.10"."""
    if clock is None or clock.started_at is None:
        return ""
    at = in_words(clock.task.operation.name, me.shop.words).lower() if clock.task else clock.get_kind_display()
    since = timezone.localtime(clock.started_at, me.shop.zone)
    return f"Your clock runs at {at} since {since.hour}.{since.minute:02d}: stop it?"
