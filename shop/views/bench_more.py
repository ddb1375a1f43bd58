"""What takes more than one touch at a job: a number with its minutes, a spoiled piece, helpers."""

from typing import Any
from uuid import uuid4

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from jobs.models import Lot, Task, Wheel
from jobs.models.operations import PartKind
from jobs.words import in_words
from jobs.work import Work, load_lot
from shop.access import may
from shop.bench import keep, sent_before, spoil_hub
from shop.bench_context import AtWork, ask, at_work, check_hand, helpers_of, keep_helpers, place_at_work
from shop.bench_page import clock_words, place_of
from shop.bench_questions import Question
from shop.bench_spoiled import too_many_spoiled
from shop.forms.bench import NumberForm, SpoiledForm
from shop.models import Hand
from shop.views.bench_facts import take
from timing.clock import clock_of
from timing.facts import Fact, FactRefused, Yield
from timing.models import Clock
from timing.posted import read_moment, read_token
from timing.spoiling import in_the_wheel


def _clock_on_a_task(me: AtWork) -> tuple[Clock, Task] | None:
    clock = clock_of(me.user.pk)
    return (clock, clock.task) if clock and clock.task else None


@may("bench")
@never_cache
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
    context = _about(request, me, here, lot, work) | {
        "form": form,
        "started_at": clock.started_at,
        "elapsed_words": clock_words(round((me.now - clock.started_at).total_seconds())) if clock.started_at else "",
        "left": work.left(here),
        "helper_ids": helpers_of(request, task.pk),
        "token": request.POST.get("token") or uuid4(),
    }
    return render(request, "shop/bench/number.html", context, status=422 if form.errors else 200)


@may("bench")
@never_cache
def spoiled(request: HttpRequest) -> HttpResponse:
    """A spoiled piece of the job in hand, or one found spoiled elsewhere in its wheel."""
    me = at_work(request)
    there = _clock_on_a_task(me)
    if there is None:
        return redirect("shop:bench-jobs")
    clock, in_hand = there
    lot, work = load_lot(in_hand.lot_id)
    task = _asked_task(request, in_hand, work, lot)
    wheel = next((wheel for wheel in work.wheels(lot, dropped=True) if wheel.pk == task.wheel_id), None)
    is_hub = wheel is not None and task.operation.part == PartKind.HUB
    in_wheel = {there.kind: there.pieces for there in in_the_wheel(wheel)} if wheel and is_hub else {}
    here = task.pk == in_hand.pk
    good = max(0, work.good(task))
    initial: dict[str, int] = {"spoiled": 1, "lost": 0 if here else min(good, task.units)}
    initial |= {f"saved_{kind}": pieces for kind, pieces in in_wheel.items()}
    posted = request.POST if request.method == "POST" else None
    form = SpoiledForm(posted, units=task.units, good=good, is_hub=is_hub, in_wheel=in_wheel, initial=initial)
    if posted is not None and form.is_valid():
        try:
            question = _keep_spoiled(request, me, clock, task, wheel if is_hub else None, form)
        except FactRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            return ask(request, question) if question else redirect("shop:bench-job")
    context = _about(request, me, task, lot, work) | {
        "form": form,
        "here": here,
        "is_hub": is_hub,
        "started_at": clock.started_at if here else None,
        "elsewhere": _elsewhere(task, work, wheel, me),
        "token": request.POST.get("token") or uuid4(),
    }
    return render(request, "shop/bench/spoiled.html", context, status=422 if form.errors else 200)


def _asked_task(request: HttpRequest, in_hand: Task, work: Work, lot: Lot) -> Task:
    """The task that the page is about: the one in hand, or another of the lot that was chosen."""
    asked = request.POST.get("task") or request.GET.get("task") or str(in_hand.pk)
    for task in work.tasks(lot=lot, dropped=True):
        if str(task.pk) == asked:
            return task
    raise Http404("That work is not in this lot.")


def _elsewhere(task: Task, work: Work, wheel: Wheel | None, me: AtWork) -> list[tuple[int, str]]:
    """Other pieces in the wheel that may be found spoiled, by how far they had come; the hub once."""
    if wheel is None:
        return []
    found: dict[str, tuple[int, str]] = {}
    for other in reversed(work.tasks(wheel=wheel)):
        if work.good(other) <= 0 or other.pk == task.pk:
            continue
        if other.operation.part == PartKind.HUB:
            if task.operation.part != PartKind.HUB:
                found.setdefault("hub", (other.pk, f"The {me.shop.words['hub']}"))
            continue
        words = in_words(other.operation.done_word, me.shop.words)
        piece = in_words(other.operation.name, me.shop.words)
        found[str(other.pk)] = (other.pk, f"{piece}: one that was {words}")
    return list(found.values())


def _keep_spoiled(
    request: HttpRequest, me: AtWork, clock: Clock, task: Task, hub_of: Wheel | None, form: SpoiledForm
) -> Question | None:
    """Keep it, or give the question that is to be answered first. Raises FactRefused, PermissionDenied."""
    check_hand(request, me)
    data = form.cleaned_data
    # The time since the last piece went into this one; a piece found elsewhere took none of it.
    started_at = read_moment(request.POST, "started_at") if clock.task_id == task.pk else None
    fact = Fact(
        token=read_token(request.POST),
        hand_id=me.user.pk,
        operation_id=task.operation_id,
        started_at=started_at,
        done_at=me.now,
        yields=(
            Yield(
                spoiled=data.get("spoiled", 1),
                lost=data.get("lost", 0),
                reason=data["reason"],
                task_id=task.pk,
            ),
        ),
        helper_ids=helpers_of(request, task.pk),
    )
    fact = sent_before(fact)
    question = too_many_spoiled(fact, request.POST)
    if question:
        return question
    if hub_of is not None:
        spoil_hub(fact, hub_of, me.shop, saved=form.saved, now=me.now)
    else:
        keep(fact, me.shop, now=me.now)
    return None


@may("bench")
@never_cache
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


def _about(request: HttpRequest, me: AtWork, task: Task, lot: Lot, work: Work) -> dict[str, Any]:
    """Name, place and done-word of a task, for the head of a page."""
    wheel = next((wheel for wheel in work.wheels(lot, dropped=True) if wheel.pk == task.wheel_id), None)
    return {
        "at_work": place_at_work(request),
        "task": task,
        "name": in_words(task.operation.name, me.shop.words),
        "done_word": in_words(task.operation.done_word, me.shop.words),
        "place": place_of(lot, wheel),
    }
