"""Counts of the rack: where they stand, what they find and miss, and taking one back."""

import uuid
from datetime import UTC, date, datetime, timedelta
from importlib import import_module

from django.apps import apps
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import Order
from shop.costing import order_cost
from shop.days import day_in_words
from shop.models import Hand, Issue, Shop, StockCount
from shop.period_costs import Period, read_period
from shop.period_page import PeriodPage
from shop.stores.actions import Entry, Much, Place, buy, count, issue, take_count_back, take_purchase_back
from shop.stores.book import Stores
from tests.factories import NOW, MaterialFactory, take_pair

DAY = date(2026, 3, 2)
MILLION = 1_000_000


def days(number: int) -> timedelta:
    return timedelta(days=number)


def entry(by: Hand, ago: int = 0, *, late: int = 0) -> Entry:
    """Of so many days ago, written down so many days later."""
    return Entry(uuid.uuid4(), DAY - days(ago), by.user, NOW - days(ago) + days(late))


def test_what_is_written_on_a_later_day_had_come_or_gone_when_it_was_counted(order: Order, wren: Hand) -> None:
    """By the shop's calendar: half past eleven at night of Greenwich is the next day in a British summer."""
    monday, zone = date(2026, 6, 1), Shop.objects.get().zone
    five = datetime(2026, 6, 1, 17, tzinfo=zone)
    midnight = datetime(2026, 6, 1, 23, 30, tzinfo=UTC)

    def of(on: date, at: datetime) -> Entry:
        return Entry(uuid.uuid4(), on, wren.user, at)

    ash, oak, elm = (MaterialFactory.create(name=name) for name in ("Ash", "Oak", "Elm"))
    for material, units in ((ash, 10), (oak, 20), (elm, 20)):
        buy(Much(material, units * MILLION), of(monday - days(1), five - days(1)), paid_pence=100 * units)
    # Ten more came on Monday, and twenty were counted; the bill is written on Wednesday.
    count(Much(ash, 20 * MILLION), of(monday, five), at_day_end=False)
    bill = buy(Much(ash, 10 * MILLION), of(monday, five + days(2)), paid_pence=2000)
    rack = Stores().rack(ash.pk)
    assert (rack.amount, rack.pence, rack.found_pence) == (20 * MILLION, 3000, 0)
    # A bill that was wrong never was, as if it were not in the book: ten are found.
    take_purchase_back(bill, token=uuid.uuid4(), reason="x", by=wren.user, at=five + days(3))
    rack = Stores().rack(ash.pk)
    assert (rack.amount, rack.pence, rack.found_pence) == (20 * MILLION, 2000, 1000)
    # Eight of twenty were taken on Monday, and twelve counted; that they were is written on Tuesday.
    for material, later in ((oak, five + days(1)), (elm, midnight)):
        count(Much(material, 12 * MILLION), of(monday, five), at_day_end=False)
        issue(Much(material, 8 * MILLION), of(monday, later), place=Place(order))
        rack = Stores().rack(material.pk)
        assert (rack.amount, rack.missing_pence) == (12 * MILLION, 0)
    # Two that are taken after it, and written down at once, come after it; and no other zone of the shop's makes them
    # late, since each row keeps the day on which it was written.
    issue(Much(elm, 2 * MILLION), of(monday, midnight - timedelta(hours=1)), place=Place(order))
    for other in ("Europe/London", "Asia/Tokyo", "Pacific/Honolulu"):
        Shop.objects.update(time_zone=other)
        rack = Stores().rack(elm.pk)
        assert (rack.amount, rack.missing_pence) == (10 * MILLION, 0)
    # What the release before wrote keeps none, and goes by the shop's zone; as the migration filled what was there.
    told = dict(Issue.objects.values_list("pk", "written_on"))
    Issue.objects.update(written_on=None)
    assert Stores().rack(elm.pk).missing_pence != 0
    Shop.objects.update(time_zone=zone.key)
    import_module("shop.migrations.0028_rows_of_the_rack_keep_their_day").fill_by_the_zone_of_now(apps, None)
    assert dict(Issue.objects.values_list("pk", "written_on")) == told


