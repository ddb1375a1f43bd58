"""Makes the rows that tests need."""

import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import factory
from django.contrib.auth.models import User
from django.db.models import QuerySet

from jobs.makeup import Band, MakeUp
from jobs.models import Lot, Order, Task, Wheel
from jobs.orders import WheelRow, take_order
from shop.models import Hand, Material, Shop
from timing.facts import Fact, Yield

IN = 25_400_000
NOW = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)


class ShopFactory(factory.django.DjangoModelFactory[Shop]):
    class Meta:
        model = Shop

    name = "Alder Lane Wheel Shop"


class UserFactory(factory.django.DjangoModelFactory[User]):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"hand-{n}")


class HandFactory(factory.django.DjangoModelFactory[Hand]):
    class Meta:
        model = Hand

    # They sign in by the name that they go by.
    user = factory.SubFactory(UserFactory, username=factory.SelfAttribute("..name"))
    name = factory.Sequence(lambda n: f"Hand {n}")


class MaterialFactory(factory.django.DjangoModelFactory[Material]):
    """Ash boards of 2 in by 12 in, 10 ft long, bought by the board foot."""

    class Meta:
        model = Material

    name = "Ash boards"
    kind = Material.Kind.PLANK
    timber = "ash"
    unit = Material.Unit.BOARD_FOOT
    thickness_nm = 2 * IN
    width_nm = 12 * IN
    length_nm = 120 * IN


def makeup(**changes: object) -> MakeUp:
    """A 46 in hind wheel of 14 spokes and 7 felloes, with iron tyre and two bands."""
    plain = MakeUp(
        height_nm=46 * IN,
        height_over="wood",
        spokes=14,
        rim="sawn",
        felloes=7,
        hub="wood",
        hub_diameter_nm=8 * IN,
        hub_length_nm=10 * IN,
        spoke_width_nm=2 * IN,
        spoke_thickness_nm=3 * IN // 2,
        tongue="round",
        felloe_depth_nm=5 * IN // 2,
        felloe_width_nm=3 * IN // 2,
        tyre="iron",
        tyre_width_nm=3 * IN // 2,
        tyre_thickness_nm=IN // 2,
        fastening="bolted",
        bands=(Band("front", IN, IN // 4), Band("back", IN, IN // 4)),
        box="fitted",
        coats=3,
        lined=False,
        dish_nm=IN // 2,
        hub_timber="elm",
        spoke_timber="oak",
        felloe_timber="ash",
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def take_pair(**changes: object) -> Order:
    """An order for a hind pair of that make-up."""
    row = WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"])
    told: dict[str, object] = {
        "token": uuid.uuid4(),
        "customer": "Corbel Hall stables",
        "carriage": "Wagonette",
        "rows": [row],
        "due_on": date(2026, 3, 20),
        "taken_on": date(2026, 2, 2),
    }
    return take_order(**(told | changes))  # type: ignore[arg-type]


def task(order: Order, key: str, wheel: Wheel | None = None) -> Task:
    """The live task of an operation in an order, at a wheel if it belongs to one."""
    tasks = Task.objects.live().filter(lot__order=order, operation__key=key)
    return tasks.get(wheel=wheel) if wheel else tasks.select_related("operation").order_by("pk")[0]


def fact(task: Task, hand: Hand, *, made: int = 1, minutes: float | None = 10, **changes: object) -> Fact:
    """Work on a task that ended at NOW."""
    yields = (Yield(made=made, lot_id=task.lot_id, wheel_id=task.wheel_id),)
    told: dict[str, object] = {
        "token": uuid.uuid4(),
        "hand_id": hand.user_id,
        "operation_id": task.operation_id,
        "done_at": NOW,
        "started_at": None if minutes is None else NOW - timedelta(minutes=minutes),
        "yields": yields,
    }
    return Fact(**(told | changes))  # type: ignore[arg-type]


def lot_of(order: Order) -> Lot:
    return order.lots.get()


def take_away(rows: "QuerySet[Any]") -> None:
    """As if rows were never written: records are not deleted, so that it is done beneath their guard."""
    rows._raw_delete(rows.db)  # type: ignore[attr-defined]
