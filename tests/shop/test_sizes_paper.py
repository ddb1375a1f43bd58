"""The make-up sheet on paper: every figure of the page is on it, with its rule; for a make-up and for a lot."""

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.makeup.problems import PLAIN_WORDS
from jobs.measures import Unit
from jobs.patterns.tiles import Paper
from shop.makeup_page import MakeUpPage
from shop.models import Hand, Shop
from shop.sizes_page import SizesPage
from tests.factories import IN, lot_of, makeup, take_pair
from tests.jobs.patterns_read import patterns, said
from tests.jobs.test_fit import TOLD
from tests.papers_read import pages_of, text_of
from tests.shop.order_forms import in_library

MM = 25.4 / 72


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


@pytest.mark.parametrize(
    ("unit", "paper", "told"),
    [("mm", "a4", TOLD), ("in", "letter", {}), ("in", "a4", TOLD | {"spokes": 16, "felloes": 8})],
)
def test_every_figure_of_the_page_is_on_the_paper_with_its_rule(
    unit: Unit, paper: Paper, told: dict[str, Any], desk: Client, poppler: None
) -> None:
    Shop.objects.update(units=unit)
    row, made = in_library("Ours", **told), makeup(**told)
    answer = desk.get(reverse("shop:makeup-sizes-paper", args=[row.pk, paper]), {"circle": "8 in"})
    assert answer["Content-Type"] == "application/pdf"
    words = text_of(answer.content)
    page = SizesPage(made, words=PLAIN_WORDS, unit=unit, new_work=False, circle_nm=8 * IN)
    rows = [row for group in page.groups for row in group.rows]
    assert len(rows) > 50
    rules: dict[str, str] = {}
    for size in rows:
        number = f" {rules.setdefault(size.how, str(len(rules) + 1))}" if size.how else ""
        assert f" {size.label} {size.shown}{' ' if size.small else ''}{size.small}{number} " in words
    sources = words.split("Rules and sources ", 1)[1]
    assert all(f" {how} " in f"{sources} " for how in rules)
    for group in MakeUpPage(made, words=PLAIN_WORDS, unit=unit).groups:
        for measure in group.rows:
            assert " ".join(filter(None, (measure.label, measure.shown, measure.other))) in words
    assert all(f"{hole.number} {hole.angle} {hole.right} {hole.up} " in words for hole in page.holes)
    assert all(sentence in words for sentence in page.warnings)
    drawn = patterns(made, unit)
    for drawing in (drawn["front"], drawn["section"]):
        assert all(note in words for note in drawing.notes)
        assert all(figure in words for figure in said(drawing).values())
    for sheet in pages_of(answer.content):
        assert min(sheet.margins()) * MM > 10
        assert (sheet.width * MM, sheet.height * MM) == pytest.approx(
            {"a4": (210, 297), "letter": (215.9, 279.4)}[paper], abs=0.1
        )


def test_the_pages_lead_to_papers_that_know_what_was_asked(desk: Client, poppler: None) -> None:
    order = take_pair(carriage="Omnibus", customer="Mrs Long")
    args = [order.number, lot_of(order).pk]
    page = unescape(desk.get(reverse("shop:lot-sizes", args=args), {"gap": "1 mm", "circle": "", "other": "1"}).text)
    for paper, words in (("a4", "PDF on A4"), ("letter", "PDF on Letter")):
        url = reverse("shop:lot-sizes-paper", args=[*args, paper])
        assert f'<a class="act-outline" href="{url}?gap=1+mm" download>{words}</a>' in page
    answer = desk.get(reverse("shop:lot-sizes-paper", args=[*args, "a4"]), {"gap": "1 mm"})
    assert answer["Content-Disposition"] == f'attachment; filename="hind pair, order {order.number}, sizes, A4.pdf"'
    words = text_of(answer.content)
    assert f"Make-up and sizes: hind pair, order {order.number}" in words
    assert "Omnibus, for Mrs Long. Due Friday 20 March." in words
    # Seven joints of 1 mm.
    assert "All joints together left open 7 mm" in words


def test_a_wrong_question_and_a_paper_that_is_not_kept(desk: Client, client: Client, bram: Hand) -> None:
    row = in_library()
    url = reverse("shop:makeup-sizes-paper", args=[row.pk, "a4"])
    answer = desk.get(url, {"gap": "wide"})
    assert answer.status_code == 422
    assert answer.text.startswith("Each joint left open at the sole: “wide” cannot be read as a length")
    # The page does not hand on what it could not read.
    assert f'href="{url}"' in desk.get(reverse("shop:makeup-sizes", args=[row.pk]), {"gap": "wide"}).text
    assert desk.get(reverse("shop:makeup-sizes-paper", args=[row.pk, "foolscap"])).status_code == 404
    client.force_login(bram.user)
    assert client.get(url).status_code == 403
