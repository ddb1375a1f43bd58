"""What takes more than one touch at a job: a number with its minutes, helpers. Spoiled pieces: `bench_spoiled`."""

from typing import Any
from uuid import uuid4

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from jobs.models import Task
from jobs.words import in_words
from jobs.work import load_lot
from shop.access import may
from shop.bench_context import AtWork, at_work, clock_context, fresh_but_kept, helpers_of, keep_helpers, place_at_work
from shop.bench_page import about, clock_words, place_of
from shop.forms.bench import NumberForm
from shop.models import Hand
from shop.views.bench_facts import take
from timing.clock import clock_of
from timing.facts import FactRefused
from timing.models import Clock


def _clock_on_a_task(me: AtWork) -> tuple[Clock, Task] | None:
    clock = clock_of(me.user.pk)
    return (clock, clock.task) if clock and clock.task else None


@may("bench")
@fresh_but_kept
def number(request: HttpRequest) -> HttpResponse:
    """A number done at once, with its minutes or by the clock: one stretch."""
    me = at_work(request)
    there = _clock_on_a_task(me)
    if there is None:
        return redirect("shop:bench-jobs")
    clock, task = there
    form = NumberForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            taken = take(request, me)
        except FactRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            return taken if isinstance(taken, HttpResponse) else redirect("shop:bench-job")
    lot, work = load_lot(task.lot_id)
    here = next(row for row in work.tasks(lot=lot, dropped=True) if row.pk == task.pk)
    context = about(here, lot, work, me.shop.words) | {
        "at_work": place_at_work(request),
        "hand_at": clock_context(request, me, clock),
        "form": form,
        "started_at": clock.started_at,
        "elapsed_words": clock_words(round((me.now - clock.started_at).total_seconds())) if clock.started_at else "",
        "left": work.left(here),
        "helper_ids": helpers_of(request, task.pk),
        "token": request.POST.get("token") or uuid4(),
    }
    return render(request, "shop/bench/number.html", context, status=422 if form.errors else 200)


@may("bench")
@fresh_but_kept
def helpers(request: HttpRequest) -> HttpResponse:
    """Who helps with the job in hand; remembered while the job lasts."""
    me = at_work(request)
    there = _clock_on_a_task(me)
    if there is None:
        return redirect("shop:bench-jobs")
    task = there[1]
    others = Hand.objects.working().exclude(user=me.user)
    if request.method == "POST":
        ticked = set(request.POST.getlist("helper"))
        keep_helpers(request, task.pk, [hand.user_id for hand in others if str(hand.user_id) in ticked])
        return redirect("shop:bench-job")
    context: dict[str, Any] = {
        "at_work": place_at_work(request),
        "others": others,
        "ticked": helpers_of(request, task.pk),
        "name": in_words(task.operation.name, me.shop.words),
        "place": place_of(task.lot, task.wheel),
        "hands": task.operation.hands,
    }
    return render(request, "shop/bench/helpers.html", context)
