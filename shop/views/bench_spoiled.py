"""A spoiled piece: of the job in hand, or found elsewhere in its wheel."""

from uuid import UUID, uuid4

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from jobs.models import Task, Wheel
from jobs.models.operations import PartKind
from jobs.words import in_words
from jobs.work import Work, load_lot
from shop.access import may
from shop.bench import keep, sent_before, spoil_hub
from shop.bench_context import (
    AtWork,
    ask,
    at_work,
    check_hand,
    clock_context,
    fresh_but_kept,
    helpers_of,
    place_at_work,
)
from shop.bench_questions import Question
from shop.bench_spoiled import SpoiledAt, too_many_spoiled
from shop.forms.bench import SpoiledForm
from shop.views.bench_facts import answer, job_of_task, refuse
from timing.clock import clock_of
from timing.facts import Fact, FactRefused, Yield
from timing.models import Stretch
from timing.posted import read_moment, read_token


@may("bench")
@fresh_but_kept
def spoiled(request: HttpRequest) -> HttpResponse:
    """A spoiled piece of the job in hand, or one found spoiled elsewhere in its wheel."""
    me = at_work(request)
    clock = clock_of(me.user.pk)
    in_hand = clock.task if clock else None
    try:
        asked = _asked_task(request, in_hand)
    except FactRefused as refusal:
        return refuse(request, me, str(refusal))
    if asked is None:
        return redirect("shop:bench-jobs")
    lot, work = load_lot(asked.lot_id)
    task = next(row for row in work.tasks(lot=lot, dropped=True) if row.pk == asked.pk)
    is_in_hand = in_hand is not None and task.pk == in_hand.pk
    at = SpoiledAt.of(task, lot, work, is_in_hand=is_in_hand)
    form = at.form(request.POST if request.method == "POST" else None)
    if form.is_bound:
        kept = _take(request, me, at, form)
        if kept is not None:
            return kept
    if form.errors and getattr(request, "htmx", False):
        sentences = dict.fromkeys(str(sentence) for wrong in form.errors.values() for sentence in wrong)
        return refuse(request, me, " ".join(sentences))
    context = at.context(me.shop.words) | {
        "form": form,
        "at_work": place_at_work(request),
        "hand_at": clock_context(request, me, clock),
        "started_at": clock.started_at if clock and is_in_hand else None,
        "elsewhere": _elsewhere(task, work, at.wheel, me),
        "token": request.POST.get("token") or uuid4(),
    }
    return render(request, "shop/bench/spoiled.html", context, status=422 if form.errors else 200)


def _asked_task(request: HttpRequest, in_hand: Task | None) -> Task | None:
    """The task that was asked for, by a page or by what a device kept; else the one in hand.

    Raises Http404; FactRefused for a device, which would tell it again and again, and nothing after it.
    """
    is_kept = request.method == "POST" and bool(getattr(request, "htmx", False))
    asked = request.POST.get("task") or request.GET.get("task")
    if not asked:
        if in_hand is None and is_kept:
            raise FactRefused("Say what work it was spoiled in (task).")
        return in_hand
    pk = int(asked) if asked.isascii() and asked.isdigit() and len(asked) < 16 else 0
    task = Task.objects.filter(pk=pk).first()
    if task is None:
        if is_kept:
            raise FactRefused("That work is no longer in the shop's books: tell it of other work.")
        raise Http404("That work is not in the shop's books.")
    return task


def _take(request: HttpRequest, me: AtWork, at: SpoiledAt, form: SpoiledForm) -> HttpResponse | None:
    """Keep it, or ask first; None where the form is to be shown again. What was kept before is only told so."""
    try:
        check_hand(request, me)
        token = read_token(request.POST)
        if not Stretch.objects.filter(token=token, hand=me.user, operation=at.task.operation_id).exists():
            if not form.is_valid():
                return None
            question = _keep(request, me, token, at, form)
            if question:
                return ask(request, question)
    except FactRefused as refusal:
        form.add_error(None, str(refusal))
        return None
    if not getattr(request, "htmx", False):
        return redirect("shop:bench-job")
    return answer(request, me, job_of_task(me, at.task))


def _keep(request: HttpRequest, me: AtWork, token: UUID, at: SpoiledAt, form: SpoiledForm) -> Question | None:
    """Keep it, or give the question that is to be answered first. Raises FactRefused."""
    data = form.cleaned_data
    told = Yield(spoiled=data.get("spoiled", 1), lost=data.get("lost", 0), reason=data["reason"], task_id=at.task.pk)
    fact = Fact(
        token=token,
        hand_id=me.user.pk,
        operation_id=at.task.operation_id,
        # The time since the last piece went into this one; the form of a piece found elsewhere names no beginning.
        started_at=read_moment(request.POST, "started_at"),
        done_at=read_moment(request.POST, "done_at") or me.now,
        sent_at=read_moment(request.POST, "sent_at"),
        yields=(told,),
        helper_ids=helpers_of(request, at.task.pk),
    )
    if not request.POST.get("done_at"):
        fact = sent_before(fact)
    question = too_many_spoiled(fact, request.POST)
    if question:
        return question
    if at.is_hub and at.wheel is not None:
        spoil_hub(fact, at.wheel, me.shop, saved=form.saved, now=me.now)
    else:
        keep(fact, me.shop, now=me.now)
    return None


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
