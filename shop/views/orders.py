"""An order: its page, taking one, its state, its promises and holds, and dropping it."""

from contextlib import suppress

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from jobs.library import by_name
from jobs.models import Customer, Hold, Order
from jobs.orders import OrderRefused, hold_order, place_hold, take_order
from jobs.work import load_work
from jobs.writing import writing
from shop.access import may
from shop.asked import asked, signed_in
from shop.conditional import conditional
from shop.costing import order_cost
from shop.forms.order_rows import SETS, OrderEntry
from shop.forms.orders import HoldForm, LiftForm, PromiseForm
from shop.forms.seen import STATE, Overtaken, status_of
from shop.forms.together import Together
from shop.many_wheels import Wished
from shop.order_changes import answer_hold, go_on_to, promise_day
from shop.order_page import OrderPage

MOST_CUSTOMERS = 500

ANSWERED = "That was answered already, here or on another device: nothing more was changed."

# The one act that comes next in an order's life, and what the button says.
NEXT_STATES: dict[str, tuple[str, str]] = {
    Order.State.ENQUIRY: (Order.State.TAKEN, "Take it"),
    Order.State.QUOTED: (Order.State.TAKEN, "Take it"),
    Order.State.TAKEN: (Order.State.IN_HAND, "Put it in hand"),
    Order.State.IN_HAND: (Order.State.READY, "Say it is ready"),
    Order.State.READY: (Order.State.FETCHED, "It is fetched"),
    Order.State.FETCHED: (Order.State.PAID, "It is paid"),
}


def find_order(number: int) -> Order:
    """The order of this number; 404 where there is none."""
    return get_object_or_404(Order.objects.select_related("customer"), number=number)


@may("desk", "bench")
@conditional("minute")
def order(request: HttpRequest, number: int) -> HttpResponse:
    """How far the order is, what it waits for, and at the desk what it has cost."""
    return show_order(request, find_order(number))


def show_order(request: HttpRequest, order: Order, *, status: int = 200) -> HttpResponse:
    """The page of an order, also as the answer to an act that came too late."""
    here = asked(request)
    page = OrderPage(order, here, Wished.of(request.GET))
    others = [(state, label) for state, label in Order.State.choices if state not in (order.state, "dropped")]
    context = {
        "order": order,
        "page": page,
        "is_desk": here.is_desk,
        "next_state": NEXT_STATES.get(order.state),
        "other_states": others,
        "cost": order_cost(order, words=here.words) if here.is_desk else None,
        "promises": list(order.promises.select_related("recorded_by__shop_hand")) if here.is_desk else [],
        "lifted": list(order.holds.exclude(lifted_at=None)),
    }
    return render(request, "shop/orders/order.html", context, status=status)


@may("desk")
def order_new(request: HttpRequest) -> HttpResponse:
    """Take an order. Adding a row, or beginning with a set, keeps every answer and saves nothing."""
    here = asked(request)
    library = list(by_name())
    if request.method != "POST":
        entry = OrderEntry(None, asked=here, library=library)
        entry.add_row({"makeup": request.GET.get("makeup")})
        return _order_form(request, entry)
    entry = OrderEntry(request.POST, asked=here, library=library)
    if entry.answer(request.POST):
        return _order_form(request, entry)
    if not entry.is_ready:
        return _order_form(request, entry, status=422)
    head = dict(entry.head.cleaned_data)
    is_taken = head["state"] == Order.State.TAKEN
    try:
        taken = take_order(
            rows=[row.row() for row in entry.rows],
            by=signed_in(request),
            taken_on=here.today if is_taken else None,
            **head,
        )
    except OrderRefused as refused:
        entry.head.add_error(None, str(refused))
        return _order_form(request, entry, status=422)
    messages.success(request, f"Order {taken.number} is in the book.")
    return redirect("shop:order", taken.number)


def _order_form(request: HttpRequest, entry: OrderEntry, *, status: int = 200) -> HttpResponse:
    context = {
        "entry": entry,
        "form": Together(*entry.forms),
        "sets": [(name, label) for name, (label, _) in SETS.items()],
        "customers": customer_names(),
    }
    return render(request, "shop/orders/order_new.html", context, status=status)


def customer_names() -> list[str]:
    """Known customers, to be picked from while typing."""
    return list(Customer.objects.filter(replaced_at=None).values_list("name", flat=True)[:MOST_CUSTOMERS])


