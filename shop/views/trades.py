"""The smith's list and those of other trades, and what is pressed on them."""

import uuid
from datetime import date

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from jobs.as_made import newest
from jobs.models import Operation, Task, Trip
from jobs.words import in_words
from jobs.work import load_lot
from shop.access import may, roles_of
from shop.amounts import ChargeRefused
from shop.asked import Asked, asked
from shop.charges import Charge
from shop.conditional import conditional
from shop.context import current_hand
from shop.forms.trades import BackForm, MadeForm, SendForm
from shop.many_wheels import A_PAGE, MOST_SHOWN, Wished
from shop.models import Hand
from shop.pieces import pieces_with, units_away
from shop.trade_acts import Made, TradeRefused, bring_back, say_made, send, take_back_made, worker_for
from shop.trade_page import sections, seen_of
from shop.trades import done_today, next_day, read_list
from timing.facts import FactRefused
from timing.models import Stretch

TO_NOBODY_NAMED = {"smith": "the smith", "painter": "the painter", "other": "another shop"}
TITLES = {"smith": "Smith's list", "painter": "Painter's list", "other": "Away for other work"}


@may("desk", "smith", "bench")
@conditional("minute")
def smith(request: HttpRequest) -> HttpResponse:
    """What the smith is wanted for."""
    hand = _hand(request)
    if hand.role == Hand.Role.SMITH and hand.trade != Hand.Trade.SMITH:
        return redirect("shop:trade", hand.trade)
    return _list(request, "smith")


@may("desk", "smith", "bench")
@conditional("minute")
def trade(request: HttpRequest, trade: str) -> HttpResponse:
    """What another trade is wanted for."""
    if trade == "smith":
        return redirect("shop:smith")
    if trade not in TITLES:
        raise Http404("There is no list for that trade.")
    return _list(request, trade)


def _list(request: HttpRequest, trade: str) -> HttpResponse:
    check_trade(request, trade)
    ask = asked(request)
    listed = read_list(trade, now=ask.now)
    day = _smith_day(ask) if trade == "smith" else None
    wished = Wished.of(request.GET)
    seen, pages = seen_of(listed, wished)
    context = {
        "title": TITLES[trade],
        "trade": trade,
        "day": day,
        "today": ask.today,
        "listed": listed,
        "sections": sections(
            listed, seen, ask, trade=trade, day=day, most=A_PAGE if wished.is_of_operation else MOST_SHOWN
        ),
        "pages": pages,
        "here": wished.url(after=wished.after) if wished.is_of_operation else "",
        "done": done_today(trade, ask.today),
        "is_desk": ask.is_desk,
        "lists": [(name, _list_url(name)) for name in TITLES if _may_see(request, name)],
        "list_url": _list_url(trade),
    }
    return render(request, "shop/trades/list.html", context)


@may("desk", "smith", "bench")
def piece(request: HttpRequest, pk: int) -> HttpResponse:
    """One piece of a list: send it with a day, bring it back with a price, say what was made in what time."""
    return _piece(request, _task(request, pk))


def _piece(request: HttpRequest, task: Task, **bound: object) -> HttpResponse:
    ask = asked(request)
    trips = list(Trip.objects.filter(task=task).order_by("-id").prefetch_related("outwork_rows"))
    trip = next((one for one in trips if one.back_at is None), None)
    hand = _hand(request)
    left = _left(task)
    worker = worker_for(_trade_of(task), hand)
    context = {
        "task": task,
        "form": None,
        "trip": trip,
        "trips_before": [one for one in trips if one.back_at],
        "left": left,
        "left_here": max(0, left - units_away(task, (one for one in trips if one.back_at is None))),
        "title": in_words(task.operation.name, ask.words),
        "list_url": _list_url(_trade_of(task)),
        "list_title": TITLES[_trade_of(task)],
        "measures": list(newest([task.wheel_id]).values()) if task.wheel_id else [],
        "is_desk": ask.is_desk,
        "send_form": SendForm(
            initial={
                "to_whom": _usual_for(task, ask),
                "expected_on": _usual_day(task, ask),
                "pieces": pieces_with(task, left),
            }
        ),
        "made_form": MadeForm(initial={"units": max(1, left), "hand": worker.pk}),
        "back_form": _back_form(request, ask),
        **bound,
    }
    wrong = any(getattr(form, "errors", None) for form in bound.values())
    return render(request, "shop/trades/piece.html", context, status=422 if wrong else 200)


