"""The sheet of sizes: of a make-up and of a lot, in both units, with how each is reckoned and what is not told."""

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.makeup.problems import PLAIN_WORDS
from jobs.measures import Unit
from jobs.models import LibraryMakeUp
from jobs.starting import start_library
from shop.models import Hand, Shop
from shop.sizes_page import SizesPage
from shop.sizes_rows import SizeRow
from tests.factories import IN, lot_of, makeup, take_pair
from tests.jobs.test_fit import TOLD
from tests.shop.order_forms import in_library


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def rows(unit: Unit = "in", *, gap_nm: int | None = None, **changes: Any) -> dict[str, SizeRow]:
    """Every row by its label."""
    made = makeup(**TOLD | changes)
    page = SizesPage(made, words=PLAIN_WORDS, unit=unit, new_work=True, circle_nm=8 * IN, gap_nm=gap_nm)
    return {row.label: row for group in page.groups for row in group.rows}


def text(client: Client, url: str, **asked: str) -> str:
    return unescape(client.get(url, asked).text).replace("\u00a0", " ")


def test_it_works(desk: Client) -> None:
    row = in_library("Ours", **TOLD)
    page = text(desk, reverse("shop:makeup-sizes", args=[row.pk]))
    for heading in (
        "Wheel",
        "Hub and mortises",
        "Spokes, front row",
        "Spokes, back row",
        "Rim",
        "Box and bore",
        "Weights",
    ):
        assert f"<caption>{heading}</caption>" in page
    assert "How these are reckoned" in page
    assert "Richardson, Practical Carriage Building, volume 1, 1891" in page
    assert reverse("shop:makeup-sizes", args=[row.pk]) in text(desk, reverse("shop:makeup", args=[row.pk]))


def test_a_lot_has_its_own(desk: Client) -> None:
    order = take_pair()
    lot = lot_of(order)
    url = reverse("shop:lot-sizes", args=[order.number, lot.pk])
    assert url in text(desk, reverse("shop:lot", args=[order.number, lot.pk]))
    page = text(desk, url)
    assert "Sizes: hind pair" in page
    assert "1168.4 mm over the wood" in page
    assert desk.get(reverse("shop:lot-sizes", args=[order.number + 1, lot.pk])).status_code == 404


def test_the_bench_may_read_it(client: Client, osk: Hand) -> None:
    client.force_login(osk.user)
    assert client.get(reverse("shop:makeup-sizes", args=[in_library().pk])).status_code == 200


def test_every_starting_wheel_has_its_sheet(desk: Client) -> None:
    start_library()
    for row in LibraryMakeUp.objects.all():
        answer = desk.get(reverse("shop:makeup-sizes", args=[row.pk]), {"circle": "200 mm", "gap": "1 mm"})
        assert answer.status_code == 200, row.name


def test_fractions_have_their_decimal_beside_them_and_only_where_they_are_rounded() -> None:
    found = rows()
    # 46 in × π.
    assert (found["Round the sole"].shown, found["Round the sole"].small) == ("144 33/64 in", "144.5133 in")
    assert (found["Radius over the wood"].shown, found["Radius over the wood"].small) == ("23 in", "")
    # 360° ÷ 14, as a dividing head is set.
    assert (found["From spoke to spoke"].shown, found["From spoke to spoke"].small) == ("25.71°", "25° 42′ 51″")
    assert found["Tenon, driven tight"].shown == "1 7/8 × 21/32 in"
    assert found["Pattern struck to a radius of"].shown == "23 3/8 to 23 1/2 in"


def test_in_millimetres_they_are_decimals() -> None:
    found = rows("mm")
    assert found["Round the sole"].shown == "3670.64 mm"
    assert found["Bore, taper"].shown == "5.56 mm in 100 mm"
    assert rows()["Bore, taper"].shown == "43/64 in in a foot"
    assert found["Bolts go through"].shown == "76.2 mm"


def test_weights_are_in_the_shops_units_first() -> None:
    heavy, light = rows()["Whole wheel, about"], rows("mm")["Whole wheel, about"]
    assert heavy.shown == light.small
    assert heavy.small == light.shown
    assert heavy.shown.endswith(" lb")


def test_what_is_not_told_says_what_it_wants() -> None:
    untold = dict.fromkeys(TOLD, None) | {"stagger_nm": 0}
    found = rows(**untold)
    assert (found["Overall"].shown, found["Overall"].small) == ("not told", "wants the box’s outside measures")
    assert found["Box"] == SizeRow("Box", "not known", "not all its measures are told", found["Box"].how)
    assert found["Whole wheel, about"].shown == "not known"
    assert found["All joints together left open"].shown == "not told"
    assert found["Mortise along the hub, by the rule"].shown == "1 7/8 in"
    assert "Rows" not in found


