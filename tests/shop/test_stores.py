"""The rack: bought, counted, issued and brought back; what it costs an order, and what is to be bought."""

import uuid
from dataclasses import replace
from datetime import UTC, date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Order
from jobs.orders import WheelRow, set_state
from shop.amounts import ChargeRefused
from shop.charges import take_back
from shop.costing import order_cost
from shop.costs_at_once import spent_on
from shop.models import Hand, Issue, Material, Purchase, Rate, StockCount
from shop.period_costs import month_of, read_period
from shop.stores.actions import Entry, Much, Place, bring_back, buy, count, issue, still_out, take_purchase_back
from shop.stores.amounts import AmountError, amount_told, one_piece, parse_amount, plain_amount, told
from shop.stores.book import Stores
from shop.stores.seasoning import by_the_meter, by_the_rule, months_on
from shop.work_in_progress import work_in_progress
from tests.factories import IN, NOW, MaterialFactory, fact, makeup, take_pair, task
from timing.record import record

DAY = date(2026, 3, 2)
MILLION = 1_000_000
NO_SIZE = {"thickness_nm": None, "width_nm": None, "length_nm": None}


@pytest.fixture
def ash(shop: object) -> Material:
    """Planks of 20 board feet each."""
    return MaterialFactory.create()


def entry(by: Hand, on: date = DAY) -> Entry:
    return Entry(uuid.uuid4(), on, by.user, NOW)


def feet(ash: Material, amount: int) -> Much:
    return Much(ash, amount * MILLION)


def asked(**answers: Any) -> dict[str, Any]:
    told = {"token": uuid.uuid4(), "on_day": "2", "on_month": "March", "on_year": "2026", "counted_in": "pieces"}
    return told | answers


def materials_cost(order: Order) -> int:
    return order_cost(order).set.materials_pence


def test_from_bill_to_cost_and_back(owner: Client, order: Order, ash: Material) -> None:
    """As a desk does it: a bill, a count, an issue beyond what is there, the missing bill, and what was not needed."""
    stores, page = reverse("shop:stores"), reverse("shop:material-stock", args=[ash.pk])
    felled = {"felled_on_day": "1", "felled_on_month": "4", "felled_on_year": "2024", "moisture": "16.5"}
    bill = asked(amount="10", paid="180.00", supplier="Weir Sawmill", **felled)
    for _ in range(2):
        owner.post(reverse("shop:purchase-new", args=[ash.pk]), bill)
    bought = Purchase.objects.get()
    assert (bought.pieces, bought.amount_millionths, bought.paid_pence) == (10, 200 * MILLION, 18_000)
    assert (bought.supplier, bought.felled_on, bought.moisture_tenths) == ("Weir Sawmill", date(2024, 4, 1), 165)
    shown = owner.get(stores).content.decode()
    assert "<b>200 board feet</b>" in shown.replace("\xa0", " ")
    assert "about 10 planks" in shown
    assert "when it came: dry enough" in shown

    there = f"{reverse('shop:from-rack', args=[order.number])}?material={ash.pk}"
    assert "200 board feet" in owner.get(there).content.decode()
    said = owner.post(there, asked(amount="230", counted_in="unit", place="order"), follow=True).content.decode()
    assert "30 board feet more of Ash boards went out than came in: count it, or enter what was bought." in said
    # 200 at 90 p, and what was beyond the stock at the last price.
    assert materials_cost(order) == 23_000 * 9 // 10
    assert "from the rack: 230 board feet" in said.replace("\xa0", " ")
    assert "30 board feet at the last price" in owner.get(page).content.decode()

    owner.post(reverse("shop:purchase-new", args=[ash.pk]), asked(amount="5", paid="120"))
    # One day, one price: 300 for £300.
    assert materials_cost(order) == 23_000
    row = Issue.objects.get()
    back = reverse("shop:back-to-rack", args=[row.pk])
    assert "Only 230 board feet of it can come back" in owner.post(back, asked(amount="12")).content.decode()
    owner.post(back, asked(amount="2"))
    assert materials_cost(order) == round(spent_on([order.pk])[order.pk].pence) == 19_000
    owner.post(reverse("shop:stock-count", args=[ash.pk]), asked(amount="105", counted_in="unit"))
    assert StockCount.objects.get().amount_millionths == 105 * MILLION
    shown = owner.get(page).content.decode().replace("\xa0", " ")
    assert "<b>105 board feet</b> in the rack, about 5 planks" in shown
    assert "Missing when it was counted" in shown
    cost = owner.get(reverse("shop:cost", args=[order.number])).content.decode()
    assert f'href="{page}?issue={row.pk}#{row.token}">£230.00' in cost


