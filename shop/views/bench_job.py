"""The page of the job in hand."""

from typing import Any
from uuid import uuid4

from django.contrib.messages import get_messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from jobs.models import Order, Task
from jobs.work import Work, load_work
from shop.access import may
from shop.bench import last_of
from shop.bench_context import NOTE, AtWork, at_work, clock_context, fresh_but_kept, helpers_of, place_at_work
from shop.bench_jobs import Row, offers, row_of
from shop.bench_page import JobNow, clock_words, job_of, place_of
from shop.models import Hand
from timing.clock import clock_of
from timing.models import Clock
from timing.models.facts import Kind
from timing.standing import last_done

MOST_NEXT, MOST_AT_WORK = 5, 12


@may("bench")
@fresh_but_kept
def job(request: HttpRequest) -> HttpResponse:
    """What the hand is at; without a job, the list of what is ready."""
    return show_job(request, at_work(request))


def show_job(request: HttpRequest, me: AtWork, *, trouble: str = "", status: int = 200) -> HttpResponse:
    clock = clock_of(me.user.pk)
    if clock is None or (clock.kind == Kind.WORK and clock.task is None):
        if trouble:
            # A refusal that led on to the list would read as if all had been saved.
            told = {"at_work": place_at_work(request), "trouble": trouble}
            return render(request, "shop/bench/refused.html", told, status=status)
        return redirect("shop:bench-jobs")
    trouble = " ".join([trouble, *map(str, get_messages(request))]).strip()
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "hand_at": clock_context(request, me, clock),
        "trouble": trouble,
        "token": uuid4(),
    }
    if clock.task is None:
        elapsed = context["hand_at"]["elapsed"]
        context |= {
            "kind": clock.get_kind_display(),
            "elapsed": elapsed,
            "elapsed_words": clock_words(elapsed or 0),
            "note": request.session.get(NOTE, ""),
        }
        return render(request, "shop/bench/other_kind.html", context, status=status)
    return render(request, "shop/bench/job.html", context | _job_context(request, me, clock.task), status=status)


def _job_context(request: HttpRequest, me: AtWork, task: Task) -> dict[str, Any]:
    order = task.lot.order
    words = me.shop.words
    work = load_work([order], now=me.now, last_done=last_done([order]))
    lot = next(lot for lot in work.lots(order, dropped=True) if lot.pk == task.lot_id)
    lot.order = order
    last = last_of(me.user.pk, task.lot_id)
    job = job_of(lot, work, task.pk, hand_id=me.user.pk, words=words, now=me.now, today=me.today, last=last)
    helper_ids = helpers_of(request, task.pk)
    return {
        "job": job,
        "order": order,
        "helper_ids": helper_ids,
        "helpers": Hand.objects.filter(user__in=helper_ids) if helper_ids else [],
        "warnings": _warnings(job, work, me),
        "next_rows": _next_rows(job, work, order, me),
        "others_at_work": others_at_work(me),
    }


def _warnings(job: JobNow, work: Work, me: AtWork) -> list[str]:
    """What speaks against going on. A hand may go on regardless."""
    if job.warnings:
        return job.warnings
    if work.ready(job.task).units:
        return []
    waits = work.waiting_for(job.task, me.shop.words, me.shop.zone)
    return [f"{sentence[:1].upper()}{sentence[1:]}." for sentence in waits]


def _next_rows(job: JobNow, work: Work, order: Order, me: AtWork) -> list[Row]:
    """What else is ready in this order for the same trade; what comes after this job first."""
    if not order.is_open:
        return []
    found = [
        offer
        for offer in offers(work, [order])
        if offer.ready and offer.task.pk != job.task.pk and offer.task.operation.trade == job.task.operation.trade
    ]
    here = job.task.operation.position
    nearest = sorted(found, key=lambda offer: offer.task.operation.position < here)[:MOST_NEXT]
    return [row_of(offer, work, words=me.shop.words, zone=me.shop.zone) for offer in nearest]


def others_at_work(me: AtWork) -> list[tuple[str, Clock, str]]:
    """Who else has a clock running, and where."""
    rows = (
        Clock.objects.filter(started_at__isnull=False)
        .exclude(hand=me.user)
        .select_related("hand__shop_hand", "task__operation", "task__lot__order", "task__wheel")
        .order_by("hand__shop_hand__name")[:MOST_AT_WORK]
    )
    return [(str(row.hand.shop_hand), row, place_of(row.task.lot, row.task.wheel) if row.task else "") for row in rows]
