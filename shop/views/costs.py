"""What an order has cost, and the facts behind each figure."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from jobs.models import Order, Task
from jobs.words import in_words
from shop.access import may, roles_of
from shop.asked import asked
from shop.conditional import conditional
from shop.cost_ahead import cost_ahead
from shop.cost_ahead_page import AheadPage
from shop.cost_facts import read_cost_facts
from shop.cost_page import lot_sections, lot_sums, materials_of, outwork_of
from shop.costing import cost_of
from shop.many_wheels import Wished
from shop.rates import RateBook
from shop.task_facts import facts_of


@may("desk")
@conditional("day")
def cost(request: HttpRequest, number: int) -> HttpResponse:
    """The cost of each wheel and of the set, what it will be when they are done, and what each was summed from."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    here = asked(request)
    words, rates = here.words, RateBook.load()
    facts = read_cost_facts(order, rates)
    cost = cost_of(facts, rates, words)
    ahead = cost_ahead(facts, cost, rates, here.shop, on=here.today, words=words, unit=here.unit)
    lots = facts.lots
    opened = request.GET.get("open", "")
    context = {
        "order": order,
        "cost": cost,
        "ahead": ahead and AheadPage(cost, ahead, lots, here.shop.currency),
        "sums": lot_sums(cost, lots, Wished.of(request.GET)),
        "lots": lot_sections(cost, lots, words, opened=opened),
        "outwork": outwork_of(order),
        "materials": materials_of(order, facts.issued),
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
        # What a hand earns is between the owner and the hand.
        "is_owner": "owner" in roles_of(request),
    }
    return render(request, "shop/books/task_facts.html", context)
