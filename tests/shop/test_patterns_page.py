"""The page of patterns and its files: of a make-up and of a lot, in the shop's own words."""

from html import unescape

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import LibraryMakeUp
from shop.models import Hand, Shop
from tests.factories import IN, lot_of, take_pair
from tests.jobs.test_fit import TOLD
from tests.shop.order_forms import in_library

KINDS = {"a4": "application/pdf", "letter": "application/pdf", "svg": "image/svg+xml", "dxf": "image/vnd.dxf"}
STARTS = {"a4": b"%PDF-", "letter": b"%PDF-", "svg": b"<?xml", "dxf": b"  0\nSECTION"}


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def text(client: Client, url: str, **asked: str) -> str:
    return unescape(client.get(url, asked).text).replace("\u00a0", " ")


def test_it_works(desk: Client) -> None:
    row = in_library("Ours", **TOLD)
    url = reverse("shop:makeup-patterns", args=[row.pk])
    for beside in ("shop:makeup-sizes", "shop:makeup"):
        assert url in text(desk, reverse(beside, args=[row.pk]))
    page = text(desk, url)
    for heading in ("Felloe pattern", "Mortise and tenon", "Wheel cut through", "Wheel from its face"):
        assert f"<h2>{heading}</h2>" in page
    for words in ("PDF on A4", "PDF on Letter", "SVG", "DXF"):
        assert page.count(f">{words}</a>") == 4
    assert "Richardson, Practical Carriage Building, volume 1, 1891" in page
    # 46 in over the wood, 7 felloes: 46 in × sin(180° ÷ 7).
    assert "<dt>Chord of the sole</dt><dd>506.95 mm</dd>" in page


@pytest.mark.parametrize("form", KINDS)
@pytest.mark.parametrize("key", ["felloe", "section", "front", "mortise-and-tenon"])
def test_files_are_kept_under_plain_names(desk: Client, key: str, form: str) -> None:
    row = in_library("Ours: a/b", **TOLD)
    answer = desk.get(reverse("shop:makeup-pattern", args=[row.pk, key, form]))
    assert answer.status_code == 200
    assert answer["Content-Type"] == KINDS[form]
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer.content.startswith(STARTS[form])
    assert answer["Content-Disposition"].startswith('attachment; filename="Ours a b, ')


def test_the_name_says_what_it_is(desk: Client) -> None:
    row = in_library("Ours", **TOLD)
    names = [
        desk.get(reverse("shop:makeup-pattern", args=[row.pk, "felloe", form]))["Content-Disposition"] for form in KINDS
    ]
    endings = ("felloe pattern, A4.pdf", "felloe pattern, Letter.pdf", "felloe pattern.svg", "felloe pattern.dxf")
    assert names == [f'attachment; filename="Ours, {ending}"' for ending in endings]


def test_a_lot_has_its_own(desk: Client) -> None:
    order = take_pair()
    lot = lot_of(order)
    url = reverse("shop:lot-patterns", args=[order.number, lot.pk])
    for beside in ("shop:lot-sizes", "shop:lot"):
        assert url in text(desk, reverse(beside, args=[order.number, lot.pk]))
    file = reverse("shop:lot-pattern", args=[order.number, lot.pk, "felloe", "dxf"])
    assert file in text(desk, url)
    assert f"hind pair, order {order.number}, felloe pattern.dxf" in desk.get(file)["Content-Disposition"]
    assert desk.get(reverse("shop:lot-patterns", args=[order.number + 1, lot.pk])).status_code == 404


def test_the_bench_may_read_it_and_the_smith_not(client: Client, osk: Hand) -> None:
    row = in_library()
    urls = [
        reverse("shop:makeup-patterns", args=[row.pk]),
        reverse("shop:makeup-pattern", args=[row.pk, "felloe", "a4"]),
    ]
    client.force_login(osk.user)
    assert [client.get(url).status_code for url in urls] == [200, 200]
    Hand.objects.filter(pk=osk.pk).update(role=Hand.Role.SMITH)
    assert [client.get(url).status_code for url in urls] == [403, 403]


@pytest.mark.parametrize(("key", "form"), [("felloe", "exe"), ("spoke", "svg"), ("index-plate", "svg")])
def test_what_is_not_drawn_is_not_there(desk: Client, key: str, form: str) -> None:
    row = in_library(**TOLD)
    assert desk.get(reverse("shop:makeup-pattern", args=[row.pk, key, form])).status_code == 404


def test_an_index_plate_is_drawn_when_asked_for_and_its_files_know_the_circle(desk: Client) -> None:
    row = in_library(spokes=8, felloes=4)
    url = reverse("shop:makeup-patterns", args=[row.pk])
    bare = text(desk, url)
    assert "A plate with 8 holes to turn the hub by is drawn once its pitch circle is told." in bare
    assert "index-plate/svg" not in bare
    page = text(desk, url, circle="6 in")
    # 8 holes on 6 in: 58.32 mm apart.
    assert "<dt>From hole to hole, straight</dt><dd>58.32 mm</dd>" in page
    file = reverse("shop:makeup-pattern", args=[row.pk, "index-plate", "svg"])
    assert f"{file}?circle=6+in" in page
    assert 'r="76.2"' in desk.get(f"{file}?circle=6+in").text


@pytest.mark.parametrize(
    ("asked", "said"),
    [({"circle": "0"}, "A pitch circle has some size"), ({"gap": "wide"}, "“wide” cannot be read as a length")],
)
def test_a_wrong_question_is_said(desk: Client, asked: dict[str, str], said: str) -> None:
    row = in_library()
    page = desk.get(reverse("shop:makeup-patterns", args=[row.pk]), asked)
    file = desk.get(reverse("shop:makeup-pattern", args=[row.pk, "felloe", "svg"]), asked)
    assert (page.status_code, file.status_code) == (422, 422)
    assert said in unescape(page.text)
    assert said in file.text
    assert file["Content-Type"].startswith("text/plain")
    # The drawings stand meanwhile.
    assert "Felloe pattern" in page.text


def test_the_shops_own_words_and_units_are_on_every_paper(desk: Client) -> None:
    Shop.objects.update(word_hub="nave", word_felloe="felly", word_felloes="fellies", word_tyre="tire", units="in")
    row = in_library(**TOLD)
    page = text(desk, reverse("shop:makeup-patterns", args=[row.pk])).split("<main")[1]
    for words in ("Felly pattern", "Nave, long", "Over the tire", "19 61/64 in"):
        assert words in page
    drawn = page.split('class="patterns"')[1].split("What only you can say")[0]
    assert not [word for word in ("hub", "Hub", "elloe ", "tyre") if word in drawn]
    dxf = desk.get(reverse("shop:makeup-pattern", args=[row.pk, "section", "dxf"])).content.decode()
    assert "16 1/2 in" in dxf


def test_a_wheel_without_spoke_has_no_patterns_and_says_so(desk: Client) -> None:
    row = in_library()
    LibraryMakeUp.objects.filter(pk=row.pk).update(hub_diameter_nm=45 * IN)
    assert "so there is nothing to draw" in text(desk, reverse("shop:makeup-patterns", args=[row.pk]))
    assert desk.get(reverse("shop:makeup-pattern", args=[row.pk, "front", "svg"])).status_code == 404
