"""The cutting list on paper: every blank and every plank of the page, and money only for who may see it."""

from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import Order
from shop.models import Hand, Material, Shop
from tests.factories import IN, MaterialFactory, WheelRow, makeup, take_pair
from tests.papers_read import pages_of, text_of
from tests.shop.order_forms import in_library
from tests.shop.test_timber_list import BOXED, priced

POINT = 25.4 / 72
ELM = {"hub-elm-girth": "30 in", "hub-elm-length": "4 ft"}


@pytest.fixture
def ash(wren: Hand) -> Material:
    """Boards at £4.35 a board foot."""
    return priced(MaterialFactory.create(), 435_000, wren.user)


def omnibus() -> Order:
    rows = [
        WheelRow(makeup(), "fore pair and spare", ["near", "off", "loose"]),
        WheelRow(makeup(**BOXED), "hind pair and spare", ["near", "off", "loose"]),
        WheelRow(makeup(rim="bent", felloes=2), "gig wheels", ["near", "off", "loose"]),
        WheelRow(makeup(height_nm=30 * IN, **BOXED), "little wheels", ["loose"] * 3),
    ]
    return take_pair(carriage="Omnibus of many seats " * 4, rows=rows)


@pytest.mark.parametrize(("units", "paper"), [("mm", "letter"), ("in", "a4")])
def test_every_row_of_the_page_is_on_the_paper(
    units: str,
    paper: str,
    owner: Client,
    ash: Material,
    poppler: None,
) -> None:
    Shop.objects.update(units=units)
    order = omnibus()
    order.lots.filter(name="little wheels").update(spare_felloes=1)
    answered = owner.get(reverse("shop:order-timber", args=[order.number]), ELM)
    told = answered.context["told"]
    data = owner.get(reverse("shop:order-timber-paper", args=[order.number, paper]), ELM).content
    words = text_of(data)
    assert len(told.list.groups) == 4
    assert "Little wheels 1 of them stays with the set " in words
    for group in told.list.groups:
        for row in group.rows:
            figures = (row.size, row.needed, row.spares, row.number, row.board_feet or "–", row.cubic_metres or "–")
            assert " ".join(map(str, figures)).replace("\N{NO-BREAK SPACE}", " ") in words
        stock = told.rows[group.key]
        assert group.heading in words
        assert stock.missing in words
        assert f"{stock.pieces} of Ash boards" in words or not stock.material
        assert all(f" {cut.count} {cut.cuts}" in words for cut in stock.patterns)
    assert "84 left out below: how long they are wants the box’s outside measures" in words
    assert f"Timber together {told.total}, without hub blanks, elm; spoke blanks" in words
    assert "£4.35 a board foot, £" in words
    assert all(how.replace("\N{NO-BREAK SPACE}", " ") in words for how in told.hows)
    for page in pages_of(data):
        assert page.overlapping() == []
        assert min(page.margins()) * POINT > 10


def test_the_bench_reads_no_prices_on_it(client: Client, order: Order, ash: Material, osk: Hand, poppler: None) -> None:
    client.force_login(osk.user)
    words = text_of(client.get(reverse("shop:order-timber-paper", args=[order.number, "a4"])).content)
    assert "planks of Ash boards" in words or "plank of Ash boards" in words
    assert "£" not in words
    assert "Materials" not in words.split("A spoke’s blank is as long")[0]


def test_pages_lead_to_it_with_what_was_asked(owner: Client, order: Order, poppler: None) -> None:
    row = in_library("Ours: a/b")
    page = unescape(owner.get(reverse("shop:makeup-timber", args=[row.pk]), {"wheels": "3", "kerf": "", "x": "1"}).text)
    url = reverse("shop:makeup-timber-paper", args=[row.pk, "letter"])
    assert f'href="{url}?wheels=3" download>PDF on Letter</a>' in page
    answer = owner.get(url, {"wheels": "3"})
    assert answer["Content-Disposition"] == 'attachment; filename="Ours a b, timber, Letter.pdf"'
    assert "The blanks of 3 wheels, with what is left on them" in text_of(answer.content)
    wrong = owner.get(reverse("shop:order-timber-paper", args=[order.number, "a4"]), {"kerf": "wide"})
    assert (wrong.status_code, wrong["Content-Type"]) == (422, "text/plain; charset=utf-8")
    assert "Width of a cut: “wide” cannot be read as a length" in wrong.text
    assert owner.get(reverse("shop:order-timber-paper", args=[order.number, "foolscap"])).status_code == 404