@may("desk", "smith", "bench")
@require_POST
def piece_send(request: HttpRequest, pk: int) -> HttpResponse:
    """To the forge, or to whoever works it."""
    task, ask = _task(request, pk), asked(request)
    form = SendForm(request.POST)
    if not form.is_valid():
        return _piece(request, task, send_form=form, form=form)
    answers = form.cleaned_data
    expected_on = answers["expected_on"] or (_usual_day(task, ask) if answers["usual"] else None)
    to_whom = answers["to_whom"] or _usual_for(task, ask) or TO_NOBODY_NAMED[_trade_of(task)]
    try:
        send(
            task,
            token=answers["token"],
            to_whom=to_whom,
            expected_on=expected_on,
            pieces=answers["pieces"],
            at=ask.now,
        )
    except TradeRefused as refused:
        form.add_error(None, str(refused))
        return _piece(request, task, send_form=form, form=form)
    messages.success(request, f"{_name(task, ask)}: sent to {to_whom}.")
    return _to_list(request, task)


@may("desk", "smith", "bench")
@require_POST
def trip_back(request: HttpRequest, pk: int) -> HttpResponse:
    """It is back; from the piece's own page also what was made and its price or minutes."""
    trip, ask = _trip(request, pk), asked(request)
    task = trip.task
    form = _back_form(request, ask, request.POST)
    if not form.is_valid():
        return _piece(request, task, back_form=form, form=form, trip=trip)
    answers = form.cleaned_data
    units, amount = answers["units"], answers.get("amount")
    made = _made(request, task, ask, answers["token"], units, answers["minutes"], None) if units else None
    price = _price(request, task, ask, answers["token"], amount) if amount is not None else None
    try:
        bring_back(trip, at=ask.now, made=made, price=price, trade=_trade_of(task), zone=ask.zone)
    except (FactRefused, ChargeRefused) as refused:
        form.add_error(None, str(refused))
        return _piece(request, task, back_form=form, form=form, trip=trip)
    messages.success(request, f"{_name(task, ask)}: back.")
    return _to_list(request, task)


@may("desk", "smith", "bench")
@require_POST
def piece_made(request: HttpRequest, pk: int) -> HttpResponse:
    """Hoop made, on, coated: units of the task, untimed unless the minutes are told."""
    task, ask = _task(request, pk), asked(request)
    form = MadeForm(request.POST)
    if not form.is_valid():
        return _piece(request, task, made_form=form, form=form)
    answers = form.cleaned_data
    made = _made(request, task, ask, answers["token"], answers["units"], answers["minutes"], answers["hand"])
    try:
        say_made(made, zone=ask.zone)
    except FactRefused as refused:
        form.add_error(None, str(refused))
        return _piece(request, task, made_form=form, form=form)
    messages.success(request, f"{_name(task, ask)}: {answers['units']} {task.operation.done_word}, by {made.hand}.")
    return _to_list(request, task)


@may("desk", "smith", "bench")
@require_POST
def made_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo what was recorded from a list today: the desk anything, others what they did or told."""
    ask = asked(request)
    stretch, operation = _told_today(request, pk, ask)
    take_back_made(stretch, by=_hand(request), now=ask.now)
    messages.success(request, f"Undone: {in_words(operation.name, ask.words)}.")
    return redirect(_list_url(_list_of(operation.trade)))


def _hand(request: HttpRequest) -> Hand:
    hand = current_hand(request)
    assert hand is not None  # noqa: S101 - `may` has seen to it
    return hand


def _task(request: HttpRequest, pk: int) -> Task:
    """A task with all that its page names; a smith's account gets those of its own trade only."""
    joined = ("operation", "part", "wheel", "lot__order__customer")
    task = get_object_or_404(Task.objects.select_related(*joined), pk=pk)
    check_trade(request, _trade_of(task))
    return task


