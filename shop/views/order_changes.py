"""Changing a taken order: its details, wheels added, a lot's make-up, its spares, and pieces between lots."""

import uuid
from contextlib import suppress

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs.changes import change_details, change_makeup, details_of, set_spares
from jobs.library import by_name
from jobs.models import Lot, Order, Task, Wheel
from jobs.models.operations import Work as KindOfWork
from jobs.orders import OrderRefused, add_lot, hold_order, next_wheel_number
from jobs.work import Work, load_work
from jobs.writing import writing
from shop.access import may
from shop.asked import Asked, asked, signed_in
from shop.forms.changes import PiecesForm, StageChoices, WhichWheelsForm
from shop.forms.makeups import MakeUpForm
from shop.forms.order_rows import RowEntry
from shop.forms.orders import DetailsForm, MoveForm, SparesForm
from shop.forms.seen import STATE, Overtaken
from shop.forms.together import Together
from shop.makeup_page import MakeUpPage
from shop.moves_page import moves_of
from shop.order_changes import Carrying, Stage, earlier, move_between, stage_in_words, stages, was_carried, was_moved
from shop.views.orders import customer_names, find_order, small_form, state_to_know
from timing.facts import FactRefused
from timing.models import Move
from timing.moves import cancel_move


def find_lot(number: int, pk: int) -> Lot:
    """A lot of the order of this number; 404 where there is none."""
    return get_object_or_404(Lot.objects.select_related("order__customer"), pk=pk, order__number=number)


def find_move(number: int, token: uuid.UUID) -> Move:
    """A move of pieces from or to the order of this number; 404 where there is none."""
    ends = Q(from_task__lot__order__number=number) | Q(to_task__lot__order__number=number)
    return get_object_or_404(Move.objects.filter(ends), token=token, cancels_token=None)


@may("desk")
def order_details(request: HttpRequest, number: int) -> HttpResponse:
    """Put right for whom an order is, its carriage and its note."""
    order = find_order(number)
    form = DetailsForm(request.POST or None, initial=_details(order))
    if request.method == "POST" and form.is_valid():
        try:
            with suppress(Overtaken), writing():
                form.meet(_details(details_of(order.pk)))
                change_details(order, **form.answers)
                messages.success(request, form.told("The order is put right."))
                return redirect("shop:order", number)
        except OrderRefused as refused:
            form.add_error("customer", str(refused))
    beside = {"customers": customer_names(), "stands": form.theirs.get("note")}
    return small_form(request, order, form, title="Put the order right", act_label="Keep it", **beside)


def _details(order: Order) -> dict[str, str]:
    whose = order.customer
    told = {"customer": whose.name, "contact": whose.contact, "carriage": order.carriage, "note": order.note}
    return told | {STATE: state_to_know(order)}


@may("desk")
def order_add(request: HttpRequest, number: int) -> HttpResponse:
    """Add wheels to an order. Choosing new measures asks for them first."""
    order, here = find_order(number), asked(request)
    library = list(by_name())
    entry = RowEntry(request.POST or None, place=0, asked=here, library=library)
    status, told = 200, ""
    first_number = next_wheel_number(order)
    if request.method == "POST":
        status = 422
        asked_first = request.POST.get("first_number", "")
        first_number = int(asked_first) if asked_first.isdecimal() and len(asked_first) < 6 else first_number
        if entry.is_ready:
            try:
                lot = add_lot(order, entry.row(), first_number=first_number)
            except OrderRefused as refused:
                told = str(refused)
                first_number = next_wheel_number(order)
            else:
                messages.success(request, f"Added: {lot.name}.")
                return redirect("shop:order", number)
    context = {"order": order, "entry": entry, "form": Together(*entry.forms), "first_number": first_number}
    return render(request, "shop/orders/add.html", context | {"told": told}, status=status)


