"""Usual times: the list, one operation with its picture and strays, and what is said and written there."""

from collections.abc import Iterable
from contextlib import suppress
from threading import Lock

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from jobs.models import Operation
from jobs.writing import writing
from shop.access import may, roles_of
from shop.asked import asked, signed_in
from shop.conditional import conditional
from shop.forms.seen import Overtaken, status_of
from shop.forms.times import BookTimeForm, StandardTimeForm
from shop.operations import write_book_time
from shop.times_list import size_shown, times_list
from shop.times_page import TimesPage
from shop.times_seen import whose_times
from shop.times_standard import Standard
from shop.usual_times import is_out_of_date, left_out_hands, work_out_for_shop
from timing.forecast import WorkRefused
from timing.models import Tally
from timing.models.facts import Kind
from timing.usual import newest_timings, say_of, the_usual

STRAYS_SHOWN = 8
# What of the timings is shown, which a question about them keeps.
SHOWN = ("by", "before", "strays")

_at_it = Lock()


@may("desk", "bench")
@conditional("day")
def times(request: HttpRequest) -> HttpResponse:
    """What every operation in use takes here, by part."""
    here = asked(request)
    operations = list(Operation.objects.in_use())
    context: dict[str, object] = {"is_desk": here.is_desk, "parts": []}
    if operations:
        usual = the_usual()
        context |= {
            "usual": usual,
            "parts": times_list(usual, operations, here.words),
            "is_newer": is_out_of_date(),
            "size": size_shown(usual, here.unit),
        }
    return render(request, "shop/times/list.html", context)


@may("desk")
@require_POST
def work_out(request: HttpRequest) -> HttpResponse:
    """Work the usual times out from all facts. A second press meanwhile, or after it, changes nothing."""
    if not _at_it.acquire(blocking=False):
        messages.info(request, "The usual times are being worked out just now: look again in a minute.")
        return redirect("shop:times")
    try:
        return _work_out(request)
    finally:
        _at_it.release()


def _work_out(request: HttpRequest) -> HttpResponse:
    if not is_out_of_date():
        messages.info(request, "The usual times know everything that was told already.")
        return redirect("shop:times")
    try:
        usual = work_out_for_shop(asked(request).now)
    except WorkRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, f"Worked out from {usual.timings:,} timing{'' if usual.timings == 1 else 's'}.")
    return redirect("shop:times")


@may("desk", "bench")
@conditional("day")
def operation_times(request: HttpRequest, key: str) -> HttpResponse:
    """One operation: its timings as a picture, what is usual, each hand's, and what strays."""
    return _page(request, get_object_or_404(Operation, key=key))


@may("owner")
@require_POST
def book_time(request: HttpRequest, key: str) -> HttpResponse:
    """Write the usual minutes as the book time."""
    one = get_object_or_404(Operation, key=key)
    form = BookTimeForm(request.POST)
    if form.is_valid():
        with suppress(Overtaken), writing():
            now = Operation.objects.select_for_update().get(pk=one.pk)
            form.meet(_book_now(now))
            write_book_time(now, int(form.cleaned_data["minutes"] * 60), by=signed_in(request))
            messages.success(request, f"Book time is {form.cleaned_data['minutes']:f} minutes from now on.")
            return redirect("shop:operation-times", key)
    return _page(request, one, form=form)


@may("desk")
@require_POST
def verdict(request: HttpRequest, pk: int) -> HttpResponse:
    """Say of a timing that it counts, or that it is left out."""
    rows = Tally.objects.filter(stretch__kind=Kind.WORK, stretch__cancels_token=None).select_related(
        "stretch__operation"
    )
    tally = get_object_or_404(rows, pk=pk)
    said = request.POST.get("counts")
    if said not in ("0", "1"):
        return HttpResponse("Say whether it counts or is left out.", status=422, content_type="text/plain")
    counts = said == "1"
    say_of(tally, counts=counts, at=asked(request).now, by=signed_in(request))
    told = "It counts" if counts else "It is left out"
    messages.success(request, f"{told}: the usual times heed that when they are next worked out.")
    operation = tally.stretch.operation
    assert operation is not None  # noqa: S101 - work has one
    return redirect(f"{reverse('shop:operation-times', args=[operation.key])}{_back(request)}#strays")


def _back(request: HttpRequest) -> str:
    """The question of the page that an act was on, as far as it is one of ours."""
    known = _known(QueryDict(request.POST.get("back", "")), (*SHOWN, *StandardTimeForm.base_fields))
    return f"?{urlencode(known)}" if known else ""


def _known(asked_for: QueryDict, names: Iterable[str]) -> dict[str, str]:
    return {name: str(asked_for[name]) for name in names if asked_for.get(name)}


def _book_now(operation: Operation) -> dict[str, str | None]:
    seconds = operation.book_seconds
    return {"minutes": None if seconds is None else f"{seconds / 60:g}"}


def _standard_form(request: HttpRequest) -> StandardTimeForm:
    """Bound where a standard time is asked for."""
    first = {"rating": "100", "of": "job"}
    told = {name: request.GET[name] for name in StandardTimeForm.base_fields if name in request.GET}
    return StandardTimeForm({"of": "job"} | told if told else None, initial=first)


def _page(request: HttpRequest, one: Operation, *, form: BookTimeForm | None = None) -> HttpResponse:
    here, usual = asked(request), the_usual()
    whose = whose_times(request)
    before = request.GET.get("before", "")
    newest = newest_timings(one, before=int(before) if before.isdecimal() and len(before) < 16 else None, hand_id=whose)
    by_hand = request.GET.get("by") == "hand"
    page = TimesPage(one, usual, newest, here, hand_id=whose, left_out=left_out_hands(), by_hand=by_hand)
    question = _standard_form(request)
    standard = Standard(page.told.each if page.told else None, **question.cleaned_data) if question.is_valid() else None
    wrong = form or (question if question.errors else None)
    strays = page.strays if "strays" in request.GET else page.strays[:STRAYS_SHOWN]
    context = {
        "page": page,
        "operation": one,
        "usual": usual,
        "form": form or BookTimeForm(initial=_book_now(one)),
        "wrong": wrong,
        "standard": standard,
        "standard_form": question,
        "kept_query": _known(request.GET, SHOWN),
        "strays": strays,
        "strays_left": len(page.strays) - len(strays),
        "size": size_shown(usual, here.unit),
        "is_newer": is_out_of_date(),
        "is_earlier": bool(before),
        "earlier": Operation.objects.in_use().filter(position__lt=one.position).last(),
        "later": Operation.objects.in_use().filter(position__gt=one.position).first(),
        "own_id": signed_in(request).pk if "bench" in roles_of(request) or "hand" in roles_of(request) else None,
        # The answer to an act stands at the act's address: questions go to the page's own.
        "asked_at": reverse("shop:operation-times", args=[one.key]),
        "is_desk": here.is_desk,
        "is_owner": "owner" in roles_of(request),
    }
    return render(
        request, "shop/times/operation.html", context, status=status_of(form) if form else 422 if wrong else 200
    )
