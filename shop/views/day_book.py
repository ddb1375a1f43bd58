"""The day book: what was done, day by day; its file; and what the owner puts right."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from jobs.durations import hours_and_minutes
from jobs.words import in_words
from shop.access import may, roles_of
from shop.asked import Asked as Request
from shop.asked import asked
from shop.conditional import conditional
from shop.csv_safe import csv_lines
from shop.day_book_page import HEADER, Names, by_day, file_rows, totals, whole_of
from shop.forms.day_book import OVERLAPPING, DayBookForm, PutRightForm
from shop.overlap_words import overlaps_in_words
from shop.passing import still_passed
from timing.corrections import as_told, can_be_corrected, correct, with_changes
from timing.day_book import Asked, Key, in_order, page, sums
from timing.facts import Cancel, Fact, FactRefused, NeedsConfirming
from timing.models import Stretch, Tally
from timing.models.facts import Kind, Source
from timing.overlap_facts import MOST, MOST_UNASKED, TooMany, overlapping
from timing.record import cancel

USUAL_DAYS = 14


@may("desk")
@conditional("day")
def day_book(request: HttpRequest) -> HttpResponse:
    """The stretches of a period, newest first, with the time of each hand; the last fortnight unless asked."""
    ask = asked(request)
    form = _form(request, ask)
    context: dict[str, object] = {"form": form, "kinds": Kind.labels}
    asked_for = _answer(form)
    if asked_for is None:
        return render(request, "shop/books/day_book.html", context, status=422)
    found = page(
        asked_for.asked, before=Key.read(request.GET.get("before", "")), after=Key.read(request.GET.get("after", ""))
    )
    names = Names()
    hands = totals(sums(asked_for.asked), names)
    overlaps = overlaps_in_words(found.rows, words=ask.words, zone=ask.zone)
    context |= {
        "overlapping": asked_for.overlapping,
        "overlapping_url": "" if form.only_overlapping else f"?{_query(form, to_place=OVERLAPPING)}",
        "days": by_day(found.rows, names, ask.words, ask.zone, overlaps),
        "hands": hands,
        "whole": whole_of(hands),
        "older_url": _page_url(request, "before", found.older),
        "newer_url": _page_url(request, "after", found.newer),
        "file_url": f"{reverse('shop:day-book-csv')}?{_query(form)}",
        "is_owner": "owner" in roles_of(request),
    }
    return render(request, "shop/books/day_book.html", context)


@may("desk")
def day_book_csv(request: HttpRequest) -> HttpResponseBase:
    """The same stretches, oldest first, as a file; however many there are, a chunk at a time."""
    ask = asked(request)
    form = _form(request, ask)
    asked_for = _answer(form, counts=False)
    if asked_for is None:
        sentence = "; ".join(str(error) for errors in form.errors.values() for error in errors)
        return HttpResponse(sentence, status=422, content_type="text/plain; charset=utf-8")
    lines = csv_lines(HEADER, file_rows(in_order(asked_for.asked), ask.words))
    response = StreamingHttpResponse((line.encode() for line in lines), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="day-book-{ask.today}.csv"'
    return response


def _form(request: HttpRequest, ask: Request) -> DayBookForm:
    """The filter as asked; without a question, the last fortnight."""
    usual = {"first": (ask.today - timedelta(days=USUAL_DAYS - 1)).isoformat(), "last": ask.today.isoformat()}
    given = {name: text for name, text in request.GET.items() if name in DayBookForm.base_fields}
    return DayBookForm(given or usual, words=dict(ask.words))


@dataclass(frozen=True, slots=True)
class _Answer:
    """What to show, and how many of it overlap; None where that was not searched for."""

    asked: Asked
    overlapping: int | None = None


def _answer(form: DayBookForm, *, counts: bool = True) -> _Answer | None:
    """None for a question that can't be answered; the form says why. With `counts` overlaps are sought unasked too,
    among as many as takes no time to speak of."""
    if not form.is_valid():
        return None
    if not counts and not form.only_overlapping:
        return _Answer(form.asked)
    try:
        ids = overlapping(form.asked, most=MOST if form.only_overlapping else MOST_UNASKED)
    except TooMany as many:
        if not form.only_overlapping:
            return _Answer(form.asked)
        form.add_error("to_place", str(many))
        return None
    return _Answer(replace(form.asked, only_ids=ids) if form.only_overlapping else form.asked, len(ids))


def _query(form: DayBookForm, **changes: str) -> str:
    fields = {name: str(text) for name, text in form.data.items()} | changes
    return urlencode([(name, text) for name, text in fields.items() if text])


def _page_url(request: HttpRequest, name: str, key: Key | None) -> str:
    if key is None:
        return ""
    rest = [(given, str(text)) for given, text in request.GET.items() if given not in ("before", "after")]
    return f"?{urlencode([*rest, (name, str(key))])}"


@may("owner")
def put_right(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a stretch right, or place it where it belongs: the old one is undone, and a new one stands beside it."""
    ask = asked(request)
    stretch, tallies = _stretch(pk)
    form = PutRightForm(
        request.POST or None, stretch=stretch, tallies=tallies, today=ask.today, initial=_initial(stretch, tallies)
    )
    confirming = "confirmed" in request.POST
    if form.is_valid():
        try:
            fact = _fact_told(form, stretch, tallies, ask)
            by_id = _user_id(request)
            still_passed(
                stretch, lambda: correct(stretch, fact, by_id=by_id, zone=ask.zone, now=ask.now, source=Source.DESK)
            )
        except FactRefused as refused:
            confirming = confirming or isinstance(refused, NeedsConfirming)
            form.add_error(None, str(refused))
        else:
            messages.success(request, "Put right. The old entry stays readable, struck out.")
            return redirect("shop:day-book")
    context = {
        "form": form,
        "stretch": stretch,
        "tallies": tallies,
        "confirming": confirming,
        "overlaps": overlaps_in_words([stretch], words=ask.words, zone=ask.zone).get(stretch.pk, ()),
        "can_be_corrected": can_be_corrected(stretch, tallies),
        "goes_back": any(tally.lost and not tally.spoiled for tally in tallies),
        "title": in_words(stretch.operation.name, ask.words) if stretch.operation else stretch.get_kind_display(),
    }
    return render(request, "shop/books/put_right.html", context, status=422 if form.errors else 200)