def test_a_day_heeds_only_what_was_there_by_then(order: Order, wren: Hand, ash: Material) -> None:
    """What a later bill settles falls to the period of that bill, so that periods add up and a past value stands."""
    Order.objects.update(created_at=NOW - timedelta(days=30))
    in_february, in_march = DAY - timedelta(days=3), DAY + timedelta(days=1)
    buy(feet(ash, 100), entry(wren, in_february), paid_pence=9000)
    issue(feet(ash, 130), entry(wren, in_february), place=Place(order))

    def told(on: date) -> int:
        return work_in_progress(on, UTC).whole.materials

    # Thirty beyond the stock, at the last price.
    assert (told(in_february), materials_cost(order)) == (11_700, 11_700)
    buy(feet(ash, 50), entry(wren, in_march), paid_pence=6000)
    count(feet(ash, 10), entry(wren, in_march + timedelta(days=1)))
    assert (told(in_february), told(in_march), materials_cost(order)) == (11_700, 12_600, 12_600)
    february, march = (read_period(month_of(day)) for day in (in_february, in_march))
    assert (february.materials_pence, march.materials_pence) == (11_700, 900)
    assert [(row.order, row.pence) for row in march.materials] == [(order, 900)]
    assert february.whole + march.whole == order_cost(order).set.total
    # Twenty were left at £1.20, and ten were counted.
    assert (february.missing, march.missing) == (0, 1200)
    bare = MaterialFactory.create(name="Lime")
    issue(feet(bare, 1), entry(wren, in_february), place=Place(order))
    assert read_period(month_of(in_february)).unpriced == work_in_progress(in_march, UTC).unpriced == ("Lime",)


def test_a_bill_that_is_written_down_late_is_told_as_such(
    client: Client, order: Order, wren: Hand, osk: Hand, ash: Material
) -> None:
    """It counts from the day that it came, and what was issued meanwhile costs what it says."""
    other = take_pair()
    buy(feet(ash, 100), entry(wren), paid_pence=9000)
    row = issue(feet(ash, 40), entry(wren, DAY + timedelta(days=1)), place=Place(order))
    bring_back(row, feet(ash, 10), entry(wren, DAY + timedelta(days=1)))
    issue(feet(ash, 60), entry(wren, DAY + timedelta(days=2)), place=Place(other))
    assert (materials_cost(order), materials_cost(other)) == (2700, 5400)
    late = Entry(uuid.uuid4(), DAY - timedelta(days=1), wren.user, NOW + timedelta(days=7))
    buy(feet(ash, 20), late, paid_pence=3000)
    # The twenty at £1.50 went first.
    assert (materials_cost(order), materials_cost(other)) == (3000 + 900, 5400)
    client.force_login(wren.user)
    page = reverse("shop:material-stock", args=[ash.pk])
    said = f"Written down 9 March 2026, when some was issued already: order {order.number} cost £12.00 more by it."
    shown = client.get(page).content.decode()
    assert said in shown
    assert shown.count("Written down") == 1
    client.force_login(osk.user)
    assert "Written down" not in client.get(page).content.decode()


def test_paint_and_bolts_are_bought_counted_and_issued(owner: Client, order: Order, shop: object) -> None:
    """By their unit, without pieces, sizes or dryness."""
    enamel = MaterialFactory.create(name="Enamel", kind="goods", unit="litre", timber="", **NO_SIZE)
    bolts = MaterialFactory.create(name="Bolts", kind="goods", unit="each", timber="", **NO_SIZE)
    there = reverse("shop:purchase-new", args=[enamel.pk])
    page = owner.get(there).content.decode()
    assert "How much, litres" in page
    assert "moisture" not in page
    assert "counted_in" not in page
    owner.post(there, asked(amount="2.5", paid="65.00"))
    assert owner.post(reverse("shop:purchase-new", args=[bolts.pk]), asked(amount="4.5", paid="6")).status_code == 422
    owner.post(reverse("shop:purchase-new", args=[bolts.pk]), asked(amount="40", paid="16.00"))
    for goods, amount in ((enamel, "0.75"), (bolts, "28")):
        url = f"{reverse('shop:from-rack', args=[order.number])}?material={goods.pk}"
        assert owner.post(url, asked(amount=amount, place="order")).status_code == 302
    assert materials_cost(order) == 1950 + 1120
    shown = owner.get(reverse("shop:stores")).content.decode().replace("\xa0", " ")
    assert "<h2>Other goods</h2>" in shown
    assert "<b>1.75 litres</b>" in shown
    assert "<b>12 pieces</b>" in shown
    # What is smaller than a grader's foot is bought by the piece all the same.
    small = {"kind": "blank", "unit": "board_foot", "thickness_nm": IN, "width_nm": IN, "length_nm": 12 * IN}
    pegs = MaterialFactory.create(name="Pegs", **small)
    bought = owner.post(reverse("shop:purchase-new", args=[pegs.pk]), asked(amount="50", paid="10"), follow=True)
    assert "about 50 blanks" in bought.content.decode()
    one = owner.get(reverse("shop:material-stock", args=[bolts.pk])).content.decode()
    assert "Other goods; bought by the piece." in one
    assert "Dry enough" not in one