def test_a_late_bill_tells_what_it_changed_where_the_day_was_counted(owner: Client, order: Order, wren: Hand) -> None:
    """Ten at £1 lay there, ten more came at £3, fifteen were counted then and five issued on each of three days after:
    by the bill five are missing where five had been found, and what was issued last cost more."""
    ash, five = MaterialFactory.create(), 5 * MILLION
    buy(Much(ash, 2 * five), entry(wren, 9), paid_pence=1000)
    count(Much(ash, 3 * five), entry(wren, 6), at_day_end=False)
    for ago in (5, 4, 3):
        issue(Much(ash, five), entry(wren, ago), place=Place(order))
    assert order_cost(order).set.materials_pence == 1500
    buy(Much(ash, 2 * five), entry(wren, 6, late=5), paid_pence=3000)
    rack = Stores().rack(ash.pk)
    assert (rack.amount, rack.found_pence, rack.missing_pence) == (0, 0, 500)
    assert order_cost(order).set.materials_pence == 500 + 3000
    page = owner.get(reverse("shop:material-stock", args=[ash.pk])).content.decode()
    assert f"order {order.number} cost £20.00 more by it" in page


def test_the_release_before_counts_while_two_stand_side_by_side(wren: Hand) -> None:
    """It knows no columns but those that counts had then: what it writes is of the end of its day, as it was to it."""
    ash = MaterialFactory.create()
    row = StockCount(material=ash, amount_millionths=MILLION, on=DAY, recorded_at=NOW, recorded_by=wren.user)
    row.token = uuid.uuid4()
    known = ("material", "amount_millionths", "pieces", "on", "recorded_at", "recorded_by", "token")
    fields = [StockCount._meta.get_field(name) for name in known]
    StockCount._base_manager._insert([row], fields=fields)
    kept = StockCount.objects.get()
    assert (kept.at_day_end, kept.note, kept.cancels) == (True, "", None)
    assert Stores().rack(ash.pk).amount == MILLION


def told_on() -> date:
    return timezone.now().astimezone(Shop.objects.get().zone).date()


def told_of_today(amount: str, **others: str) -> dict[str, object]:
    today = told_on()
    day = {"on_day": today.day, "on_month": f"{today:%B}", "on_year": today.year}
    return {"token": uuid.uuid4(), "amount": amount, "counted_in": "unit"} | day | others


def test_a_count_of_today_and_one_that_was_wrong(owner: Client, order: Order, wren: Hand) -> None:
    """Counted in the morning, issued from after it; then a slip of the finger, which is taken back."""
    ash = MaterialFactory.create()
    page, there = (reverse(f"shop:{name}", args=[ash.pk]) for name in ("material-stock", "stock-count"))
    buy(Much(ash, 100 * MILLION), entry(wren, 5), paid_pence=9000)
    assert "Today: as it lies there now" in owner.get(there).content.decode()
    assert "of today on a later day, before it" in owner.get(there).content.decode()
    owner.post(there, told_of_today("100"))
    url = f"{reverse('shop:from-rack', args=[order.number])}?material={ash.pk}"
    assert owner.post(url, told_of_today("40", place="order")).status_code == 302
    assert (Stores().rack(ash.pk).amount, Stores().rack(ash.pk).found_pence) == (60 * MILLION, 0)

    owner.post(there, told_of_today("6"))
    assert Stores().rack(ash.pk).missing_pence == 54 * 90
    slip = StockCount.objects.latest("id")
    assert not slip.at_day_end
    back = reverse("shop:count-take-back", args=[slip.pk])
    assert back in owner.get(page).content.decode()
    owner.post(back, {"token": uuid.uuid4(), "reason": "a nought was left out"})
    owner.post(back, {"token": uuid.uuid4(), "reason": "a nought was left out"})
    assert StockCount.objects.get(cancels=slip).amount_millionths == -6 * MILLION
    assert StockCount.objects.count() == 3
    assert (Stores().rack(ash.pk).amount, Stores().rack(ash.pk).missing_pence) == (60 * MILLION, 0)
    shown = owner.get(page).content.decode().replace("\xa0", " ")
    assert "<s>6 board feet</s>" in shown
    assert f"Taken back {day_in_words(told_on())} by Wren: a nought was left out." in shown.replace("\n", "")
    assert back not in shown
    # A token that took another row back is no answer to this.
    first = reverse("shop:count-take-back", args=[StockCount.objects.earliest("id").pk])
    used = StockCount.objects.get(cancels=slip).token
    assert owner.post(first, {"token": used, "reason": "x"}).status_code == 422