@may("desk")
@require_POST
def order_state(request: HttpRequest, number: int) -> HttpResponse:
    """Move an order on, or put it back; 409 with the order as it is where another device was first."""
    here, order = asked(request), find_order(number)
    try:
        go_on_to(
            order,
            request.POST.get("state", ""),
            seen=request.POST.get("seen", ""),
            at=here.now,
            zone=here.zone,
        )
    except OrderRefused as refused:
        messages.warning(request, str(refused))
        return show_order(request, find_order(number), status=409)
    return redirect("shop:order", number)


@may("desk")
def order_drop(request: HttpRequest, number: int) -> HttpResponse:
    """Say what dropping an order keeps, and drop it."""
    order, here = find_order(number), asked(request)
    if request.method == "POST":
        try:
            go_on_to(order, Order.State.DROPPED, seen=request.POST.get("seen", ""), at=here.now, zone=here.zone)
        except OrderRefused as refused:
            messages.warning(request, str(refused))
            return show_order(request, find_order(number), status=409)
        messages.success(request, f"Order {number} is dropped; what was done for it is kept.")
        return redirect("shop:order", number)
    return render(request, "shop/orders/drop.html", {"order": order, "page": OrderPage(order, here)})


@may("desk")
def order_promise(request: HttpRequest, number: int) -> HttpResponse:
    """Promise another day; the first stays readable."""
    order = find_order(number)
    form = PromiseForm(request.POST or None, initial=_promised(order))
    if request.method == "POST" and form.is_valid():
        with suppress(Overtaken), writing():
            hold_order(order.pk)
            form.meet(_promised(find_order(number)), by=_last_promised_by(order))
            promise_day(order, by=signed_in(request), **form.answers)
            messages.success(request, "The new day is kept, and the days promised before stay readable.")
            return redirect("shop:order", number)
    return small_form(request, order, form, title="Promise another day", act_label="Promise it")


def _promised(order: Order) -> dict[str, object]:
    return {"promised_on": order.due_on, STATE: state_to_know(order)}


def _last_promised_by(order: Order) -> str:
    last = order.promises.select_related("recorded_by__shop_hand").order_by("pk").last()
    hand = getattr(last.recorded_by, "shop_hand", None) if last else None
    return str(hand or "another")


def state_to_know(order: Order) -> str:
    """What became of an order that whoever fills in a form about it would want to know first; empty for nothing."""
    return "The order was dropped" if order.state == Order.State.DROPPED else ""


@may("desk")
def order_hold(request: HttpRequest, number: int) -> HttpResponse:
    """Say what the order, a lot or a wheel waits for."""
    order, here = find_order(number), asked(request)
    work = load_work([order], now=here.now)
    lots = work.lots(order)
    wheels = [wheel for lot in lots for wheel in work.wheels(lot)]
    form = HoldForm(request.POST or None, lots=lots, wheels=wheels, initial={STATE: state_to_know(order)})
    if request.method == "POST" and form.is_valid():
        told = form.cleaned_data
        with suppress(Overtaken), writing():
            hold_order(order.pk)
            form.meet({STATE: state_to_know(find_order(number))})
            place_hold(
                order, kind=told["kind"], what=told["what"], at=here.now, expected_on=told["expected_on"], **form.place
            )
            messages.success(request, f"It waits for {told['what']}.")
            return redirect("shop:order", number)
    return small_form(request, order, form, title="What it waits for", act_label="Let it wait")


@may("desk")
def hold_lift(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """What was waited for is here; for the customer's word, yes or no."""
    hold = get_object_or_404(Hold.objects.select_related("order__customer", "lot"), pk=pk, order__number=number)
    here = asked(request)
    form = LiftForm(request.POST or None)
    if hold.lifted_at is not None:
        messages.warning(request, ANSWERED)
        return redirect("shop:order", number)
    if request.method == "POST" and form.is_valid():
        yes = "no" not in request.POST
        try:
            lifted = answer_hold(hold, said=form.cleaned_data["said"], yes=yes, at=here.now, zone=here.zone)
        except OrderRefused as refused:
            form.add_error(None, str(refused))
        else:
            if lifted:
                messages.success(request, "It waits for that no longer.")
            else:
                messages.warning(request, ANSWERED)
            return redirect("shop:order", number)
    context = {"order": hold.order, "hold": hold, "form": form}
    return render(request, "shop/orders/lift.html", context, status=422 if request.method == "POST" else 200)


def small_form(
    request: HttpRequest, order: Order, form: BaseForm, *, title: str, act_label: str, **others: object
) -> HttpResponse:
    """A plain page with one form about an order; where it comes back, the status says why."""
    context = {"order": order, "form": form, "title": title, "act_label": act_label} | others
    return render(request, "shop/orders/small_form.html", context, status=status_of(form))