def test_what_goods_are_short_of_is_to_buy(owner: Client, order: Order, wren: Hand) -> None:
    """What went out beyond what lay there is told; and what the shop keeps at least is bought in time."""
    enamel = MaterialFactory.create(name="Enamel", kind="goods", unit="litre", timber="", **NO_SIZE)
    stores = reverse("shop:stores")
    issue(Much(enamel, 3 * MILLION), entry(wren), place=Place(order))
    page = owner.get(stores).content.decode().replace("\xa0", " ")
    assert "3 litres short" in page
    assert "count it or buy" in page
    assert "Nothing has to be bought" not in page
    count(Much(enamel, 2 * MILLION), entry(wren))
    assert "Nothing has to be bought" in owner.get(stores).content.decode()
    goods = {"name": "Enamel", "kind": "goods", "unit": "litre", "least": "2.5"}
    assert owner.post(reverse("shop:material", args=[enamel.pk]), goods).status_code == 302
    page = owner.get(stores).content.decode().replace("\xa0", " ")
    assert "<b>1 material to buy.</b>" in page
    assert 'data-label="Keep at least">2.5 litres' in page
    assert 'data-label="To buy"><b>0.5 litres</b>' in page


def test_what_is_retired_is_issued_while_it_lies_there(owner: Client, order: Order, wren: Hand, ash: Material) -> None:
    gone = MaterialFactory.create(name="Elm boards", retired_at=NOW)
    buy(feet(ash, 20), entry(wren), paid_pence=1000)
    Material.objects.filter(pk=ash.pk).update(retired_at=NOW)
    url = reverse("shop:from-rack", args=[order.number])
    page = owner.get(url).content.decode()
    assert "Ash boards, retired" in page
    assert "Elm boards" not in page
    assert owner.post(f"{url}?material={ash.pk}", asked(amount="1", place="order")).status_code == 302
    assert Issue.objects.get().material == ash
    for material in (ash, gone):
        assert owner.get(f"{url}?material={material.pk}").status_code == 422


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"amount": "0"}, "Write more than nothing."),
        ({"amount": "1.5"}, "Write a whole number of pieces."),
        ({"amount": "1.5x", "counted_in": "unit"}, "“1.5x” is not an amount: write a number, as 12 or 0.864."),
        ({"amount": "4", "paid": "-1"}, "is less than nothing"),
        ({"amount": "4", "on_year": "2190"}, "That day has not come yet."),
        ({"amount": "4", "felled_on_day": "3", "felled_on_month": "3", "felled_on_year": "2026"}, "after it came"),
    ],
)
def test_a_bad_bill_gets_one_sentence(owner: Client, ash: Material, answers: dict[str, str], sentence: str) -> None:
    response = owner.post(reverse("shop:purchase-new", args=[ash.pk]), asked(paid="180") | answers)
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Purchase.objects.exists()


def test_the_bench_sees_amounts_and_no_money(client: Client, wren: Hand, osk: Hand, ash: Material) -> None:
    buy(feet(ash, 60), entry(wren), paid_pence=7321)
    client.force_login(osk.user)
    for url in (reverse("shop:stores"), reverse("shop:material-stock", args=[ash.pk])):
        shown = client.get(url).content.decode().replace("\xa0", " ")
        assert "60 board feet" in shown
        assert "£" not in shown
        assert "/bought/" not in shown
    assert client.get(reverse("shop:purchase-new", args=[ash.pk])).status_code == 403