def test_what_counts_find_is_told_beside_what_they_miss(shop: Shop, order: Order, wren: Hand) -> None:
    ash, lime = MaterialFactory.create(), MaterialFactory.create(name="Lime")
    issue(Much(lime, 3 * MILLION), entry(wren, 20), place=Place(order))
    count(Much(lime, 0), entry(wren))
    buy(Much(ash, 100 * MILLION), entry(wren, 9), paid_pence=9000)
    slip = count(Much(ash, 10 * MILLION), entry(wren, 3))
    count(Much(ash, 99 * MILLION), entry(wren, 2))
    found = read_period(Period(DAY - days(15), DAY))
    assert (found.missing, found.found) == (8100, 8010)
    # What was issued in another period is not named as without a price in this.
    assert found.unpriced == ()
    assert PeriodPage(found, 5, "GBP").missing == (
        "Counts of the rack found £81.00 of material missing, at cost, which is in no wheel, and £80.10 that was not "
        "written down: £0.90 missing on the whole."
    )
    take_count_back(slip, token=uuid.uuid4(), reason="x", by=wren.user, at=NOW)
    found = read_period(Period(DAY - days(15), DAY))
    assert (found.missing, found.found) == (90, 0)


def test_what_is_told_late_is_told_order_by_order(owner: Client, order: Order, wren: Hand) -> None:
    """A bill by which one order cost more and another less; and a count of an earlier day."""
    ash, other = MaterialFactory.create(), take_pair()
    ten = Much(ash, 10 * MILLION)
    for ago, paid in ((9, 1000), (7, 3000)):
        buy(ten, entry(wren, ago), paid_pence=paid)
    issue(ten, entry(wren, 6), place=Place(order))
    issue(ten, entry(wren, 5), place=Place(other))
    buy(ten, entry(wren, 12, late=12), paid_pence=3000)
    page = reverse("shop:material-stock", args=[ash.pk])
    numbers = order.number, other.number
    said = "Written down 2 March 2026, when some was issued already: order {} cost £20.00 more, order {} cost £20.00 "
    assert f"{said}less by it.".format(*numbers) in owner.get(page).content.decode()
    # What was written on its own day is not late, whatever was issued that day before.
    buy(ten, entry(wren), paid_pence=500)
    assert owner.get(page).content.decode().count("Written down") == 1
    cost = order_cost(order).set.materials_pence
    count(Much(ash, 10 * MILLION), entry(wren, 8, late=9))
    assert order_cost(order).set.materials_pence != cost
    counted = owner.get(page).content.decode().partition('id="counts"')[2]
    assert f"order {order.number} cost" in counted
    assert Issue.objects.count() == 2


def test_what_is_taken_back_tells_what_that_changed(client: Client, order: Order, wren: Hand, osk: Hand) -> None:
    """A bill of ten at £1 and one of ten at £9, of which ten were issued; then a count that missed five of the dear."""
    ash = MaterialFactory.create()
    ten = Much(ash, 10 * MILLION)
    bill = buy(ten, entry(wren, 9), paid_pence=1000, supplier="Weir Sawmill")
    buy(ten, entry(wren, 8), paid_pence=9000)
    issue(ten, entry(wren, 7), place=Place(order))
    why = "entered twice"
    take_purchase_back(bill, token=uuid.uuid4(), reason=why, by=wren.user, at=NOW)
    assert order_cost(order).set.materials_pence == 9000
    client.force_login(wren.user)
    page = reverse("shop:material-stock", args=[ash.pk])

    def shown() -> str:
        return " ".join(client.get(page).content.decode().replace("\xa0", " ").split())

    changed = f"Some was issued already: order {order.number} cost £80.00 more by it."
    assert "<s>10 board feet for £10.00</s>" in shown()
    assert f"21 February 2026, Weir Sawmill. Taken back 2 March 2026 by Wren: {why}. {changed}" in shown()
    # Of a count likewise: five fewer were there than were written down, at the cheaper price, before any was issued.
    buy(ten, entry(wren, 20), paid_pence=1000)
    slip = count(Much(ash, 5 * MILLION), entry(wren, 19))
    assert order_cost(order).set.materials_pence == 500 + 4500
    take_count_back(slip, token=uuid.uuid4(), reason=why, by=wren.user, at=NOW + days(1))
    changed = f"Some was issued already: order {order.number} cost £40.00 less by it."
    assert f"Taken back 3 March 2026 by Wren: {why}. {changed}" in shown()
    client.force_login(osk.user)
    assert "<s>10 board feet</s>" in shown()
    assert f"by Wren: {why}." in shown()
    assert "£" not in shown()
    assert "issued already" not in shown()
