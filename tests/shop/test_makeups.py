"""The library's pages, and how its form reads and refuses measures."""

import pytest
from django.test import Client
from django.urls import reverse

from jobs.library import by_name
from jobs.models import LibraryMakeUp
from jobs.starting import start_library
from shop.forms.makeups import MakeUpForm
from shop.forms.measures import LengthField
from shop.models import Hand, Shop
from tests.factories import IN, makeup
from tests.shop.order_forms import in_library, measures

NEW = reverse("shop:makeup-new")
WORDS = Shop().words


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def form(unit: str = "mm", **changes: str) -> MakeUpForm:
    return MakeUpForm(measures(**changes), words=WORDS, unit=unit)  # type: ignore[arg-type]


def test_every_measure_comes_back_as_it_was(shop: Shop) -> None:
    read = form()
    assert read.is_valid(), read.errors
    assert read.makeup == makeup()


@pytest.mark.parametrize("text", ["1168.4 mm", "46 in", '46"', "3 ft 10 in", "3' 10\"", "46", "116.84 cm"])
def test_a_height_may_be_written_in_any_way(text: str) -> None:
    read = form(unit="in", height_nm=text)
    assert read.is_valid(), read.errors
    assert read.cleaned_data["height_nm"] == 46 * IN


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"height_nm": "3/0"}, "height_nm", "divides by nothing"),
        ({"height_nm": "-4 in"}, "height_nm", "less than nothing"),
        ({"height_nm": "tall"}, "height_nm", "cannot be read as a length"),
        ({"height_nm": ""}, "height_nm", "Fill this in."),
        ({"spokes": "13"}, "spokes", "13 spokes is odd"),
        ({"spokes": "300"}, "spokes", "from 4 to 40"),
        ({"spokes": "99999999999999999999"}, "spokes", "Write 10000 or less."),
        ({"hub_diameter_nm": "50 in"}, "hub_diameter_nm", "through and the wheel only"),
        ({"tyre_thickness_nm": "3 in"}, "tyre_thickness_nm", "thick, and the rim it goes on"),
        ({"tyre_width_nm": ""}, "tyre_width_nm", "choose no tyre"),
        ({"band_0_width": ""}, "band_0_width", "Write the width of band 1"),
        ({"band_4_name": "nose"}, "band_4_width", "Write the width of band 5"),
        ({"rim": "plaited"}, "rim", "That is not offered here"),
    ],
)
def test_what_cannot_be_made_is_said_at_its_field(changes: dict[str, str], field: str, said: str) -> None:
    read = form(**changes)
    assert not read.is_valid()
    assert said in " ".join(read.errors[field])


def test_felloes_left_empty_are_the_usual(shop: Shop) -> None:
    read = form(felloes="", spokes="12")
    assert read.is_valid()
    assert read.makeup is not None
    assert read.makeup.felloes == 6


def test_a_wheel_without_tyre_needs_no_measures_of_it() -> None:
    read = form(tyre="none", tyre_width_nm="", tyre_thickness_nm="", fastening="plain")
    assert read.is_valid(), read.errors
    assert read.makeup is not None
    assert (read.makeup.tyre_width_nm, read.makeup.tyre_thickness_nm) == (0, 0)


def test_the_shops_words_stand_in_labels_and_refusals() -> None:
    words = WORDS | {"hub": "nave", "tyre": "tire"}
    read = MakeUpForm(measures(hub_diameter_nm="50 in"), words=words, unit="mm")
    assert read.fields["hub_length_nm"].label == "Nave, length"
    assert "The nave is 1270 mm through" in read.errors["hub_diameter_nm"][0]