def test_what_is_taken_back_comes_to_nothing(order: Order, wren: Hand, ash: Material) -> None:
    bought = buy(feet(ash, 100), entry(wren), paid_pence=9000)
    row = issue(feet(ash, 40), entry(wren), place=Place(order))
    back = bring_back(row, feet(ash, 10), entry(wren, DAY + timedelta(days=3)))
    assert (materials_cost(order), still_out(row)) == (2700, 30 * MILLION)
    with pytest.raises(ChargeRefused, match="take that row back first"):
        take_back(row, token=uuid.uuid4(), reason="x", by=wren.user, at=NOW)
    take_back(back, token=uuid.uuid4(), reason="it stayed", by=wren.user, at=NOW)
    assert materials_cost(order) == 3600
    take_back(row, token=uuid.uuid4(), reason="for another order", by=wren.user, at=NOW)
    assert (materials_cost(order), still_out(row)) == (0, 0)
    take_purchase_back(bought, token=uuid.uuid4(), reason="entered twice", by=wren.user, at=NOW)
    assert Stores().rack(ash.pk).lots == ()
    assert Stores().rack(ash.pk).amount == 0


def test_what_has_no_price_is_named(order: Order, wren: Hand, ash: Material) -> None:
    issue(feet(ash, 40), entry(wren), place=Place(order))
    assert [note for note in order_cost(order).notes if "No price is known for “Ash boards”" in note]
    listed = {"kind": Rate.Kind.MATERIAL, "material": ash, "amount_millipence": 450_000}
    Rate.objects.create(**listed, from_on=DAY, recorded_at=NOW)
    assert materials_cost(order) == 40 * 450
    assert not [note for note in order_cost(order).notes if "No price" in note]


def test_a_wheel_bears_what_was_issued_to_it(order: Order, wren: Hand, ash: Material) -> None:
    wheel = order.lots.get().wheels.all()[0]
    buy(feet(ash, 30), entry(wren), paid_pence=1000)
    issue(feet(ash, 10), entry(wren), place=Place(order, wheel=wheel))
    issue(feet(ash, 10), entry(wren), place=Place(order))
    cost = order_cost(order)
    assert [one.cost.materials_pence for one in cost.wheels] == [500, 167]
    assert cost.set.materials_pence == 667


def test_what_came_back_twice_is_there_once(order: Order, wren: Hand, ash: Material) -> None:
    row = issue(feet(ash, 40), entry(wren), place=Place(order))
    once = entry(wren)
    assert bring_back(row, feet(ash, 40), once) == bring_back(row, feet(ash, 40), once)
    with pytest.raises(ChargeRefused, match="no more is out"):
        bring_back(row, feet(ash, 1), entry(wren))
    with pytest.raises(ChargeRefused, match="can’t come back before"):
        bring_back(row, feet(ash, 1), entry(wren, DAY - timedelta(days=1)))
    with pytest.raises(ChargeRefused, match="sent before with other content"):
        count(feet(ash, 3), Entry(count(feet(ash, 2), once).token, DAY, wren.user, NOW))


def test_an_order_takes_nothing_after_it_was_fetched(order: Order, wren: Hand, ash: Material) -> None:
    """What it took by then may be told later; and what was told stays told, and may come back."""
    before, day_after = entry(wren), DAY + timedelta(days=1)
    row = issue(feet(ash, 4), entry(wren, day_after), place=Place(order))
    set_state(order, Order.State.FETCHED, on=DAY)
    assert issue(feet(ash, 4), replace(before, on=day_after, token=row.token), place=Place(order)) == row
    issue(feet(ash, 4), before, place=Place(order))
    with pytest.raises(ChargeRefused, match="was fetched on 2 March 2026: it takes nothing after that day"):
        issue(feet(ash, 4), entry(wren, day_after), place=Place(order))
    assert bring_back(row, feet(ash, 4), entry(wren, day_after)).amount_millionths == -4 * MILLION
    set_state(order, Order.State.DROPPED, on=DAY)
    with pytest.raises(ChargeRefused, match="was dropped on"):
        issue(feet(ash, 4), entry(wren, day_after), place=Place(order))