def test_a_row_that_leans_back_is_below_nothing() -> None:
    page = SizesPage(makeup(**TOLD | {"dish_nm": IN // 8}), words=PLAIN_WORDS, unit="in", new_work=True)
    front = next(group for group in page.groups if group.heading == "Spokes, front row")
    assert next(row.shown for row in front.rows if row.label == "Dish of this row") == "−1/8 in"
    assert any("leans back" in sentence for sentence in page.warnings)


def test_bent_rims_bolted_hubs_and_no_box_have_their_own_rows() -> None:
    found = rows(rim="bent", felloes=2, hub="bolted", box="none", tongue="square")
    assert found["Pieces, and as many joints"].shown == "2 bent"
    assert "Strip, on its neutral line" in found
    assert "Chord of the sole" not in found
    assert "Foot’s thickness on the hub’s diameter" in found
    assert "Mortise along the hub" not in found
    assert found["Tongue, diameter"].small == "square: no rule in print"


def test_open_joints_are_only_as_asked() -> None:
    assert rows(gap_nm=IN // 32)["All joints together left open"].shown == "7/32 in"


def test_the_shops_own_words_are_used(desk: Client) -> None:
    Shop.objects.update(word_hub="nave", word_felloe="felly", word_felloes="fellies", word_tyre="tire")
    page = text(desk, reverse("shop:makeup-sizes", args=[in_library().pk]))
    assert "Nave and mortises" in page
    assert "7 fellies" in page
    assert "Wheel without tire" in page


def test_the_index_plate_is_reckoned_when_asked_for(desk: Client) -> None:
    url = reverse("shop:makeup-sizes", args=[in_library(spokes=8, felloes=4).pk])
    assert "Holes from the plate’s middle" not in text(desk, url)
    page = text(desk, url, circle="6 in")
    # 8 holes on 6 in: 58.32 mm apart, the third of them straight to the right.
    assert "Holes from the plate’s middle" in page
    assert "58.32 mm" in page
    assert (
        '<th scope="row">3</th><td class="figure">90°</td><td class="figure">76.20</td><td class="figure">0.00</td>'
        in page
    )
    assert 'value="6 in"' in page


def test_tenons_may_be_asked_for_size_for_size(desk: Client) -> None:
    url = reverse("shop:makeup-sizes", args=[in_library(**TOLD).pk])
    # Mortises of 44.45 × 15.875 mm.
    assert "47.62 × 16.67 mm" in text(desk, url)
    plain = text(desk, url, fit="plain")
    assert "Tenon, size for size" in plain
    assert "44.45 × 15.88 mm" in plain


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"circle": "0"}, "A pitch circle has some size"),
        ({"circle": "4000 mm"}, "A pitch circle has some size, up to 3000 mm."),
        ({"circle": "wide"}, "“wide” cannot be read as a length"),
        ({"gap": "2 in"}, "A joint is left open by less than that"),
        ({"gap": "-1"}, "less than nothing"),
        ({"fit": "loose"}, "That is not offered here"),
    ],
)
def test_a_wrong_question_is_said_and_the_sizes_stand(desk: Client, asked: dict[str, str], said: str) -> None:
    answer = desk.get(reverse("shop:makeup-sizes", args=[in_library().pk]), asked)
    assert answer.status_code == 422
    assert said in unescape(answer.text)
    assert "1 thing to put right" in answer.text
    # Nothing was to be kept.
    assert "Not kept" not in answer.text
    assert "Round the sole" in answer.text


def test_a_wheel_without_spoke_has_no_sizes_and_says_so(desk: Client) -> None:
    row = in_library()
    LibraryMakeUp.objects.filter(pk=row.pk).update(hub_diameter_nm=45 * IN)
    page = text(desk, reverse("shop:makeup-sizes", args=[row.pk]), circle="200")
    assert "There is no spoke between this hub and this rim" in page
    assert "Index plate" not in page.split("<main")[1]


def test_warnings_of_the_make_up_and_of_its_sizes_stand_together(desk: Client) -> None:
    page = text(desk, reverse("shop:makeup-sizes", args=[in_library(dish_nm=4 * IN, **{"box_large_nm": 3 * IN}).pk]))
    assert "that is the most in print" in page
    assert "spokes are thinned to their tenons" in page
