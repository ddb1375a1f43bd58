"""What an order has cost, and the facts behind each figure."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.models import Lot, Order, Task
from jobs.words import in_words
from shop.access import may
from shop.asked import asked
from shop.conditional import conditional
from shop.cost_page import lot_sections, lot_sums, materials_of, outwork_of
from shop.costing import order_cost
from shop.many_wheels import Wished
from shop.task_facts import facts_of


@may("desk")
@conditional("day")
def cost(request: HttpRequest, number: int) -> HttpResponse:
    """The cost of each wheel and of the set, with what each figure was summed from."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    words = asked(request).words
    cost = order_cost(order, words=words)
    lots = list(Lot.objects.filter(order=order))
    opened = request.GET.get("open", "")
    context = {
        "order": order,
        "cost": cost,
        "sums": lot_sums(cost, lots, Wished.of(request.GET)),
        "lots": lot_sections(cost, lots, words, opened=opened),
        "outwork": outwork_of(order),
        "materials": materials_of(order),
        "opened": opened,
    }
    return render(request, "shop/books/cost.html", context)


@may("desk")
def task_facts(request: HttpRequest, pk: int) -> HttpResponse:
    """Every tally and move of one task, which add up to its cost."""
    joined = ("operation", "lot__order__customer", "wheel", "part")
    task = get_object_or_404(Task.objects.select_related(*joined), pk=pk)
    after = request.GET.get("after", "")
    ask = asked(request)
    words = ask.words
    from_id = int(after) if after.isascii() and after.isdigit() and len(after) < 16 else 0
    facts = facts_of(task, words=words, zone=ask.zone, after=from_id)
    context = {
        "task": task,
        "order": task.lot.order,
        "title": in_words(task.operation.name, words),
        "facts": facts,
        "is_later_page": bool(after),
    }
    return render(request, "shop/books/task_facts.html", context)
