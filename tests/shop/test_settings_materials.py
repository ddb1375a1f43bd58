"""Settings of materials: what is kept of each, its prices from a day on, and what is refused."""

import uuid
from datetime import date

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from jobs.measures import NM_PER_MM
from jobs.models import Order
from shop.models import AuditLine, Hand, Material, Offcut, Rate, Shop
from shop.rates import RateBook
from shop.stores.actions import Entry, Much, Place, issue
from tests.factories import IN, NOW, MaterialFactory
from tests.shop.typed import as_sent

ASH = {"name": "Ash, 2 in", "kind": "plank", "timber": "ash", "unit": "board_foot", "length": "10 ft"}
BOARD = ASH | {"thickness": "2 in", "width": "12 in"}
LOG = {"name": "Elm", "kind": "log", "timber": "elm", "unit": "hoppus_foot", "girth": "48 in", "length": "10 ft"}
MARCH = {"from_on_day": "1", "from_on_month": "3", "from_on_year": "2026"}


def look(owner: Client, path: str = "/settings/materials/") -> str:
    return owner.get(path).content.decode().replace("\N{NO-BREAK SPACE}", " ")


def test_a_material_is_added_and_priced_from_a_day_on(owner: Client, wren: Hand) -> None:
    there = owner.post("/settings/materials/new/", BOARD)["Location"]
    ash = Material.objects.get()
    assert there == f"/settings/rates/material/{ash.pk}/"
    assert (ash.thickness_nm, ash.width_nm, ash.length_nm, ash.girth_nm) == (2 * IN, 12 * IN, 120 * IN, None)
    assert "none yet" in look(owner)
    assert owner.post(there, {"amount": "4.35", **MARCH}).status_code == 302
    assert RateBook.load().material(ash.pk, date(2026, 3, 1)) == 435_000
    assert RateBook.load().material(ash.pk, date(2026, 2, 28)) is None
    assert Rate.objects.get().recorded_by == wren.user
    page = look(owner)
    assert "£4.35</span> a board foot" in page
    assert "Planks, 50.8 × 304.8 mm, 3048 mm long" in page
    history = look(owner, there)
    assert "£4.35 from 1 March 2026" in history
    assert 'href="/settings/materials/"' in history


def test_a_log_has_a_girth_and_no_thickness(owner: Client) -> None:
    # What another kind has is shown by the same form, and dropped.
    assert owner.post("/settings/materials/new/", LOG | {"thickness": "2 in"}).status_code == 302
    elm = Material.objects.get()
    assert (elm.girth_nm, elm.thickness_nm, elm.width_nm) == (48 * IN, None, None)
    assert "Round logs, 1219.2 mm round, 3048 mm long" in look(owner)
    Shop.objects.update(units="in")
    assert "Round logs, 48 in round, 120 in long" in look(owner)


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (ASH | {"thickness": "2 in"}, "Width: Write this too"),
        (BOARD | {"width": "0"}, "Width: Write a length of more than nothing"),
        (BOARD | {"unit": "hoppus_foot"}, "Planks and squared blanks are not measured so"),
        (LOG | {"unit": "board_foot"}, "Logs are not measured so"),
        (LOG | {"girth": ""}, "Girth, of a log: Write this too"),
        (BOARD | {"unit": "each", "least": "1.5"}, "Keep at least: Write a whole number of pieces"),
        (BOARD | {"name": "ash BOARDS"}, "“ash BOARDS” is on the list already"),
        (BOARD | {"kind": "barrel"}, "It comes as: That is not offered here"),
    ],
)
def test_what_cannot_be_kept_is_told_in_a_sentence(owner: Client, answers: dict[str, str], said: str) -> None:
    MaterialFactory.create()
    page = owner.post("/settings/materials/new/", answers)
    assert page.status_code == 422
    assert said in page.content.decode()
    assert Material.objects.count() == 1


def test_a_price_is_never_turned_into_that_of_another_unit(owner: Client) -> None:
    ash = MaterialFactory.create()
    url = f"/settings/materials/{ash.pk}/"
    owner.post(f"/settings/rates/material/{ash.pk}/", {"amount": "4", **MARCH})
    refused = owner.post(url, BOARD | {"unit": "m3"})
    assert refused.status_code == 422
    assert "It has prices a board foot: for another unit add another material." in refused.content.decode()
    assert owner.post(url, BOARD | {"width": "14 in"}).status_code == 302
    ash.refresh_from_db()
    assert (ash.unit, ash.width_nm, ash.name) == ("board_foot", 14 * IN, "Ash, 2 in")