def test_orders_want_what_is_neither_begun_nor_issued(owner: Client, wren: Hand, osk: Hand) -> None:
    """A pair has 28 spokes of oak; what was begun, and what was issued, comes off what is to be bought."""
    boxed = {"box_large_nm": 3 * IN, "box_small_nm": 3 * IN, "box_length_nm": 10 * IN}
    order = take_pair(rows=[WheelRow(makeup(**boxed), "hind pair", ["near_hind", "off_hind"])])
    billets = {"kind": "blank", "timber": "oak", "unit": "each", "thickness_nm": 2 * IN, "width_nm": 3 * IN}
    oak = MaterialFactory.create(name="Oak billets", length_nm=36 * IN, **billets)
    page = owner.get(reverse("shop:stores")).content.decode().replace("\xa0", " ")
    assert "<b>28 blanks</b>" in page
    assert "Hub blanks, elm" in page  # of which nothing is kept
    record(fact(task(order, "rough-spoke"), osk, made=8), now=NOW)
    page = owner.get(reverse("shop:stores")).content.decode().replace("\xa0", " ")
    assert "<b>20 blanks</b>" in page
    issue(Much(oak, 18 * MILLION, 18), entry(wren), place=Place(order))
    count(Much(oak, 4 * MILLION, 4), entry(wren))
    page = owner.get(reverse("shop:stores")).content.decode().replace("\xa0", " ")
    assert "10 blanks" in page
    assert "<b>6 blanks</b>" in page
    shown = owner.get(reverse("shop:material-stock", args=[oak.pk])).content.decode().replace("\xa0", " ")
    assert "<b>10 blanks</b>" in shown


def test_the_pages_ask_no_more_for_more_rows(owner: Client, order: Order, wren: Hand, ash: Material) -> None:
    urls = [reverse("shop:stores"), reverse("shop:material-stock", args=[ash.pk])]
    urls.append(reverse("shop:cost", args=[order.number]))
    urls += ["/costs/?from=2026-03-01&to=2026-03-31", "/costs/work-in-progress/?on=2026-03-02"]
    asked_for = []
    for rows in (2, 9):
        for _ in range(rows):
            MaterialFactory.create(name=str(uuid.uuid4()))
            buy(feet(ash, 100), entry(wren), paid_pence=9000)
            issue(feet(ash, 40), entry(wren), place=Place(order))
            issue(feet(ash, 5), entry(wren), place=Place(take_pair()))
        with CaptureQueriesContext(connection) as queries:
            for url in urls:
                assert owner.get(url).status_code == 200
        asked_for.append(len(queries))
    assert asked_for[0] == asked_for[1]


def test_amounts_read_back_as_they_were_typed() -> None:
    for text, amount in {"12": 12_000_000, "1,200": 1_200_000_000, "0.864": 864_000, ".5": 500_000}.items():
        assert parse_amount(text) == amount == parse_amount(plain_amount(amount))
    for text in ("", ".", "-1", "1e3", "1.2345678", "1000000", "7" * 40):
        with pytest.raises(AmountError):
            parse_amount(text)


def test_amounts_in_words() -> None:
    assert [told(amount, "m3") for amount in (864_00, 7)] == ["0.0864 m³", "0.000007 m³"]
    assert [told(amount * MILLION, "board_foot") for amount in (1, 12, -12)] == [
        "1 board foot",
        "12 board feet",
        "−12 board feet",
    ]
    blanks = Material(kind="blank", unit="each", thickness_nm=IN, width_nm=IN, length_nm=IN)
    assert [amount_told(blanks, amount * MILLION) for amount in (1, 30)] == ["1 blank", "30 blanks"]
    bar = Material(kind="bar", unit="kg", thickness_nm=10_000_000, width_nm=40_000_000, length_nm=6_000_000_000)
    assert one_piece(bar) * 1000 == 18_840  # 0.04 × 0.01 × 6 m³ at 7850 kg


def test_timber_is_dry_by_the_meter_or_by_the_rule() -> None:
    assert by_the_meter(230).endswith("dry enough")
    assert by_the_meter(245).endswith("1.5\xa0% over")
    assert by_the_rule(date(2024, 3, 31), 2 * IN, DAY) == "by the rule not dry before 31 March 2026"
    assert by_the_rule(date(2024, 3, 2), 2 * IN, DAY) == "dry by the rule since 2 March 2026"
    assert by_the_rule(date(2024, 3, 2), None, DAY) == "felled 2 March 2024"
    assert months_on(date(2024, 1, 31), 13) == date(2025, 2, 28)


def test_the_unit_stands_once_anything_was_written_down(owner: Client, wren: Hand, ash: Material) -> None:
    count(feet(ash, 3), entry(wren))
    told = {"name": "Ash boards", "kind": "plank", "timber": "ash", "unit": "metre", "thickness": "2 in"}
    page = owner.post(reverse("shop:material", args=[ash.pk]), told | {"width": "12 in", "length": "10 ft"})
    assert page.status_code == 422
    assert "It has stock a board foot: for another unit add another material." in page.content.decode()
