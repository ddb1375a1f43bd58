"""What is ready to go on with."""

from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.http import urlencode

from jobs.models import Operation, Order, Task
from shop.access import may
from shop.attendance_page import Here
from shop.bench_context import AtWork, at_work, clock_context, fresh_but_kept, place_at_work
from shop.bench_jobs import choose_wheel, list_jobs
from shop.bench_page import place_of
from shop.many_wheels import Wished
from shop.views.bench_clock import OTHER_KINDS
from timing.clock import clock_of
from timing.models import Tally


@may("bench")
@fresh_but_kept
def jobs(request: HttpRequest) -> HttpResponse:
    """Jobs for the hand's trade, the most urgent order first, and the kinds of stretch that are no task."""
    me = at_work(request)
    wished = Wished.of(request.GET)
    if wished.is_of_operation:
        return _choose(request, me, wished)
    find = request.GET.get("find", "").replace("\0", "").strip()[:80]
    text = request.GET.get("page", "1")
    page = max(1, int(text)) if text.isascii() and text.isdigit() and len(text) < 6 else 1
    found = list_jobs(me.hand.trade, find=find, page=page, words=me.shop.words, zone=me.shop.zone, now=me.now)
    clock = clock_of(me.user.pk)
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "found": found,
        "find": find,
        "clock": clock,
        "hand_at": clock_context(request, me, clock),
        "last_task": _last_task(me, clock.task if clock else None),
        "other_kinds": [(kind.value, kind.label) for kind in OTHER_KINDS],
        "here": Here.of(me.user.pk, me.shop, now=me.now),
        "token": uuid4(),
        "sooner_url": _page_url(find, page - 1) if page > 1 else "",
        "later_url": _page_url(find, page + 1) if found.has_more else "",
    }
    if context["last_task"]:
        context["last_place"] = place_of(context["last_task"].lot, context["last_task"].wheel)
    return render(request, "shop/bench/jobs.html", context)


def _choose(request: HttpRequest, me: AtWork, wished: Wished) -> HttpResponse:
    """Which of many wheels to take up for one operation."""
    at_work_now = Order.objects.at_work().select_related("customer")
    order = get_object_or_404(at_work_now, lots=wished.lot_id, lots__dropped_at=None)
    operation = get_object_or_404(Operation, pk=wished.operation_id)
    waits = "waits" in request.GET
    choice = choose_wheel(order, wished, waits=waits, words=me.shop.words, zone=me.shop.zone, now=me.now)
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "order": order,
        "operation": operation,
        "choice": choice,
        "waits": waits,
        "hand_at": clock_context(request, me, clock_of(me.user.pk)),
        "token": uuid4(),
    }
    return render(request, "shop/bench/choose.html", context)


def _last_task(me: AtWork, on_the_clock: Task | None) -> Task | None:
    """What the hand was last at: by the clock, else by their last stretch of work."""
    if on_the_clock is not None:
        return on_the_clock
    tally = (
        Tally.objects.filter(stretch__hand=me.user, task__isnull=False)
        .select_related("task__operation", "task__lot__order", "task__wheel")
        .order_by("-stretch_id")
        .first()
    )
    return tally.task if tally else None


def _page_url(find: str, page: int) -> str:
    return f"{reverse('shop:bench-jobs')}?{urlencode({'find': find, 'page': str(page)})}"