def test_a_length_is_shown_exactly_and_as_typed_when_wrong() -> None:
    field = LengthField(unit="in")
    assert field.prepare_value(93 * IN // 2) == "46 1/2 in"
    assert field.prepare_value("forty six") == "forty six"
    assert LengthField(required=False).clean("") is None


def about(**changes: str) -> dict[str, str]:
    return {"name": "Our hind", "carriage": "wagonette", "place": "hind", "source": ""} | changes


def test_it_works(desk: Client) -> None:
    answer = desk.post(NEW, about() | measures())
    row = LibraryMakeUp.objects.get()
    assert answer.headers["Location"] == reverse("shop:makeup", args=[row.pk])
    page = desk.get(answer.headers["Location"]).content.decode()
    for said in ("Our hind", "Height over the wood", "1168.4 mm", "3 ft 10 in", "Bolts in the tyre"):
        assert said in page
    assert "Our hind" in desk.get(reverse("shop:makeups")).content.decode()


def test_warnings_are_taken_at_the_second_press(desk: Client) -> None:
    told = about() | measures(dish_nm="4 in")
    first = desk.post(NEW, told)
    assert first.status_code == 422
    assert "Worth a second look." in first.content.decode()
    assert "Take it as it is" in first.content.decode()
    assert desk.post(NEW, told | {"taken": first.context["measures"].warning_mark}).status_code == 302


def test_half_filled_keeps_the_answers(desk: Client) -> None:
    answer = desk.post(NEW, about(name="") | measures(height_nm="about so high"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="about so high"' in page
    assert 'value="wagonette"' in page
    assert not LibraryMakeUp.objects.exists()


def test_published_ones_show_their_source_and_are_copied(desk: Client) -> None:
    start_library()
    row = LibraryMakeUp.objects.filter(status="published")[0]
    page = desk.get(reverse("shop:makeup", args=[row.pk])).content.decode()
    assert row.source[:30] in page
    assert "Change it" not in page
    change = desk.get(reverse("shop:makeup-change", args=[row.pk]))
    assert change.headers["Location"] == f"{NEW}?copy={row.pk}"
    copy = desk.get(change.headers["Location"]).context["measures"]
    assert copy["spokes"].value() == row.spokes


def test_every_starting_make_up_has_its_page(desk: Client) -> None:
    start_library()
    for row in LibraryMakeUp.objects.all():
        assert desk.get(reverse("shop:makeup", args=[row.pk])).status_code == 200


def test_names_stand_in_order_whatever_their_letters(desk: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("Zither cart", "apple cart", "Bakers’ van", "brewer’s dray"):
        in_library(name)
    assert [row.name for row in by_name()] == ["apple cart", "Bakers’ van", "brewer’s dray", "Zither cart"]
    assert [row.name for row in by_name(after="Bakers’ van")] == ["brewer’s dray", "Zither cart"]
    monkeypatch.setattr("shop.views.makeups.A_PAGE", 2)
    first = desk.get(reverse("shop:makeups"))
    second = desk.get(reverse("shop:makeups"), {"after": first.context["next_after"]})
    shown = [row.name for page in (first, second) for row, _ in page.context["rows"]]
    assert shown == ["apple cart", "Bakers’ van", "brewer’s dray", "Zither cart"]
    offered = desk.get(reverse("shop:order-new")).content.decode()
    assert offered.index("apple cart") < offered.index("Bakers’ van") < offered.index("Zither cart")


def test_a_retired_one_is_offered_no_longer(desk: Client) -> None:
    row = in_library("Old gig")
    desk.post(reverse("shop:makeup-retire", args=[row.pk]), follow=True)
    assert "Old gig" not in desk.get(reverse("shop:makeups")).content.decode()
    assert "Old gig" not in desk.get(reverse("shop:order-new")).content.decode()
    assert "Old gig" in desk.get(reverse("shop:makeups"), {"retired": "1"}).content.decode()
    desk.post(reverse("shop:makeup-retire", args=[row.pk]), {"back": "1"})
    assert "Old gig" in desk.get(reverse("shop:makeups")).content.decode()


def test_a_change_keeps_to_the_shops_units(desk: Client) -> None:
    Shop.objects.update(units="in")
    row = in_library("Ours", status="our own")
    page = desk.get(reverse("shop:makeup-change", args=[row.pk])).content.decode()
    assert 'value="46 in"' in page
    told = about(name="Ours") | measures(height_nm="47")
    assert desk.post(reverse("shop:makeup-change", args=[row.pk]), told).status_code == 302
    row.refresh_from_db()
    assert row.height_nm == 47 * IN


@pytest.mark.parametrize("spokes", ["0", "-4"])
def test_no_spokes_at_all_are_told_how_many_a_wheel_has(spokes: str) -> None:
    assert form(spokes=spokes).errors["spokes"] == ["A wheel has from 4 to 40 spokes."]


def test_what_is_worth_a_second_look_is_brought_before_the_eye(desk: Client) -> None:
    page = desk.post(NEW, {"name": "Odd rim", **measures(felloes="5")}).content.decode()
    assert 'role="alert" id="taken" tabindex="-1" autofocus>' in page
