"""The smith's sheet on paper: every figure of the pages, a row of boxes for each wheel, and the cautions in full."""

from collections.abc import Iterable
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from jobs.iron.fire import USUAL_WATCH_MINUTES
from jobs.measures import Unit
from jobs.models import Order
from jobs.papers import Boxes, Table
from shop.asked import Asked
from shop.forms.iron import OrderIronForm
from shop.iron_paper import order_iron_paper
from shop.iron_rows import IronBar
from shop.iron_words import LOCAL_RULES, hot_cautions
from shop.many_wheels import A_PAGE
from shop.models import Hand, Shop
from shop.order_iron import OrderIron
from tests.factories import IN, NOW, WheelRow, makeup, take_pair
from tests.papers_read import pages_of, text_of
from tests.shop.test_order_iron import MM, give_draw, measure, words_of
from tests.shop.test_trades import finish_up_to

POINT = 25.4 / 72


def here(shop: Shop) -> Asked:
    shop.refresh_from_db()
    unit: Unit = "in" if shop.units == "in" else "mm"
    return Asked(shop, shop.words, unit, shop.zone, NOW, is_desk=True)


def figures(bars: Iterable[IronBar]) -> list[str]:
    """What the page's main table shows of each bar and hoop."""
    found = []
    for bar in bars:
        found += [bar.name[1:], f"{bar.wanted} wanted", bar.length, bar.mass, bar.price]
        for row in bar.rows:
            found += [row.run, row.run_by, row.turns, row.warning, row.wrong, row.wearers.lot.name]
            found += [wheel.label for wheel in row.wearers.wheels]
            if row.sums:
                sums = row.sums
                found += [f"{row.run} {sums.draw} {sums.inside} {sums.cut} {sums.heat[:1].upper()}{sums.heat[1:]}"]
                found += [row.draw_by, sums.smaller, sums.cut_parts, sums.mass, sums.price, sums.refused]
                found += [sums.heat_behind, sums.inside_turns, row.edge]
                found += [said for each in (*sums.old_rules, *sums.books) for said in each]
    return [each for each in found if each]