def _trip(request: HttpRequest, pk: int) -> Trip:
    """A trip with its task; a smith's account gets those of its own trade only."""
    trip = get_object_or_404(Trip, pk=pk)
    trip.task = _task(request, trip.task_id)
    return trip


def _told_today(request: HttpRequest, pk: int, ask: Asked) -> tuple[Stretch, Operation]:
    """What was told from a list today, and its operation: the desk gets anything, others what they did or told."""
    there = Stretch.objects.select_related("operation")
    stretch = get_object_or_404(there, pk=pk, operation__isnull=False, cancels_token=None)
    operation = stretch.operation
    assert operation is not None  # noqa: S101 - asked for by the query
    check_trade(request, _list_of(operation.trade))
    if stretch.source != Stretch.Source.LIST or stretch.done_on != ask.today:
        raise PermissionDenied("Only what was recorded from the list today is undone here.")
    if not ask.is_desk and request.user.pk not in (stretch.hand_id, stretch.entered_by_id):
        raise PermissionDenied("That was told by another: they or the desk can undo it.")
    return stretch, operation


def _may_see(request: HttpRequest, trade: str) -> bool:
    hand = _hand(request)
    return hand.role != Hand.Role.SMITH or hand.trade == trade


def check_trade(request: HttpRequest, trade: str) -> None:
    """A smith's account, or a painter's, has its own trade's pages only."""
    if not _may_see(request, trade):
        raise PermissionDenied("This list is not for your account.")


def _trade_of(task: Task) -> str:
    return _list_of(task.operation.trade)


def _list_of(trade: str) -> str:
    """The list that a trade's work stands on; the bench's own only while it is away."""
    return trade if trade in TITLES else "other"


def _list_url(trade: str) -> str:
    return reverse("shop:smith") if trade == "smith" else reverse("shop:trade", args=[trade])


def _to_list(request: HttpRequest, task: Task) -> HttpResponseRedirect:
    """Back to the list, and to that part of it from which the act was pressed."""
    wished = Wished.of(request.GET)
    here = wished.url(after=wished.after) if wished.is_of_operation else ""
    return HttpResponseRedirect(_list_url(_trade_of(task)) + here)


def _smith_day(ask: Asked) -> date | None:
    return next_day(ask.shop.smith_days, ask.today)


def _usual_for(task: Task, ask: Asked) -> str:
    """The smith by name, where the work is the smith's; nobody is set down for the other trades."""
    return ask.shop.smith_name if _trade_of(task) == "smith" else ""


def _usual_day(task: Task, ask: Asked) -> date | None:
    return _smith_day(ask) if _trade_of(task) == "smith" else None


def _left(task: Task) -> int:
    _, work = load_lot(task.lot_id)
    return work.counts.left(work.counts.lines[task.pk])


def _name(task: Task, ask: Asked) -> str:
    where = task.wheel.label if task.wheel else task.lot.name
    return f"{in_words(task.operation.name, ask.words)}, {where}"


def _back_form(request: HttpRequest, ask: Asked, posted: QueryDict | None = None) -> BackForm:
    return BackForm(posted, currency=ask.shop.currency, may_price=bool(roles_of(request) & {"desk", "smith"}))


def _made(
    request: HttpRequest, task: Task, ask: Asked, token: uuid.UUID, units: int, minutes: int | None, hand: Hand | None
) -> Made:
    acting = _hand(request)
    worker = hand or worker_for(task.operation.trade, acting)
    return Made(token, task, units, minutes, worker, acting.user, ask.now)


def _price(request: HttpRequest, task: Task, ask: Asked, token: uuid.UUID, amount_pence: int) -> Charge:
    return Charge(
        token=token,
        order=task.lot.order,
        what=in_words(task.operation.name, ask.words),
        amount_pence=amount_pence,
        on=ask.today,
        by=_hand(request).user,
        at=ask.now,
        lot=task.lot,
        wheel=task.wheel,
    )
