"""The cutting of an order's bars: what is planned, from what, what is left out, and how it refuses."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Order, Wheel
from shop.forms.cutting import OffcutsField
from shop.models import Hand, Shop
from tests.factories import NOW
from tests.shop.test_order_iron import give_draw, words_of

MM = 1_000_000


def answer(client: Client, order: Order, *, status: int = 200, **asked: str) -> str:
    answered = client.get(reverse("shop:order-cutting", args=[order.number]), asked)
    assert answered.status_code == status
    return str(answered.content.decode())


def look(client: Client, order: Order, *, status: int = 200, **asked: str) -> str:
    return words_of(answer(client, order, status=status, **asked))


def test_a_pair_of_tyres_takes_two_bars_of_six_metres(owner: Client, order: Order) -> None:
    # Each tyre wants 3711 mm of bar (worked by hand beside the page of iron): two are 7425 mm with a cut of 3 mm.
    give_draw(order)
    page = look(owner, order)
    assert "2 new bars of 6000 mm: 62 % of the iron ends in hoops. Proven: fewer new bars won’t do." in page
    assert "6000 mm 2 alike 3711 mm tyre, hind pair 2286 mm" in page


def test_a_longer_bar_takes_both(owner: Client, order: Order) -> None:
    give_draw(order)
    page = look(owner, order, bar="7425 mm", kerf="3 mm")
    assert "1 new bar of 7425 mm" in page
    assert "7425 mm 2 × 3711 mm tyre, hind pair 0 mm" in page
    assert "2 new bars of 7424 mm" in look(owner, order, bar="7424 mm", kerf="3 mm")
    assert "1 new bar of 7424 mm" in look(owner, order, bar="7424 mm", kerf="0")


def test_offcuts_of_that_bar_go_first(owner: Client, order: Order) -> None:
    give_draw(order)
    width, thickness = order.lots.get().tyre_width_nm, order.lots.get().tyre_thickness_nm
    page = look(owner, order, **{f"offcuts-{width}-{thickness}": "3.8 m; 900 mm × 2"})
    assert "1 new bar of 6000 mm and 1 offcut" in page
    assert "Offcut of 3800 mm 3711 mm tyre, hind pair 86 mm" in page


def test_of_two_lengths_the_shorter_serves(owner: Client, order: Order) -> None:
    give_draw(order)
    assert "2 new bars of 4000 mm" in look(owner, order, other_bar="4 m")


def test_a_shop_of_inches_is_told_in_inches(owner: Client, order: Order, shop: Shop) -> None:
    shop.units = "in"
    shop.save(update_fields=["units"])
    give_draw(order)
    page = look(owner, order)
    assert "2 new bars of 240 in" in page
    assert "146 1/16 in tyre, hind pair" in page
    assert " mm" not in page.split("Other bars")[0]
    assert "“tyre, hind pair” is 146 1/16 in long, and the longest bar only 100 in." in look(owner, order, bar="100 in")


def test_hoops_without_a_draw_are_left_out_and_said_to_be(owner: Client, order: Order) -> None:
    page = answer(owner, order)
    assert "2 hoops left out:" in words_of(page)
    assert reverse("shop:order-iron", args=[order.number]) in page
    assert "new bar" not in words_of(page).split("Other bars")[0]


def test_bands_are_planned_once_their_draw_is_given(owner: Client, order: Order) -> None:
    assert "mm front band" not in look(owner, order)
    page = look(owner, order, band_draw="2 mm")
    bands = {name.lower() for lot in order.lots.all() for name in [band.name for band in lot.makeup.bands]}
    assert bands
    assert all(f"{name}, hind pair" in page for name in bands)


def test_wheels_that_are_dropped_want_no_bar(owner: Client, order: Order, wren: Hand) -> None:
    give_draw(order)
    wheel = Wheel.objects.filter(lot__order=order).order_by("number")[0]
    drop_wheel(wheel, at=NOW)
    assert "1 new bar of 6000 mm" in look(owner, order)


def test_each_bar_is_drawn_with_its_pieces_to_scale(owner: Client, order: Order) -> None:
    give_draw(order)
    (drawing,) = re.findall(r'<svg class="w-bar".*?</svg>', answer(owner, order, bar="7425 mm", kerf="3 mm"))
    lengths = [float(each) for each in re.findall(r'w-done" d="M[\d.]+ 0h([\d.]+)', drawing)]
    assert lengths == pytest.approx([620 * 3711 / 7425] * 2, abs=2)
    assert 'aria-label="Bar of 7425 mm: 2 × 3711 mm tyre, hind pair; 0 mm left"' in drawing


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"bar": "long"}, "cannot be read as a length"),
        ({"bar": "0"}, "Write 100 mm or more"),
        ({"bar": ""}, "Fill this in."),
        ({"other_bar": "5 mm"}, "Write 100 mm or more"),
        ({"kerf": "60 mm"}, "Write 50 mm or less"),
        ({"weld": "glue"}, "That is not offered here"),
    ],
)
def test_what_cannot_be_read_is_said_beside_its_field(
    owner: Client, order: Order, asked: dict[str, str], said: str
) -> None:
    give_draw(order)
    page = answer(owner, order, status=422, **asked)
    assert said in page
    assert "<title>Error: " in page


def test_an_offcut_that_cannot_be_read_is_said_too(owner: Client, order: Order) -> None:
    give_draw(order)
    lot = order.lots.get()
    key = f"offcuts-{lot.tyre_width_nm}-{lot.tyre_thickness_nm}"
    assert "Put semicolons between lengths." in answer(owner, order, status=422, **{key: "900 mm, 3 m"})
    assert "An offcut must be longer than nothing." in answer(owner, order, status=422, **{key: "0"})
    assert "Write at most 60 offcuts" in answer(owner, order, status=422, **{key: "1 m × 61"})


def test_offcuts_are_not_lost_where_another_answer_is_wrong(owner: Client, order: Order) -> None:
    page = answer(owner, order, status=422, bar="long", **{"offcuts-38100000-12700000": "900 mm × 2"})
    assert "Offcuts of bar 38.1 × 12.7 mm" in page
    assert 'value="900 mm × 2"' in page


def test_a_tyre_longer_than_the_bar_is_refused_in_one_sentence(owner: Client, order: Order) -> None:
    give_draw(order)
    page = look(owner, order, bar="3 m")
    assert "“tyre, hind pair” is 3711 mm long, and the longest bar only 3000 mm." in page


@pytest.mark.parametrize(
    ("text", "lengths"),
    [
        ("", []),
        ("1200", [(1200, 1)]),
        ("1.2 m; 900 mm × 2;", [(1200, 1), (900, 2)]),
        ("900 x 3\n1 m*2", [(900, 3), (1000, 2)]),
    ],
)
def test_offcuts_are_read_as_they_are_written(text: str, lengths: list[tuple[int, int]]) -> None:
    read = OffcutsField(unit="mm").clean(text)
    assert [(each.length_nm // MM, each.count) for each in read] == lengths
    assert all(each.offcut for each in read)


def test_the_order_and_its_iron_lead_there(owner: Client, order: Order) -> None:
    there = reverse("shop:order-cutting", args=[order.number])
    for page in ("shop:order", "shop:order-iron"):
        assert there in owner.get(reverse(page, args=[order.number])).content.decode()


def test_a_smith_sees_it_without_a_way_to_the_order(client: Client, order: Order, bram: Hand) -> None:
    give_draw(order)
    client.force_login(bram.user)
    page = answer(client, order)
    assert "3711 mm" in page
    assert f'href="{reverse("shop:order", args=[order.number])}"' not in page