def omnibus() -> Order:
    """Twelve wheels in four lots: one of rubber, one without a draw, one with more than any in print."""
    rows = [
        WheelRow(makeup(draw_nm=IN // 2), "fore pair and spare", ["near", "off", "loose"]),
        WheelRow(makeup(draw_nm=2 * IN, tyre_thickness_nm=3 * IN // 8), "hind pair", ["near", "off", "loose"]),
        WheelRow(makeup(tyre="rubber", fastening="plain"), "gig wheels", ["near", "off", "loose"]),
        WheelRow(makeup(height_nm=30 * IN), "little wheels", ["loose"] * 3),
    ]
    return take_pair(carriage="Omnibus of many seats " * 4, customer="The Honourable Company " * 4, rows=rows)


@pytest.mark.parametrize(("unit", "paper"), [("mm", "a4"), ("in", "letter")])
def test_every_figure_of_an_order_is_on_the_paper(
    unit: Unit, paper: str, owner: Client, osk: Hand, shop: Shop, poppler: None
) -> None:
    Shop.objects.update(units=unit)
    order = omnibus()
    measure(order, osk, 1, run=3680 * MM, inside_run=3669 * MM)
    measure(order, osk, 2, run=3680 * MM, inside_run=3681 * MM)
    asked = {"traveller": "600 mm", "band_draw": "2 mm", "price": "2.40", "cold": "10", "clearance": "7 mm"}
    answer = owner.get(reverse("shop:order-iron-paper", args=[order.number, paper]), asked)
    words = text_of(answer.content)
    form = OrderIronForm(asked, unit=unit, currency=shop.currency)
    assert form.is_valid()
    iron = OrderIron(order, form.terms, here(shop))
    told = figures(iron.bars)
    assert len(told) > 200
    assert [each for each in told if each not in words] == []
    for caution in hot_cautions(unit=unit, watch_minutes=USUAL_WATCH_MINUTES):
        assert f"{caution.lead} {caution.said}" in words
    assert LOCAL_RULES in words
    assert "More draw than the" in words
    assert "Inside, the hoop runs longer than the wood" in words
    assert "No draw is told: nothing follows until it is." in words
    assert "Holmstrom, Modern Blacksmithing, 1901" in words
    assert "Gig wheels: a rubber tyre" in words
    assert words.count("The Honourable Company") == 4
    for page in pages_of(answer.content):
        assert page.overlapping() == []
        assert min(page.margins()) * POINT > 10


def test_each_hoop_of_each_wheel_has_its_row_of_boxes_and_many_are_counted(shop: Shop, order: Order) -> None:
    give_draw(order)
    many = take_pair(rows=[WheelRow(makeup(bands=(), draw_nm=IN // 2), "loose wheels", ["loose"] * (A_PAGE + 2))])
    boxes = {}
    for each in (order, many):
        form = OrderIronForm({}, unit="mm", currency="GBP")
        assert form.is_valid()
        paper = order_iron_paper(OrderIron(each, form.terms, here(shop)), here(shop))
        lines = [line for table in paper.pieces if isinstance(table, Table) for block in table.blocks for line in block]
        boxes[each.number] = [line.label for line in lines if isinstance(line, Boxes)]
        assert ("And 2 wheels more, alike." in str(lines)) == (each == many)
    # A tyre and two bands, each for two wheels.
    assert boxes[order.number] == ["near hind", "off hind"] * 3
    assert len(boxes[many.number]) == A_PAGE


def test_the_pages_lead_to_papers_with_the_same_terms(owner: Client, order: Order, osk: Hand, poppler: None) -> None:
    give_draw(order)
    for name, args in (("order-iron", [order.number]), ("hot-day", [])):
        answer = unescape(owner.get(reverse(f"shop:{name}", args=args), {"weld": "hasluck", "clearance": "2 mm"}).text)
        for paper in ("a4", "letter"):
            url = reverse(f"shop:{name}-paper", args=[*args, paper])
            assert f'href="{url}?weld=hasluck&clearance=2+mm" download>PDF on ' in answer
    finish_up_to(order, "weld-tyre", osk)
    answer = owner.get(reverse("shop:hot-day-paper", args=["letter"]), {"weld": "hasluck", "watch": "20"})
    words, page = text_of(answer.content), words_of(owner.get(reverse("shop:hot-day"), {"weld": "hasluck"}).text)
    assert "16 mm for the weld" in words
    assert "still: Bend and weld tyre, then Shrink on tyre, quench." in words
    assert "20 minutes is under the 30 that United States rules ask for" in words
    assert "Ready now: bar 38.1 × 12.7 mm 2 wanted: 7.43 m of bar" in words
    assert "7.43 m of bar" in page


def test_bad_terms_no_such_paper_and_who_may(owner: Client, order: Order, client: Client, bram: Hand) -> None:
    urls = [reverse("shop:order-iron-paper", args=[order.number, "a4"]), reverse("shop:hot-day-paper", args=["a4"])]
    for url in urls:
        answer = owner.get(url, {"clearance": "60 mm"})
        assert (answer.status_code, answer["Content-Type"]) == (422, "text/plain; charset=utf-8")
        assert answer.text.startswith("Clearance on the diameter: Write 50 mm or less")
        assert owner.get(url.replace("a4", "foolscap")).status_code == 404
    # A page with a wrong question hands it on to no paper.
    wrong = owner.get(reverse("shop:hot-day"), {"clearance": "60 mm"})
    assert f'href="{urls[1]}"' in wrong.text
    assert owner.get(reverse("shop:order-iron-paper", args=[order.number + 1, "a4"])).status_code == 404
    client.force_login(bram.user)
    assert [client.get(url).status_code for url in urls] == [200, 200]
    Hand.objects.filter(pk=bram.pk).update(trade=Hand.Trade.PAINTER)
    assert [client.get(url).status_code for url in urls] == [403, 403]