@pytest.mark.parametrize(
    ("unit", "changed", "stands"),
    [("each", {"length": "11 ft"}, False), ("metre", {"width": "13 in"}, False), ("metre", {"length": "11 ft"}, True)],
)
def test_a_price_of_a_piece_is_never_turned_into_that_of_another_size(
    owner: Client, unit: str, changed: dict[str, str], stands: bool
) -> None:
    ash = MaterialFactory.create(unit=unit)
    url = f"/settings/materials/{ash.pk}/"
    same = BOARD | {"unit": unit}
    assert owner.post(url, same | changed).status_code == 302  # while it has no price
    assert owner.post(url, same).status_code == 302
    owner.post(f"/settings/rates/material/{ash.pk}/", {"amount": "4", **MARCH})
    answer = owner.post(url, same | changed)
    assert answer.status_code == (302 if stands else 422)
    assert ("of this size: for another add another material." in answer.content.decode()) is not stands


def test_a_name_that_is_taken_is_said_of_the_name(owner: Client) -> None:
    MaterialFactory.create(name="Community ash")
    other = MaterialFactory.create(name="Ash, 3 in")
    page = owner.post(f"/settings/materials/{other.pk}/", BOARD | {"name": "Community ash"}).content.decode()
    assert 'href="#id_name"' in page
    assert 'href="#id_unit"' not in page


def test_a_price_is_not_written_for_a_unit_that_another_has_changed(owner: Client) -> None:
    ash = MaterialFactory.create()
    url = f"/settings/rates/material/{ash.pk}/"
    page = owner.get(url).content.decode()
    assert "It is so much a board foot." in page
    sent = as_sent(page, url, amount="6.10", **MARCH)
    Material.objects.update(unit="m3")
    answer = owner.post(url, sent)
    assert answer.status_code == 409
    assert "The price is a cubic metre" in answer.content.decode()
    assert not Rate.objects.exists()


def test_a_retired_one_is_kept_and_comes_back(owner: Client) -> None:
    ash = MaterialFactory.create()
    url = f"/settings/materials/{ash.pk}/"
    assert owner.post(f"{url}retire/").status_code == 302
    assert not Material.objects.in_use().exists()
    assert "1 retired" in look(owner)
    owner.post(f"{url}retire/", {"back": "1"})
    assert Material.objects.in_use().get() == ash


@pytest.mark.parametrize(
    "wrong", [{"width_nm": None}, {"girth_nm": IN}, {"length_nm": 0}, {"kind": "log"}, {"unit": "hoppus_foot"}]
)
def test_the_database_refuses_a_size_of_another_kind(db: None, wrong: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        MaterialFactory.create(**wrong)


def test_goods_have_no_size_and_nothing_is_cut_from_them(owner: Client) -> None:
    paint = {"name": "Black enamel", "kind": "goods", "timber": "", "unit": "litre"}
    # What another kind has is shown by the same form, and dropped.
    assert owner.post("/settings/materials/new/", paint | {"thickness": "2 in"}).status_code == 302
    enamel = Material.objects.get()
    assert (enamel.thickness_nm, enamel.length_nm, enamel.per) == (None, None, "a litre")
    page = look(owner)
    assert "Other goods</td>" in page
    assert "none yet" in page
    refused = owner.post("/settings/materials/new/", paint | {"name": "Varnish", "unit": "board_foot"})
    assert (refused.status_code, "Other goods are not measured so" in refused.text) == (422, True)
    boards = owner.post("/settings/materials/new/", BOARD | {"unit": "litre"})
    assert (boards.status_code, "Planks and squared blanks are not measured so" in boards.text) == (422, True)
    owner.post(f"/settings/materials/{enamel.pk}/", paint | {"name": "Coach enamel"})
    assert Material.objects.get().name == "Coach enamel"
    with pytest.raises(IntegrityError), transaction.atomic():
        Material.objects.update(length_nm=IN)


def test_offcuts_stay_of_the_bar_that_they_are_of(owner: Client, order: Order, wren: Hand) -> None:
    """However it is bought; how long new bars come is another thing."""
    size = {"thickness_nm": 12 * NM_PER_MM, "width_nm": 38 * NM_PER_MM, "length_nm": 6000 * NM_PER_MM}
    bar = MaterialFactory.create(name="Tyre bar", kind="bar", timber="iron", unit="kg", **size)
    entry = Entry(uuid.uuid4(), NOW.date(), wren.user, NOW)
    row = issue(Much(bar, 1_000_000), entry, place=Place(order))
    Offcut.objects.create(material=bar, issue=row, length_nm=1_000_000_000, pieces=1)
    told = {"name": "Tyre bar", "kind": "bar", "timber": "iron", "unit": "kg", "width": "38 mm", "length": "5 m"}
    url = reverse("shop:material", args=[bar.pk])
    refused = owner.post(url, told | {"thickness": "15 mm"})
    assert "Offcuts of this bar were kept: for another add another material." in refused.content.decode()
    assert refused.status_code == 422
    assert owner.post(url, told | {"thickness": "12 mm", "least": "40.5"}).status_code == 302
    bar.refresh_from_db()
    assert (bar.length_nm, bar.thickness_nm, bar.least_millionths) == (5000 * NM_PER_MM, 12 * NM_PER_MM, 40_500_000)
    line = AuditLine.objects.latest("id")
    assert "keep at least: 40.5" in line.after
    assert 'value="40.5"' in owner.get(url).content.decode()