@may("owner")
@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo a stretch; twice changes nothing."""
    ask = asked(request)
    stretch, _ = _stretch(pk)
    wish = Cancel(uuid4(), stretch.token, _user_id(request), ask.now, source=Source.DESK)
    try:
        cancel(wish, now=ask.now)
    except FactRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, "Undone. It stays readable, struck out.")
    return redirect("shop:day-book")


def _stretch(pk: int) -> tuple[Stretch, list[Tally]]:
    """A stretch that stands for itself; a contra is not there to be put right."""
    stretch = get_object_or_404(Stretch.objects.select_related("operation"), pk=pk, cancels_token=None)
    if stretch.source == Source.OLD_BOOK:
        raise Http404("What came from an old book is kept as it came.")
    joined = ("task__operation", "task__wheel", "task__lot__order")
    return stretch, list(Tally.objects.filter(stretch=stretch).select_related(*joined).order_by("task_id"))


def _initial(stretch: Stretch, tallies: list[Tally]) -> dict[str, object]:
    return {
        "hand": stretch.hand_id,
        "on": stretch.done_on,
        "task": tallies[0].task_id if tallies else None,
        "made": sum(tally.made for tally in tallies),
        "minutes": "" if stretch.seconds is None else hours_and_minutes(stretch.seconds),
        "note": stretch.note,
    }


def _fact_told(form: PutRightForm, stretch: Stretch, tallies: list[Tally], ask: Request) -> Fact:
    """The stretch as it should have been told. Raises FactRefused."""
    answers = form.cleaned_data
    fact = as_told(stretch, tallies, token=answers["token"])
    if not can_be_corrected(stretch, tallies):
        raise FactRefused("That one can only be undone, and told anew at its job.")
    if answers["hand"] in fact.helper_ids:
        raise FactRefused("That hand is a helper in it: a helper is another hand.")
    # What is shown in whole minutes was kept in seconds: only another time is taken from the form.
    timed_anew = "minutes" in form.changed_data
    seconds = answers["minutes"] if timed_anew else stretch.seconds
    confirmed = answers["confirmed"] or not timed_anew
    if len(tallies) <= 1:
        fact = with_changes(fact, made=answers.get("made", 0), seconds=seconds, note=answers["note"])
    elif timed_anew:
        shared_anew = tuple(replace(one, seconds=None) for one in fact.yields)
        fact = replace(fact, seconds=seconds, started_at=None, yields=shared_anew)
    fact = replace(fact, hand_id=answers["hand"], note=answers["note"], confirmed=confirmed)
    if "task" in answers:
        fact = replace(fact, yields=tuple(replace(one, task_id=answers["task"]) for one in fact.yields))
    return _on_day(fact, answers["on"], ask) if answers["on"] != stretch.done_on else fact


def _on_day(fact: Fact, day: date, ask: Request) -> Fact:
    """The same work on another day: at the same hour by the shop's clock, and no longer timed from moment to moment."""
    hour = fact.done_at.astimezone(ask.zone).timetz()
    done_at = min(datetime.combine(day, hour.replace(tzinfo=None), tzinfo=ask.zone), ask.now)
    return replace(fact, done_at=done_at, done_on=day, started_at=None)


def _user_id(request: HttpRequest) -> int:
    user_id = request.user.pk
    assert user_id is not None  # noqa: S101 - `may` has seen to it
    return int(user_id)
