"""A quotation on paper: all that a customer should see, and nothing of what it rests on."""

import re
from datetime import date, timedelta

import pytest
from django.test import Client

from jobs.measures import Unit
from jobs.orders import WheelRow
from jobs.papers import Document, Signing, Standing
from shop.asked import Asked
from shop.models import Hand, Quote, Revision, Shop
from shop.money import format_pence
from shop.quote_paper import Price, quote_paper
from shop.quote_standing import how_it_stands
from shop.quoting.actions import Item, accept, put_items, refuse, revise, send
from shop.quoting.frozen import thaw
from shop.quoting.reckoning import Reckoned
from tests.factories import NOW, makeup
from tests.papers_read import pages_of, text_of
from tests.shop.test_quoting import BOXED, TODAY, quote, reckoned, wren

__all__ = ["wren"]

ITEMS = [
    Item("goods", "A pair of boxes", 9137),
    Item("outwork", "Tyres welded", 4519),
    Item("rate", "A spoke found shaken", 2600, per="spoke"),
]
# Words of the trade's books that a customer's paper has no place for.
INWARD = (
    "cost",
    "margin",
    "markup",
    "labour",
    "overhead",
    "profit",
    "likely",
    "chance",
    "timing",
    "book time",
    "rests",
)


def asked(unit: Unit = "mm") -> Asked:
    shop = Shop.objects.get()
    return Asked(shop, shop.words, unit, shop.zone, NOW, is_desk=True)


def offered(by: Hand, *rows: WheelRow) -> Quote:
    """A quotation that was sent, with something of everything."""
    Shop.objects.update(address="12 Alder Lane\nWithy Ford", phone="01632 960018", tax_name="VAT", tax_number="GB 1")
    one = quote(by, contact="The Mews, Corbel", **({"rows": list(rows)} if rows else {}))
    draft = one.revisions.get()
    put_items(draft, ITEMS)
    told = {"tax_bp": 2000, "deposit_bp": 3000, "weeks": 6, "terms": "The rest\nwhen fetched.", "excluded": "Axles."}
    told |= {"boxes": "theirs"}
    Revision.objects.filter(pk=draft.pk).update(**told)
    draft.refresh_from_db()
    send(one, reckoned(draft), seen=draft.token, by=by.user, at=NOW, on=TODAY)
    return one


def paper_of(revision: Revision, unit: Unit = "mm") -> Document:
    stands = how_it_stands(revision, today=TODAY)
    pence = revision.price_pence or 0
    return quote_paper(
        revision, Price(pence, revision.tax_pence or 0, revision.deposit_pence or 0), stands, asked(unit)
    )


