"""What a shop says of itself, as plain values: compared with what it said when it was kept.

    python -m tests.landed.reading

writes it as JSON, for the shop that DATABASE_URL names; with `pages` as its word, how the main pages answer beside it.
"""

import json
import re
import sys
from typing import Any

PAGES = ("/orders/", "/orders/closed/", "/bench/jobs/", "/smith/", "/day-book/", "/make-ups/", "/settings/")
PAGES_OF_AN_ORDER = ("", "cost/", "timber/")
PARTS = ("labour", "overhead", "outwork", "materials", "spoiled")


def read() -> dict[str, Any]:
    """Names, counts and costs, and what recounting finds wrong."""
    from django.contrib.auth import authenticate

    from shop.models import Device, Hand, Shop
    from tests.landed.story import OWNER, PASSWORD
    from timing.models import Stretch
    from timing.recount import find_faults

    shop = Shop.objects.get()
    return {
        "shop": [shop.name, shop.word_hub, shop.smith_name],
        "hands": [[hand.name, hand.role, str(hand.left_on or "")] for hand in Hand.objects.order_by("pk")],
        "devices": [device.name for device in Device.objects.order_by("pk")],
        "orders": _orders(),
        "facts": [
            [str(row.token), row.kind, row.hand.username, row.seconds, row.note]
            for row in Stretch.objects.select_related("hand").order_by("pk")
        ],
        "owner_may_sign_in": authenticate(username=OWNER, password=PASSWORD) is not None,
        "faults": [fault.sentence for fault in find_faults()],
    }


def _orders() -> list[dict[str, Any]]:
    from jobs.models import Order
    from jobs.work import load_work
    from shop.costing import order_cost
    from tests.landed.story import NOW

    said = []
    for order in Order.objects.select_related("customer").order_by("number"):
        work = load_work([order], now=NOW)
        cost = order_cost(order)
        said.append(
            {
                "number": order.number,
                "customer": order.customer.name,
                "carriage": order.carriage,
                "state": order.state,
                "due_on": str(order.due_on or ""),
                "holds": [hold.what for hold in work.holds(order)],
                "lots": [lot.name for lot in work.lots(order)],
                "tasks": [_task(one, work.left(one)) for one in work.tasks(order=order)],
                "cost_pence": [*(getattr(cost.set, f"{part}_pence") for part in PARTS), cost.set.pence],
                "wheels_pence": {str(one.wheel.number): one.cost.pence for one in cost.wheels if not one.is_dropped},
            }
        )
    return said


def _task(one: Any, left: int) -> list[str | int]:
    place = one.wheel.place if one.wheel else ""
    counters = (one.wanted, one.made, one.spoiled, one.lost, one.seconds, left)
    return [one.operation.key, one.lot.name, place, *counters]


def answers() -> dict[str, int]:
    """How the main pages answer the owner."""
    from django.test import Client

    from jobs.models import Order
    from shop.models import Hand
    from tests.landed.story import OWNER

    client = Client(SERVER_NAME="localhost")
    client.force_login(Hand.objects.get(name=OWNER).user)
    orders = [
        f"/orders/{number}/{end}"
        for number in Order.objects.values_list("number", flat=True)
        for end in PAGES_OF_AN_ORDER
    ]
    return {path: client.get(path).status_code for path in [*PAGES, *orders]}


def as_text(said: dict[str, Any]) -> str:
    """Each fact and task on a line of its own."""
    text = json.dumps(said, ensure_ascii=False, indent=1) + "\n"
    return re.sub(r"\[[^\[\]{}]*\]", lambda found: re.sub(r"\s*\n\s*", " ", found[0]), text)


if __name__ == "__main__":
    import django

    django.setup()
    sys.stdout.write(as_text({"said": read(), "pages": answers()} if "pages" in sys.argv else read()))