@may("desk", "bench")
def lot_makeup(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """The make-up of a lot, which is the order's own copy."""
    lot, here = find_lot(number, pk), asked(request)
    is_new = lot.work == KindOfWork.NEW
    context = {
        "order": lot.order,
        "lot": lot,
        "sheet": MakeUpPage(lot.makeup, words=here.words, unit=here.unit, new_work=is_new),
        "is_desk": here.is_desk,
    }
    return render(request, "shop/orders/lot.html", context)


@may("desk")
def lot_change(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Give some wheels of a lot another make-up; then comes what fits of the pieces already made."""
    lot, here = find_lot(number, pk), asked(request)
    wheels = list(Wheel.objects.filter(lot=lot).order_by("number"))
    live = [wheel for wheel in wheels if wheel.dropped_at is None]
    which = WhichWheelsForm(
        request.POST or None,
        wheels=wheels if request.method == "POST" else live,
        initial={"wheels": [wheel.pk for wheel in live], "name": lot.name, STATE: state_to_know(lot.order)},
    )
    measures = MakeUpForm(
        request.POST or None,
        words=here.words,
        unit=here.unit,
        new_work=lot.work == KindOfWork.NEW,
        makeup=lot.makeup,
    )
    ready = request.method == "POST" and all([which.is_valid(), measures.is_valid()]) and measures.is_accepted
    status = 422 if request.method == "POST" else 200
    if ready and measures.makeup:
        status = 409
        try:
            with writing():
                hold_order(lot.order_id)
                which.meet({STATE: state_to_know(find_order(number))})
                changed = change_makeup(which.chosen, measures.makeup, name=which.cleaned_data["name"], at=here.now)
            return redirect("shop:lot-pieces", number, changed.pk)
        except OrderRefused as refused:
            which.add_error("wheels", str(refused))
        except Overtaken:
            pass  # the form says so itself
    context = {"order": lot.order, "lot": lot, "which": which, "measures": measures}
    return render(
        request,
        "shop/orders/lot_change.html",
        context | {"form": Together(which, measures)},
        status=status,
    )


@may("desk")
def lot_pieces(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Of the loose pieces made for the old make-up: which fit, are cut again, or are lost. The rest stay with it."""
    lot, here = find_lot(number, pk), asked(request)
    if lot.replaces is None:
        messages.warning(request, "These wheels took no other's place, so there are no pieces to carry over.")
        return redirect("shop:order", number)
    old_tasks = Task.objects.filter(lot=lot.replaces, wheel=None).values_list("pk", flat=True)
    if request.method == "POST" and was_carried(request.POST.get("token", ""), old_tasks):
        return redirect("shop:order", number)
    work = load_work([lot.order], now=here.now)
    there = _carriable(work, lot)
    if not there:
        messages.success(request, f"Changed: {lot.name}. No loose pieces were made that could be carried over.")
        return redirect("shop:order", number)
    form = PiecesForm(request.POST or None, stages=there, words=here.words, initial={"token": uuid.uuid4()})
    if request.method == "POST" and form.is_valid():
        try:
            moved = carrying(request, lot, form.cleaned_data["token"]).carry_over(form.carried)
        except (OrderRefused, FactRefused) as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, f"Carried over: {moved}. What else was made stays with the old make-up.")
            return redirect("shop:order", number)
    context = {"order": lot.order, "lot": lot, "form": form}
    status = 422 if request.method == "POST" else 200
    return render(request, "shop/orders/pieces.html", context, status=status)


def carrying(request: HttpRequest, lot: Lot, token: uuid.UUID) -> Carrying:
    """Pieces go to this lot since its make-up was changed."""
    here = asked(request)
    reason = f"make-up changed to {lot.name}"
    return Carrying(lot, token, hand_id=signed_in(request).pk, now=here.now, zone=here.zone, reason=reason)


def _carriable(work: Work, lot: Lot) -> list[StageChoices]:
    """The stages of the old lot's pieces: those whose operation the new lot has may fit, or be put back to one."""
    assert lot.replaces is not None  # noqa: S101 - asked before
    ahead = {task.operation_id for task in work.loose_tasks(lot)}
    return [
        StageChoices(
            stage,
            may_fit=stage.task.operation_id in ahead,
            behind=[operation for operation in earlier(work, stage) if operation.pk in ahead],
        )
        for stage in stages(work, lot.replaces)
    ]


@may("desk")
def lot_spares(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Say how many loose pieces are made over what the wheels want."""
    lot, here = find_lot(number, pk), asked(request)
    form = SparesForm(request.POST or None, felloes=here.words["felloes"], initial=_spares(lot))
    if request.method == "POST" and form.is_valid():
        with suppress(Overtaken), writing():
            hold_order(lot.order_id)
            form.meet(_spares(find_lot(number, pk)))
            set_spares(lot, **form.answers)
            messages.success(request, form.told(f"Spares for the {lot.name} are changed."))
            return redirect("shop:order", number)
    return small_form(request, lot.order, form, title=f"Spares for the {lot.name}", act_label="Keep it")


def _spares(lot: Lot) -> dict[str, object]:
    state = state_to_know(lot.order) or ("These wheels were left out or changed" if lot.dropped_at else "")
    return {"spokes": lot.spare_spokes, "felloes": lot.spare_felloes, STATE: state}


@may("desk")
def order_move(request: HttpRequest, number: int) -> HttpResponse:
    """Carry loose pieces of this order to another lot, here or in another open order."""
    order, here = find_order(number), asked(request)
    if request.method == "POST" and was_moved(request.POST.get("token", "")):
        return redirect("shop:order-move", number)
    work = load_work([order], now=here.now)
    there = {stage.task.pk: stage for lot in work.lots(order, dropped=True) for stage in stages(work, lot)}
    lots = _lots_to_move_to()
    form = MoveForm(
        request.POST or None,
        stages=[(key, _stage_in_words(stage, work, here)) for key, stage in there.items()],
        lots=[(lot.pk, f"{lot.name}, {lot.order.carriage} {lot.order.number}") for lot in lots],
        initial={"token": uuid.uuid4()},
    )
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        try:
            move_between(
                there[int(told["pieces_from"])],
                next(lot for lot in lots if str(lot.pk) == told["to_lot"]),
                told["pieces"],
                token=told["token"],
                hand_id=signed_in(request).pk,
                now=here.now,
                zone=here.zone,
                reason=told["reason"],
            )
        except (OrderRefused, FactRefused) as refused:
            form.add_error("pieces", str(refused))
        else:
            messages.success(request, "Moved, with what they cost. It can be undone below.")
            return redirect("shop:order-move", number)
    context = {"order": order, "form": form, "is_empty": not there, "moves": moves_of(order, here)}
    return render(request, "shop/orders/move.html", context, status=422 if request.method == "POST" else 200)


def _lots_to_move_to() -> list[Lot]:
    return list(
        Lot.objects.filter(dropped_at=None, order__state__in=Order.OPEN_STATES)
        .select_related("order")
        .order_by("order__number", "pk")[:500]
    )


def _stage_in_words(stage: Stage, work: Work, here: Asked) -> str:
    lot = next(lot for lot in work.lots(work.orders[0], dropped=True) if lot.pk == stage.task.lot_id)
    return f"{lot.name}: {stage_in_words(stage, here.words)}"


@may("desk")
@require_POST
def move_undo(request: HttpRequest, number: int, token: uuid.UUID) -> HttpResponse:
    """Carry the pieces of a move back. Sent twice, it is undone once."""
    find_move(number, token)
    try:
        cancel_move(token, cancel_token=uuid.uuid4(), hand_id=signed_in(request).pk)
    except FactRefused as refused:
        messages.warning(request, str(refused))
    else:
        messages.success(request, "The pieces are back where they were.")
    return redirect("shop:order-move", number)