def inward_figures(told: Reckoned) -> set[str]:
    """Each sum and each time that the price rests on, as a page of the shop's own would write it."""
    sums = [row.pence for row in (*told.work, *told.timber, *told.iron)]
    sums += [told.timber_pence, told.iron_pence, told.outwork_pence, told.goods_pence, 9137, 4519]
    spreads = (told.labour, told.overhead, told.cost.spread)
    sums += [getattr(one, part) for one in spreads for part in ("low", "likely", "high")]
    hours = [getattr(told.hours, part) // 60 for part in ("low", "likely", "high")]
    return {format_pence(pence) for pence in sums if pence} | {f"{each} h" for each in hours}


@pytest.mark.django_db
def test_a_customer_reads_what_is_offered_and_nothing_behind_it(wren: Hand, client: Client, poppler: None) -> None:
    one = offered(wren)
    out = one.revisions.get()
    Revision.objects.update(last_on=date(2099, 4, 1))
    client.force_login(wren.user)
    data = client.get(f"/quotes/{one.number}/paper/a4/").content
    said = text_of(data)
    for part in (
        "Alder Lane Wheel Shop 12 Alder Lane Withy Ford 01632 960018 VAT number GB 1",
        "For Corbel Hall stables The Mews, Corbel",
        "Hind pair, near hind, off hind: new wheels",
        "1193.8 mm over the iron, 1168.4 mm over the wood",
        "elm, 203.2 mm by 254 mm long",
        "14, oak, 50.8 × 38.1 mm",
        "7, ash, 38.1 × 63.5 mm",
        "iron, 38.1 × 12.7 mm, 7 bolts",
        "Box yours, fitted by us",
        "3 coats",
        "A pair of boxes Tyres welded",
        "A spoke found shaken £26.00 for each spoke",
        f"Price {format_pence(out.price_pence)} VAT of 20 % {format_pence(out.tax_pence)}",
        f"In all {format_pence(out.total_pence)}",
        f"Deposit, 30 % with the order {format_pence(out.deposit_pence)}",
        f"Then left to pay {format_pence(out.total_pence - out.deposit_pence)}",
        "about 6 weeks after the order is placed and the deposit is paid.",
        "Payment The rest when fetched.",
        "Not included Axles.",
    ):
        assert part in said
    before = thaw(out.frozen)
    assert len(inward_figures(before)) > 30
    assert [
        figure for figure in inward_figures(before) if re.search(rf"(?<![\d.,]){re.escape(figure)}(?!\d)", said)
    ] == []
    assert [word for word in INWARD if word in said.lower()] == []
    for page in pages_of(data):
        assert min(page.margins()) * 25.4 / 72 > 10


@pytest.mark.django_db
def test_only_what_is_offered_today_can_be_signed(wren: Hand) -> None:
    one = offered(wren)
    first = one.revisions.get()

    def stands(revision: Revision) -> tuple[str, bool]:
        revision.refresh_from_db()
        paper = paper_of(revision)
        return paper.across, any(isinstance(piece, Signing) for piece in paper.pieces)

    assert stands(first) == ("", True)
    assert how_it_stands(first, today=first.last_on) == how_it_stands(first, today=TODAY)
    late = how_it_stands(first, today=first.last_on + timedelta(days=1))
    assert (late.across, late.may_sign, "ended on 1 April 2026" in late.said) == ("EXPIRED", False, True)
    again = revise(one, at=NOW)
    assert stands(again) == ("DRAFT", False)
    assert paper_of(again).title == "Draft of a quotation"
    send(one, reckoned(again), seen=again.token, by=wren.user, at=NOW, on=TODAY)
    assert stands(first) == ("REPLACED", False)
    assert "replaced by revision 2" in how_it_stands(first, today=TODAY).said
    order = accept(one, again, by=wren.user, at=NOW, on=TODAY)
    one.refresh_from_db()
    again.quote = one
    assert stands(again) == ("", False)
    assert f"order {order.number}" in how_it_stands(again, today=TODAY).said
    other = offered(wren)
    no = refuse(other, other.revisions.get(), note="", by=wren.user, at=NOW)
    assert stands(no) == ("NOT TAKEN UP", False)


@pytest.mark.django_db
def test_repairs_small_and_many_wheels_are_told_for_what_they_are(wren: Hand, client: Client) -> None:
    old = WheelRow(makeup(**BOXED, tyre="rubber"), "old pair", ["near", "off"], "new_felloes")
    many = WheelRow(makeup(**BOXED, rim="bent", felloes=2, bands=(), coats=0), "truck wheels", ["loose"] * 8)
    bare = WheelRow(makeup(**BOXED, tyre="none", tyre_width_nm=0, tyre_thickness_nm=0, lined=True), "one", ["loose"])
    one = quote(wren, rows=[old, many, bare])
    document = paper_of(one.revisions.get(), "in")
    said = str(document)
    (drawn,) = (piece for piece in document.pieces if isinstance(piece, Standing))
    # Eleven wheels are more than a row: one of each kind.
    assert [words for _, words in drawn.wheels] == [
        "Old pair: two wheels",
        "Truck wheels: eight wheels",
        "One: one wheel",
    ]
    assert "repair: new felloes" in said
    assert "stripped, with the tyre off; looked over" in said
    assert "rubber in a channel" in said
    assert "2 bent half-rims, ash" in said
    assert "46 in over the wood" in said
    assert "left in the wood" in said
    assert "3 coats, lined" in said
    assert "No tax is added to this price." in said
    alone = quote(wren, rows=[WheelRow(makeup(**BOXED), "pair", ["near", "off"])]).revisions.get()
    (drawn,) = (piece for piece in paper_of(alone).pieces if isinstance(piece, Standing))
    assert [words for _, words in drawn.wheels] == ["Near", "Off"]
    client.force_login(wren.user)
    url = f"/quotes/{one.number}/paper"
    answers = [client.get(url + more).status_code for more in ("/a4/?revision=2", "/a4/?revision=x", "/foolscap/")]
    assert answers == [404, 404, 404]
    # A draft without a box has no price yet: the paper says so.
    assert client.get(f"{url}/letter/?revision=1")["Content-Type"] == "application/pdf"
