"""What a plan rests on, so that one which is issued from an old page is refused: meanwhile the order may have been
changed, or issued the same from another device."""

import hashlib
from collections.abc import Collection, Iterable, Mapping

from django.db.models import Sum

from jobs.models import Lot, Measure, Order, Wheel
from shop.amounts import ChargeRefused
from shop.models import Issue, Material

DIGITS = 16


class PlanOvertaken(ChargeRefused):
    """The plan is to be seen anew before anything of it is issued."""


def seen_of(order: Order, material_ids: Collection[int]) -> str:
    """Two digests: of what the order was issued of these materials, and of its wheels and their measures."""
    return f"{_digest(sorted(issued_of(order, material_ids).items()))}.{_digest(_rests_on(order))}"


def issued_of(order: Order, material_ids: Collection[int]) -> Mapping[int, int]:
    """Millionths by material, less what came back: one query."""
    rows = Issue.objects.filter(order=order, material__in=material_ids).order_by().values_list("material_id")
    return {pk: amount for pk, amount in rows.annotate(Sum("amount_millionths")) if amount}


def check_seen(seen: str, order: Order, materials: Collection[Material]) -> None:
    """PlanOvertaken, with what became of it, where it is another by now. Call it inside the write."""
    for one in materials:
        if Material.objects.exclude(retired_at=None).filter(pk=one.pk).exists():
            raise PlanOvertaken(f"“{one.name}” was retired since you opened the plan.")
    issued, _, rests_on = seen.partition(".")
    now_issued, _, now_rests_on = seen_of(order, [one.pk for one in materials]).partition(".")
    if issued != now_issued:
        raise PlanOvertaken(f"Order {order.number} was issued some of this since you opened the plan.")
    if rests_on != now_rests_on:
        raise PlanOvertaken(f"Order {order.number} was changed since you opened the plan.")


def _rests_on(order: Order) -> list[object]:
    """Every lot and wheel with all that is told of it: three queries."""
    lots = Lot.objects.filter(order=order).order_by("id").values_list()
    wheels = Wheel.objects.filter(lot__order=order).order_by("id").values_list()
    measures = Measure.objects.filter(wheel__lot__order=order).order_by("id").values_list("id", "kind", "value_nm")
    return [list(lots), list(wheels), list(measures)]


def _digest(told: Iterable[object]) -> str:
    return hashlib.sha256(repr(told).encode()).hexdigest()[:DIGITS]
