"""Where the bench posts its facts: the one documented form, answered with the job as it stands after it."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import get_token
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_POST

from jobs.models import Task
from jobs.work import load_lot
from shop.access import may
from shop.bench import Last, keep, keep_closing, last_of, sent_before, undo
from shop.bench_context import AtWork, ask, at_work, check_hand, helpers_of
from shop.bench_page import JobNow, job_of
from shop.bench_questions import doubt, question_about, with_answer
from shop.bench_spoiled import too_many_spoiled
from shop.views.bench_job import show_job
from timing.clock import clock_of
from timing.facts import Fact, FactRefused, NeedsConfirming
from timing.models.facts import Kind
from timing.posted import read_break, read_cancel, read_fact
from timing.untold import closes, told_before, untold


@may("bench")
@require_POST
def post_fact(request: HttpRequest) -> HttpResponse:
    """Keep one fact of the hand who is signed in; see `timing.posted` for its form."""
    me = at_work(request)
    try:
        fact = take(request, me)
    except FactRefused as refusal:
        return refuse(request, me, str(refusal))
    if isinstance(fact, HttpResponse):
        return fact
    if not getattr(request, "htmx", False):
        return redirect("shop:bench-job")
    if fact.kind != Kind.WORK or closes(fact):
        # It changes no count; where the hand turns to next is told apart.
        return render(request, "shop/bench/_trouble.html")
    told = fact.yields[0]
    job = job_now(me, fact.operation_id, lot_id=told.lot_id, wheel_id=told.wheel_id, last=Last.of_fact(fact))
    return answer(request, me, job, only_made=not told.spoiled)


def take(request: HttpRequest, me: AtWork) -> Fact | HttpResponse:
    """Keep the fact that a form tells, or ask about it first. Raises FactRefused, PermissionDenied."""
    check_hand(request, me)
    fact = read_fact(request.POST, hand_id=me.user.pk, now=me.now)
    if not request.POST.get("done_at"):
        fact = sent_before(fact)
    fact = with_answer(fact, request.POST)
    save: Callable[..., object] = keep
    if closes(fact):
        left = None if told_before(fact) else untold(fact, now=me.now)
        if left is None:
            return fact
        fact, save = left, keep_closing
    question = too_many_spoiled(fact, request.POST) or question_about(fact, me.shop, now=me.now)
    if question:
        return ask(request, question)
    try:
        save(fact, me.shop, now=me.now, taken_off=read_break(request.POST, of=fact))
    except NeedsConfirming as long:
        return ask(request, doubt(fact, str(long)))
    return fact


@may("bench")
@require_POST
def post_undo(request: HttpRequest) -> HttpResponse:
    """Undo a stretch of one's own."""
    me = at_work(request)
    check_hand(request, me)
    try:
        undo(read_cancel(request.POST, hand_id=me.user.pk, now=me.now), now=me.now)
    except FactRefused as refusal:
        return refuse(request, me, str(refusal))
    clock = clock_of(me.user.pk) if getattr(request, "htmx", False) else None
    if clock is None or clock.task is None:
        return redirect("shop:bench-job")
    lot, work = load_lot(clock.task.lot_id)
    last = last_of(me.user.pk, clock.task.lot_id)
    task_id = clock.task.pk
    return answer(
        request,
        me,
        job_of(lot, work, task_id, hand_id=me.user.pk, words=me.shop.words, now=me.now, today=me.today, last=last),
    )


def job_now(
    me: AtWork, operation_id: int | None, *, lot_id: int | None, wheel_id: int | None, last: Last | None = None
) -> JobNow:
    """The job at a lot or a wheel as it stands now; `last` is what “Undo last” would undo, looked up unless given."""
    lot, work = load_lot(lot_id, wheel_id=wheel_id)
    here = [
        task
        for task in work.tasks(lot=lot, dropped=True)
        if task.operation_id == operation_id and task.wheel_id in (None, wheel_id)
    ]
    task = max(here, key=lambda task: (task.wheel_id is not None, task.dropped_at is None, task.pk))
    return job_of(
        lot,
        work,
        task.pk,
        hand_id=me.user.pk,
        words=me.shop.words,
        now=me.now,
        today=me.today,
        last=last or last_of(me.user.pk, lot.pk),
    )


def job_of_task(me: AtWork, task: Task) -> JobNow:
    """The job of a task as it stands now; of one that was made anew meanwhile, the one in its place."""
    lot_id = None if task.wheel_id else task.lot_id
    return job_now(me, task.operation_id, lot_id=lot_id, wheel_id=task.wheel_id)


def answer(request: HttpRequest, me: AtWork, job: JobNow, *, only_made: bool = False) -> HttpResponse:
    """The parts of the page that a tap changes, made without what only a whole page asks: its places and messages.

    Loose pieces made change no wheel: the pile beside the wheels is answered alone, as long as there is one.
    """
    context: dict[str, Any] = {
        "job": job,
        "rack_alone": only_made and job.rack is not None,
        "helper_ids": helpers_of(request, job.task.pk),
        "warnings": job.warnings,
        "user": me.user,
        "csrf_token": get_token(request),
    }
    return HttpResponse(render_to_string("shop/bench/_job_parts.html", context))


def refuse(request: HttpRequest, me: AtWork, sentence: str) -> HttpResponse:
    """One sentence where the hand looks, and nothing lost: the job stands as it was."""
    if getattr(request, "htmx", False):
        return render(request, "shop/bench/_trouble.html", {"trouble": sentence}, status=422)
    return show_job(request, me, trouble=sentence, status=422)
