"""The way in: an empty shop, signing in and out, and where each person lands."""

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from jobs.models import LibraryMakeUp, Operation
from shop.door import AlreadyOpen, open_shop
from shop.models import Hand, Shop
from shop.people import DEVICE_COOKIE, enrol_device, set_left, set_password
from tests.factories import NOW, HandFactory, ShopFactory

OPENING = {
    "name": "Quern Bridge Wheels",
    "owner": "Ida Thorne",
    "password": "ash and elm boards",
    "again": "ash and elm boards",
    "units": "in",
    "currency": "eur",
    "time_zone": "Europe/Dublin",
    "hub": "nave",
    "felloe": "felly",
    "tyre": "tire",
}
GATE = "a long wooden gate"


def sign_in(client: Client, name: str, password: str = GATE, **others: str) -> object:
    return client.post("/sign-in/", {"name": name, "password": password, **others})


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/", "/sign-in/"])
def test_every_page_of_an_empty_shop_leads_to_its_opening(client: Client, path: str) -> None:
    assert client.get(path)["Location"] == "/open/"
    assert client.get(path, headers={"HX-Request": "true"})["HX-Redirect"] == "/open/"


@pytest.mark.django_db
def test_opening_makes_the_shop_its_owner_and_its_lists(client: Client) -> None:
    page = client.get("/open/")
    assert b"Open my shop" in page.content
    assert b"Look round the example shop" in page.content
    assert client.post("/open/", OPENING)["Location"] == "/"
    shop, hand = Shop.objects.get(), Hand.objects.get()
    assert (shop.name, shop.units, shop.currency, shop.time_zone) == (
        "Quern Bridge Wheels",
        "in",
        "EUR",
        "Europe/Dublin",
    )
    assert shop.words == {
        "hub": "nave", "hubs": "naves", "felloe": "felly", "felloes": "fellies", "tyre": "tire", "tyres": "tires",
    }  # fmt: skip
    assert (hand.name, hand.role, hand.user.check_password("ash and elm boards")) == ("Ida Thorne", "owner", True)
    assert client.session["_auth_user_id"] == str(hand.user_id)
    assert Operation.objects.exists()
    assert LibraryMakeUp.objects.exists()


@pytest.mark.django_db
def test_the_form_sent_twice_makes_one_shop_and_lets_its_owner_in() -> None:
    first, again, stranger = Client(), Client(), Client()
    first.post("/open/", OPENING)
    assert again.post("/open/", OPENING)["Location"] == "/"
    assert "_auth_user_id" in again.session
    other = {**OPENING, "name": "Another", "owner": "Someone Else"}
    assert stranger.post("/open/", other)["Location"] == "/sign-in/"
    assert "opened already" in stranger.get("/sign-in/").content.decode()
    assert (Shop.objects.get().name, User.objects.count()) == ("Quern Bridge Wheels", 1)


@pytest.mark.django_db
@pytest.mark.parametrize(("units", "over_nm"), [("in", 25_400_000), ("mm", 25_000_000)])
def test_a_new_shop_leaves_on_blanks_what_its_rules_show(client: Client, db: None, units: str, over_nm: int) -> None:
    client.post("/open/", {**OPENING, "units": units})
    assert Shop.objects.get().allowances.hub_diameter_nm == over_nm


def test_the_later_of_two_openings_is_refused_with_nothing_made(shop: Shop) -> None:
    with pytest.raises(AlreadyOpen):
        open_shop(owner="Late", password=GATE, shop={"name": "Late"})
    assert (Shop.objects.get().name, User.objects.count()) == (shop.name, 0)


@pytest.mark.django_db
def test_a_hand_read_in_before_becomes_the_owner(client: Client) -> None:
    known = HandFactory.create(name="ida thorne")
    client.post("/open/", OPENING)
    known.refresh_from_db()
    assert known.role == "owner"
    assert known.user.check_password("ash and elm boards")
    assert Hand.objects.count() == 1


@pytest.mark.django_db
def test_the_example_goes_only_into_an_empty_database(client: Client) -> None:
    HandFactory.create(name="Osk")
    page = client.post("/open/example/")
    assert page.status_code == 422
    assert "goes only into an empty one" in page.content.decode()
    assert not Shop.objects.exists()


@pytest.mark.django_db
def test_the_example_is_loaded_and_shows_how_to_sign_in(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shop.views.door.load_example", lambda: ShopFactory.create(is_example=True))
    assert client.post("/open/example/")["Location"] == "/sign-in/"
    assert "example-owner" in client.get("/sign-in/").content.decode()
    assert client.post("/open/example/")["Location"] == "/sign-in/"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"currency": "XQX"}, "“XQX” is not a currency"),
        ({"again": "something else"}, "The two passwords differ"),
        ({"password": "short", "again": "short"}, "too short"),
        ({"password": "idathorne", "again": "idathorne"}, "too similar"),
        ({"time_zone": "Europe/Atlantis"}, "That is not offered here"),
        ({"name": ""}, "Fill this in."),
    ],
)
def test_a_wrong_answer_opens_nothing_and_keeps_the_rest(
    client: Client, answers: dict[str, str], sentence: str
) -> None:
    page = client.post("/open/", OPENING | answers)
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert 'value="Ida Thorne"' in page.content.decode()
    assert "ash and elm boards" not in page.content.decode()
    assert not Shop.objects.exists()
    assert not User.objects.exists()


