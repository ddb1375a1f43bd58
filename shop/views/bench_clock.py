"""The clock at the bench: start a job, pause, go on, end the day.

With a plain form all is done here: what the clock ran on is kept, and the clock turned. A device with an outbox tells
the time so far as a fact of its own, and after it the turn alone (`closed`), with the moment at which the hand turned.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from uuid import uuid4

from django.contrib import messages
from django.contrib.auth import logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from jobs.models import Task
from shop.access import BENCH_SESSION, may
from shop.bench import Job, closing, go_on, sent_before, turn_at, turn_to
from shop.bench_context import HELPERS, NOTE, AtWork, ask, at_work, check_hand, helpers_of
from shop.bench_questions import doubt, question_about, with_answer
from shop.views.bench_facts import answer, job_of_task, refuse
from timing.clock import clock_of
from timing.facts import Fact, FactRefused, NeedsConfirming, device_error
from timing.models import Clock
from timing.models.facts import Kind
from timing.posted import read_break, read_moment, read_note, read_token

OTHER_KINDS = (Kind.SHOP, Kind.WAITING, Kind.TRAINING, Kind.BREAK)


@may("bench")
@require_POST
def start(request: HttpRequest) -> HttpResponse:
    """Turn to a task, or to shop work, waiting, training or a break; what was under way is closed."""
    me = at_work(request)
    check_hand(request, me)
    try:
        job, note, at = _wanted_job(request), read_note(request.POST), _turned_at(request, me)
    except FactRefused as refusal:
        if getattr(request, "htmx", False):
            return refuse(request, me, str(refusal))
        messages.error(request, str(refusal))
        return redirect("shop:bench-jobs")
    if at is not None:
        return _turned(request, me, job, at, note=note)
    clock = clock_of(me.user.pk)
    if job.task is not None and clock is not None and clock.task_id == job.task.pk and clock.kind == Kind.WORK:
        go_on(me.user.pk, at=me.now)
        return redirect("shop:bench-job")

    def then() -> HttpResponse:
        request.session.pop(HELPERS, None)
        request.session[NOTE] = note
        return redirect("shop:bench-job")

    return _close(request, me, clock, job, then)


@may("bench")
@require_POST
def pause(request: HttpRequest) -> HttpResponse:
    """Stop the clock; the time so far stays with the work."""
    return _stop(request, at_work(request), lambda: redirect("shop:bench-job"))


@may("bench")
@require_POST
def start_again(request: HttpRequest) -> HttpResponse:
    me = at_work(request)
    check_hand(request, me)
    try:
        at = _turned_at(request, me)
    except FactRefused as refusal:
        return refuse(request, me, str(refusal))
    go_on(me.user.pk, at=at or me.now)
    return redirect("shop:bench-job") if at is None else render(request, "shop/bench/_trouble.html")


@may("bench")
@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """End the day, or leave the device to the next: the clock stops, and a bench session ends."""
    me = at_work(request)

    def then() -> HttpResponse:
        if BENCH_SESSION not in request.session:
            messages.success(request, "The clock is stopped.")
            return redirect("shop:bench-jobs")
        logout(request)
        return redirect("shop:bench")

    return _stop(request, me, then)


def _stop(request: HttpRequest, me: AtWork, then: Callable[[], HttpResponse]) -> HttpResponse:
    """Let the clock stand, at once or, where a device told it, from the moment at which it was stopped."""
    check_hand(request, me)
    try:
        at = _turned_at(request, me)
    except FactRefused as refusal:
        return refuse(request, me, str(refusal))
    if at is None:
        return _close(request, me, clock_of(me.user.pk), None, then)
    turn_at(me.user.pk, None, at=at)
    return render(request, "shop/bench/_trouble.html")


def _turned_at(request: HttpRequest, me: AtWork) -> datetime | None:
    """When a device says that the hand turned, by the shop's clock; None for a plain form. Raises FactRefused."""
    if request.POST.get("closed") != "1":
        return None
    done_at = read_moment(request.POST, "done_at")
    if done_at is None:
        raise FactRefused("Say when the hand turned (done_at).")
    return min(done_at + device_error(read_moment(request.POST, "sent_at"), me.now), me.now)


def _turned(request: HttpRequest, me: AtWork, job: Job, at: datetime, *, note: str) -> HttpResponse:
    """Put the clock on what the hand turned to, and answer with that job as it stands."""
    clock = clock_of(me.user.pk)
    if job.task is not None and clock is not None and clock.task_id == job.task.pk and clock.kind == Kind.WORK:
        go_on(me.user.pk, at=at)
    else:
        turn_at(me.user.pk, job, at=at)
        request.session.pop(HELPERS, None)
        request.session[NOTE] = note
    if job.task is None:
        return render(request, "shop/bench/_trouble.html")
    return answer(request, me, job_of_task(me, job.task))


def _wanted_job(request: HttpRequest) -> Job:
    """What the hand turns to. Raises Http404; FactRefused for a device, which must not ask for it again and again."""
    kind = request.POST.get("kind", Kind.WORK)
    if kind in OTHER_KINDS:
        return Job(kind)
    number = request.POST.get("task", "")
    pk = int(number) if number.isascii() and number.isdigit() and len(number) < 16 else 0
    task = Task.objects.filter(pk=pk).select_related("lot__order").first()
    if task is not None:
        return Job(Kind.WORK, task)
    if getattr(request, "htmx", False):
        raise FactRefused("That work is no longer in the shop's books: take another.")
    raise Http404("That work is not in the shop's books.")


def _close(
    request: HttpRequest, me: AtWork, clock: Clock | None, job: Job | None, then: Callable[[], HttpResponse]
) -> HttpResponse:
    """Close what the clock ran on, asking first where something is to be asked, and go on with what follows."""
    try:
        closed = _closed(request, me, clock)
        question = question_about(closed, me.shop, now=me.now) if closed else None
        if question:
            return ask(request, question)
        taken_off = read_break(request.POST, of=closed) if closed else None
        turn_to(me.user.pk, job, me.shop, now=me.now, closed=closed, taken_off=taken_off)
    except NeedsConfirming as long:
        return ask(request, doubt(closed, str(long))) if closed else then()
    except FactRefused as refusal:
        messages.error(request, str(refusal))
        return redirect("shop:bench-job")
    return then()


def _closed(request: HttpRequest, me: AtWork, clock: Clock | None) -> Fact | None:
    """The stretch to be closed, with what was answered about it if it was asked about before."""
    token = read_token(request.POST) if request.POST.get("token") else uuid4()
    helper_ids = helpers_of(request, clock.task_id if clock else None)
    note = request.session.get(NOTE, "") if clock and clock.kind != Kind.WORK else ""
    closed = closing(clock, token=token, now=me.now, helper_ids=helper_ids, note=note)
    if closed is None:
        return None
    answered = read_moment(request.POST, "started_at") == closed.started_at
    if not answered:
        return sent_before(closed)
    done_at = min(read_moment(request.POST, "done_at") or me.now, me.now)
    seconds = request.POST.get("seconds", "")
    closed = replace(
        closed,
        done_at=max(done_at, closed.started_at or done_at),
        seconds=int(seconds) if seconds.isascii() and seconds.isdigit() and len(seconds) < 10 else None,
        confirmed=request.POST.get("confirmed") == "1",
    )
    return with_answer(closed, request.POST)
