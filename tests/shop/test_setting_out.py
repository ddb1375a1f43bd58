"""The measures for setting out in the forms: all may be left empty, and books are shown where they differ."""

from html import unescape

import pytest
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from jobs.models import LibraryMakeUp
from shop.forms.makeups import MakeUpForm
from shop.models import Hand, Shop
from tests.factories import IN, lot_of, makeup, take_pair
from tests.jobs.test_fit import TOLD
from tests.shop.order_forms import in_library, measures

NEW = reverse("shop:makeup-new")
WORDS = Shop().words
ABOUT = {"name": "Our hind", "carriage": "", "place": "", "source": ""}


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def form(**changes: str) -> MakeUpForm:
    return MakeUpForm(measures(**changes), words=WORDS, unit="in")


def test_they_come_back_as_they_were_told() -> None:
    told = makeup(**TOLD)
    read = MakeUpForm(measures(made=told), words=WORDS, unit="mm")
    assert read.is_valid(), read.errors
    assert read.makeup == told


def test_left_empty_they_are_not_told() -> None:
    read = form(**dict.fromkeys(TOLD, ""))
    assert read.is_valid(), read.errors
    assert read.makeup == makeup()
    assert not read.setting_out_used


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"draw_nm": "tight"}, "draw_nm", "cannot be read as a length"),
        ({"draw_nm": "3 in"}, "draw_nm", "more than heat can open"),
        ({"mortise_width_nm": "2"}, "mortise_width_nm", "would meet at the hub's surface"),
        ({"box_large_nm": "0"}, "box_large_nm", "more than nothing"),
        ({"dish_nm": "50°"}, "dish_nm", "too steep"),
        ({"dish_nm": "4 knots"}, "dish_nm", "cannot be read as a length"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(changes: dict[str, str], field: str, said: str) -> None:
    read = form(**changes)
    assert said in " ".join(read.errors[field])


def test_what_is_told_or_wrong_there_is_not_folded_away() -> None:
    assert form(draw_nm="1/2").setting_out_used
    assert form(stagger_nm="", draw_nm="tight").setting_out_used
    assert not form(stagger_nm="", dish_nm="50°").setting_out_used


@pytest.mark.parametrize(
    ("changes", "millimetres"),
    [
        # 46 - 2 × 2 1/2 - 8 = 33 in between hub and rim, both sides: 16.5 in × tan 4° is 29.306 mm.
        ({"dish_nm": "4°"}, 29.31),
        # Over a tyre of 1/2 in there is 1/2 in less of it: 16 in × tan 4° is 28.418 mm.
        ({"dish_nm": "4 deg", "height_over": "tyre"}, 28.42),
        ({"dish_nm": "0°"}, 0),
    ],
)
def test_a_dish_may_be_told_as_an_angle(changes: dict[str, str], millimetres: float) -> None:
    read = form(**changes)
    assert read.is_valid(), read.errors
    assert read.makeup is not None
    assert read.makeup.dish_nm == round(millimetres * 1_000_000)


def test_an_angle_beside_a_wrong_height_leaves_only_that_wrong() -> None:
    assert set(form(dish_nm="4°", height_nm="tall").errors) == {"height_nm"}


def test_it_works(desk: Client) -> None:
    page = unescape(desk.get(NEW).content.decode())
    assert "Fit and setting-out" in page
    for said in (
        "Hasluck",
        "Holmstrom, Modern Blacksmithing, 1901",
        "Burgess",
        "Stagger of the spokes in print",
        "Draw in print, where books differ",
    ):
        assert said in page
    assert desk.post(NEW, ABOUT | measures(made=makeup(**TOLD))).status_code == 302
    row = LibraryMakeUp.objects.get()
    assert row.makeup == makeup(**TOLD)
    page = unescape(desk.get(reverse("shop:makeup", args=[row.pk])).content.decode())
    for said in ("Stagger of the spokes", "Box, outside at its large end", "Draw, on the circumference"):
        assert said in page


def test_a_sheet_says_nothing_of_what_is_not_told(desk: Client) -> None:
    page = desk.get(reverse("shop:makeup", args=[in_library().pk])).content.decode()
    assert "Draw, on the circumference" not in page
    assert "Stagger" not in page


def test_a_lot_keeps_its_copy(desk: Client) -> None:
    row = in_library(draw_nm=IN // 2)
    lot = lot_of(take_pair())
    assert lot.makeup.draw_nm is None
    LibraryMakeUp.objects.filter(pk=row.pk).update(draw_nm=IN)
    lot.refresh_from_db()
    assert lot.makeup == makeup()


@pytest.mark.parametrize(("column", "value"), [("stagger_nm", -1), ("draw_nm", -1), ("box_large_nm", 0)])
def test_the_database_refuses_what_cannot_be(shop: Shop, column: str, value: int) -> None:
    row = in_library()
    with pytest.raises(IntegrityError):
        LibraryMakeUp.objects.filter(pk=row.pk).update(**{column: value})
