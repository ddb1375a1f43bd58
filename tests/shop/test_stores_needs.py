"""What orders still want of the rack: the same material for the plan, the stores and the cost at completion."""

import re
import uuid
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.changes import drop_wheel
from jobs.models import Lot, Order, Task
from jobs.orders import WheelRow
from shop.asked import Asked
from shop.cost_ahead import cost_ahead
from shop.cost_facts import read_cost_facts
from shop.costing import cost_of
from shop.models import Hand, Issue, Material, Rate, Shop
from shop.rates import RateBook
from shop.stores.actions import Entry, Much, Place, buy, issue
from shop.stores.book import Stores
from shop.stores.needs import read_needs
from tests.factories import IN, NOW, MaterialFactory, fact, makeup, take_pair
from tests.shop.plan_asked import plan_asked
from timing.record import record

DAY = date(2026, 3, 2)
MILLION = 1_000_000
BAR = {"kind": "bar", "timber": "iron", "thickness_nm": IN // 2, "width_nm": 3 * IN // 2, "length_nm": 240 * IN}


def entry(by: Hand) -> Entry:
    return Entry(uuid.uuid4(), DAY, by.user, NOW)


def still(shop: Shop, material: Material) -> int:
    """Whole units that orders still want."""
    here = Asked(shop, shop.words, "in", shop.zone, timezone.now(), is_desk=True)
    return sum(need.still for need in read_needs(here, Stores()).of(material.pk)) // MILLION


def material_to_come(shop: Shop, order: Order) -> int:
    rates = RateBook.load()
    facts = read_cost_facts(Order.objects.get(pk=order.pk), rates)
    ahead = cost_ahead(facts, cost_of(facts, rates, shop.words), rates, shop, on=DAY, words=shop.words, unit="in")
    assert ahead
    return ahead.to_come.material


def price(material: Material, pence: int) -> None:
    told = {"kind": Rate.Kind.MATERIAL, "material": material, "amount_millipence": 1000 * pence}
    Rate.objects.create(**told, from_on=date(2026, 1, 1), recorded_at=NOW)


def test_a_tyre_that_is_welded_wants_no_iron(shop: Shop, order: Order, bram: Hand) -> None:
    """Though the fire is still to be lit, for all wheels at once."""
    bar = MaterialFactory.create(name="Tyre bar", unit="each", **BAR)
    assert still(shop, bar) == 2
    for number, weld in enumerate(Task.objects.filter(lot__order=order, operation__key="weld-tyre"), start=1):
        record(fact(weld, bram, made=1), now=NOW)
        assert still(shop, bar) == 2 - number


def test_what_is_put_into_a_wheel_was_begun_once(shop: Shop, order: Order, bram: Hand) -> None:
    """Bands are made loose, and shrunk on by the wheel."""
    band = order.lots.get().makeup
    size = {"width_nm": band.bands[0].width_nm, "thickness_nm": band.bands[0].thickness_nm}
    bar = MaterialFactory.create(name="Band bar", unit="each", **BAR | size | {"length_nm": 40 * IN})
    wanted = still(shop, bar)
    tasks = {task.operation.key: task for task in Task.objects.filter(lot__order=order, wheel=None)}
    record(fact(tasks["make-band"], bram, made=2), now=NOW)
    left = still(shop, bar)
    shrink = Task.objects.filter(lot__order=order, operation__key="shrink-band")[0]
    record(fact(shrink, bram, made=2), now=NOW)
    assert wanted > left == still(shop, bar) > 0


def test_a_board_that_is_too_thin_serves_nothing(shop: Shop, wren: Hand) -> None:
    """Though it is of the same timber; what the order was given and is thick enough does, in place of the best."""
    boxed = {"box_large_nm": 3 * IN, "box_small_nm": 3 * IN, "box_length_nm": 10 * IN}
    order = take_pair(rows=[WheelRow(makeup(**boxed), "hind pair", ["near_hind", "off_hind"])])
    billets = {"kind": "blank", "timber": "oak", "unit": "each", "thickness_nm": 2 * IN, "width_nm": 3 * IN}
    oak = MaterialFactory.create(name="Oak billets", length_nm=36 * IN, **billets)
    thin = MaterialFactory.create(name="Oak 1 in", timber="oak", unit="each", thickness_nm=IN, length_nm=96 * IN)
    issue(Much(thin, MILLION, 1), entry(wren), place=Place(order))
    assert (still(shop, oak), still(shop, thin)) == (28, 0)
    longer = MaterialFactory.create(name="Oak billets, long", length_nm=48 * IN, **billets)
    issue(Much(longer, 9 * MILLION, 9), entry(wren), place=Place(order))
    # Of which each makes two of the 28.
    assert (still(shop, oak), still(shop, longer)) == (0, 5)


def test_of_two_bars_alike_the_one_that_lies_there_is_issued(
    owner: Client, shop: Shop, order: Order, wren: Hand
) -> None:
    """By the plan, which then leaves nothing wanted; the other comes first by its name and its price."""
    first, lies = (MaterialFactory.create(name=name, unit="kg", **BAR) for name in ("A bar", "B bar"))
    price(first, 200)
    price(lies, 300)
    Lot.objects.filter(order=order).update(draw_nm=0)
    buy(Much(lies, 100 * MILLION), entry(wren), paid_pence=20_000)
    assert (still(shop, first), still(shop, lies) > 20) == (0, True)
    wanted = material_to_come(shop, order)
    cutting = reverse("shop:order-cutting", args=[order.number])
    asked_for = plan_asked(owner.get(cutting, {"bar": "20 ft", "kerf": "0"}).content.decode())
    assert owner.post(reverse("shop:issue-plan", args=[order.number]), asked_for).status_code == 302
    assert Issue.objects.get().material == lies
    assert (still(shop, first), still(shop, lies)) == (0, 0)
    assert wanted > 20 * 300
    assert material_to_come(shop, order) < 10


@pytest.mark.parametrize("is_dropped", [False, True])
def test_what_a_dropped_wheel_was_given_serves_no_other(
    owner: Client, shop: Shop, order: Order, wren: Hand, *, is_dropped: bool
) -> None:
    """In the stores, in the plan and in the cost at completion; brought back to the rack it serves again."""
    size = {"kind": "blank", "unit": "each", "width_nm": 8 * IN, "length_nm": 36 * IN}
    ash = MaterialFactory.create(name="Felloe blanks", **size)
    price(ash, 100)
    wheel = order.lots.get().wheels.all()[0]
    assert (still(shop, ash), material_to_come(shop, order)) == (14, 1400)
    issue(Much(ash, 7 * MILLION, 7), entry(wren), place=Place(order, wheel=wheel))
    if is_dropped:
        drop_wheel(wheel, at=NOW)
    assert (still(shop, ash), material_to_come(shop, order)) == (7, 700)
    page = owner.get(reverse("shop:order-timber", args=[order.number])).content.decode()
    assert plan_asked(page)[f"much-{ash.pk}"] == "7"
    assert bool(re.search("Issued before: 7 blanks", page)) is not is_dropped
