"""What a plan rests on, so that one which is issued from an old page is refused: meanwhile the order may have been
changed, or issued the same from another device, or the shop may leave more on its blanks."""

import hashlib
from collections.abc import Collection, Iterable, Mapping
from itertools import zip_longest

from django.db.models import Sum

from jobs.models import Lot, Measure, Order, Wheel
from shop.amounts import ChargeRefused
from shop.audit import the_shop
from shop.models import Issue, Material, Shop
from shop.timber_list import order_timber_list

DIGITS = 16


class PlanOvertaken(ChargeRefused):
    """The plan is to be seen anew before anything of it is issued."""


def seen_of(order: Order, materials: Collection[Material]) -> str:
    """Digests: of which of these materials are retired, of what the order was issued of them, of its wheels and their
    measures, and of the blanks that these want of timber, with their spares and what the shop leaves on them."""
    ids = [one.pk for one in materials]
    issued = sorted(issued_of(order, ids).items())
    return ".".join(_digest(one) for one in (_retired(ids), issued, _rests_on(order), _blanks(order, materials)))


def issued_of(order: Order, material_ids: Collection[int]) -> Mapping[int, int]:
    """Millionths by material, less what came back: one query."""
    rows = Issue.objects.filter(order=order, material__in=material_ids).order_by().values_list("material_id")
    return {pk: amount for pk, amount in rows.annotate(Sum("amount_millionths")) if amount}


def check_seen(seen: str, order: Order, materials: Collection[Material]) -> None:
    """PlanOvertaken, with what became of it, where it is another by now. Call it inside the write."""
    retired = ", ".join(f"“{name}”" for name in _retired([one.pk for one in materials]))
    became = (
        f"{retired} was retired" if retired else "What had been retired was put to use again",
        f"Order {order.number} was issued some of this",
        f"Order {order.number} was changed",
        "What the shop leaves on blanks, or the spares that it adds, was changed",
    )
    for before, now, told in zip_longest(seen.split(".")[: len(became)], seen_of(order, materials).split("."), became):
        if before != now:
            raise PlanOvertaken(f"{told} since you opened the plan.")


def _retired(material_ids: Collection[int]) -> list[str]:
    """Names: one query. Of a bar that is retired offcuts may lie there still."""
    rows = Material.objects.filter(pk__in=material_ids).exclude(retired_at=None)
    return list(rows.order_by("name").values_list("name", flat=True))


def _rests_on(order: Order) -> list[object]:
    """Every lot and wheel with all that is told of it: three queries."""
    lots = Lot.objects.filter(order=order).order_by("id").values_list()
    wheels = Wheel.objects.filter(lot__order=order).order_by("id").values_list()
    measures = Measure.objects.filter(wheel__lot__order=order).order_by("id").values_list("id", "kind", "value_nm")
    return [list(lots), list(wheels), list(measures)]


def _blanks(order: Order, materials: Collection[Material]) -> list[object]:
    """Which blanks a plan of timber lays out: spares go by what the whole shop spoils, a few more or fewer at times."""
    if not any(one.is_timber for one in materials):
        return []
    listed = order_timber_list(order, the_shop().allowances, words=Shop().words, unit="mm")
    return [line for group in listed.groups for line in group.lines]


def _digest(told: Iterable[object]) -> str:
    return hashlib.sha256(repr(told).encode()).hexdigest()[:DIGITS]