def test_an_open_shop_is_not_opened_again(owner: Client) -> None:
    assert owner.get("/open/")["Location"] == "/"
    assert owner.post("/open/example/")["Location"] == "/sign-in/"
    assert not Shop.objects.get().is_example


@pytest.mark.parametrize("name", ["Wren", "wren", "  WREN "])
def test_signing_in_gives_the_session_a_new_key(client: Client, wren: Hand, name: str) -> None:
    set_password(wren, GATE)
    session = client.session
    session["kept"] = True
    session.save()
    before = session.session_key
    assert sign_in(client, name)["Location"] == "/"  # type: ignore[index]
    assert client.session.session_key != before
    assert client.session["_auth_user_id"] == str(wren.user_id)


def test_an_unknown_name_and_a_wrong_password_are_told_alike(client: Client, wren: Hand) -> None:
    set_password(wren, GATE)
    HandFactory.create(name="Left", left_on=date(2026, 1, 1), user__is_active=False)
    sentence = "The name or the password is not right"
    for name, password in (("Wren", "wrong"), ("Nobody", GATE), ("Left", GATE), ("Wren", GATE.upper())):
        page = sign_in(client, name, password)
        assert page.status_code == 422  # type: ignore[attr-defined]
        assert sentence in page.content.decode()  # type: ignore[attr-defined]
    assert "_auth_user_id" not in client.session


@pytest.mark.django_db
def test_a_user_who_is_no_hand_stays_out(client: Client, shop: Shop) -> None:
    User.objects.create_user("spare", password=GATE)
    assert sign_in(client, "spare").status_code == 422  # type: ignore[attr-defined]


def test_one_that_left_is_signed_out_at_once(client: Client, osk: Hand, wren: Hand) -> None:
    client.force_login(osk.user)
    set_left(osk, date(2026, 3, 2))
    assert client.get("/")["Location"] == "/sign-in/?next=/"


def test_after_signing_in_only_pages_of_the_shop_follow(client: Client, wren: Hand) -> None:
    set_password(wren, GATE)
    assert sign_in(client, "Wren", next="/settings/")["Location"] == "/settings/"  # type: ignore[index]
    assert sign_in(client, "Wren", next="https://elsewhere.example/")["Location"] == "/"  # type: ignore[index]


def test_a_name_tried_too_often_is_told_until_when(client: Client, wren: Hand) -> None:
    set_password(wren, GATE)
    for _ in range(9):
        sign_in(client, "Wren", "wrong")
    page = sign_in(client, "Wren")
    assert page.status_code == 429  # type: ignore[attr-defined]
    assert "Too many wrong tries" in page.content.decode()  # type: ignore[attr-defined]


def test_sign_out_is_a_post(owner: Client) -> None:
    assert owner.get("/sign-out/").status_code == 405
    assert owner.post("/sign-out/")["Location"] == "/sign-in/"
    assert "_auth_user_id" not in owner.session


@pytest.mark.parametrize(
    ("name", "page"), [("wren", "order-book"), ("tamsin", "order-book"), ("osk", "bench"), ("bram", "smith")]
)
def test_home_is_where_the_day_begins(
    client: Client, name: str, page: str, wren: Hand, tamsin: Hand, osk: Hand, bram: Hand
) -> None:
    hand = {"wren": wren, "tamsin": tamsin, "osk": osk, "bram": bram}[name]
    client.force_login(hand.user)
    assert client.get("/")["Location"] == reverse(f"shop:{page}")


def test_a_bench_session_ends_with_its_device(client: Client, osk: Hand, wren: Hand) -> None:
    device, secret = enrol_device(name="Tablet", by=wren.user, at=NOW)
    client.force_login(osk.user)
    session = client.session
    session["bench_device"] = device.pk
    session.save()
    client.cookies[DEVICE_COOKIE] = secret
    assert client.get("/")["Location"] == "/bench/"
    device.revoked_at = NOW
    device.save(update_fields=["revoked_at"])
    assert client.get("/")["Location"] == "/bench/"
    assert "_auth_user_id" not in client.session


def test_only_the_example_shows_how_to_sign_in(client: Client, shop: Shop) -> None:
    assert "example-owner" not in client.get("/sign-in/").content.decode()
    shop.is_example = True
    shop.save(update_fields=["is_example"])
    page = client.get("/sign-in/").content.decode()
    assert "example-owner" in page
    assert "For this example only" in page


def test_a_word_for_a_page_is_no_page_to_go_on_to(client: Client, wren: Hand) -> None:
    set_password(wren, "elm and ash and oak")
    told = {"name": "Wren", "password": "elm and ash and oak", "next": "foo"}
    assert client.post("/sign-in/", told)["Location"] == "/"
