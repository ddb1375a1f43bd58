"""The pages of settings: what an owner may do on each, and that nobody else may."""

from datetime import date
from typing import get_args

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from jobs.makeup import makeup as makeups
from jobs.models import Operation, Order, Wait
from shop.forms.operations import CHOICES, OperationForm
from shop.models import Device, Hand, Rate, Shop
from shop.people import DEVICE_COOKIE, set_password
from shop.rates import RateBook, record_rate
from shop.views.settings_rates import how_they_stand
from tests.conftest import operation
from tests.factories import NOW

PAGES = ["", "shop/", "words/", "hands/", "hands/new/", "devices/", "rates/", "rates/overhead/", "operations/"]
GATE = "a long wooden gate"
MARCH = {"from_on_day": "1", "from_on_month": "3", "from_on_year": "2026"}
OSK = {"name": "Osk", "role": "hand", "trade": "bench"}


def text(page: HttpResponse) -> str:
    return page.content.decode()


def shop_answers(**changes: object) -> dict[str, object]:
    plain = {"name": "Alder Lane", "units": "mm", "currency": "GBP", "time_zone": "Europe/London"}
    return {**plain, "dinner_from": "", "dinner_to": "", "smith_name": "", **changes}


@pytest.mark.parametrize("page", [*PAGES, "operations/new/"])
def test_the_page_is_the_owners(client: Client, page: str, wren: Hand, tamsin: Hand, osk: Hand, bram: Hand) -> None:
    assert client.get(f"/settings/{page}")["Location"] == f"/sign-in/?next=/settings/{page}"
    for hand, status in ((tamsin, 403), (osk, 403), (bram, 403), (wren, 200)):
        client.force_login(hand.user)
        assert client.get(f"/settings/{page}").status_code == status


def test_settings_lead_to_each_page(owner: Client) -> None:
    page = text(owner.get("/settings/"))
    for there in ("shop/", "words/", "hands/", "devices/", "rates/", "operations/"):
        assert f'href="/settings/{there}"' in page


# The shop and its words


def test_the_shop_is_kept(owner: Client) -> None:
    answers = shop_answers(
        currency="jpy",
        units="in",
        dinner_from="12.00",
        dinner_to="12:45",
        smith_days=["1", "3"],
        smith_name="Bram Howe",
    )
    assert owner.post("/settings/shop/", answers)["Location"] == "/settings/"
    shop = Shop.objects.get()
    assert (shop.currency, shop.units, shop.smith_days, shop.smith_name) == ("JPY", "in", [1, 3], "Bram Howe")
    assert (str(shop.dinner_from), str(shop.dinner_to)) == ("12:00:00", "12:45:00")
    page = text(owner.get("/settings/shop/"))
    assert 'value="12.45"' in page


def test_no_days_and_no_dinner_may_be_kept(owner: Client) -> None:
    Shop.objects.update(smith_days=[3], dinner_from="12:00", dinner_to="12:45")
    owner.post("/settings/shop/", shop_answers())
    shop = Shop.objects.get()
    assert (shop.smith_days, shop.dinner_from, shop.dinner_to) == ([], None, None)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"currency": "QQQ"}, "“QQQ” is not a currency"),
        ({"time_zone": "Europe/Atlantis"}, "Select a valid choice"),
        ({"dinner_from": "12.00"}, "both times of dinner, or neither"),
        ({"dinner_from": "12.00", "dinner_to": "11.00"}, "Dinner ends before it begins"),
        ({"dinner_from": "noon", "dinner_to": "13.00"}, "Write the time as 12.30"),
        ({"smith_days": ["7"]}, "Select a valid choice"),
    ],
)
def test_a_wrong_setting_changes_nothing(owner: Client, changes: dict[str, object], sentence: str) -> None:
    page = owner.post("/settings/shop/", shop_answers(name="New Name", **changes))
    assert page.status_code == 422
    assert sentence in text(page)
    assert 'value="New Name"' in text(page)
    assert "<span>Alder Lane Wheel Shop</span>" in text(page)
    assert Shop.objects.get().name == "Alder Lane Wheel Shop"


def test_money_written_down_holds_the_currency(owner: Client, wren: Hand) -> None:
    record_rate(kind="overhead", amount_millipence=1000, from_on=date(2026, 1, 1), at=NOW, by=wren.user)
    page = owner.post("/settings/shop/", shop_answers(currency="JPY"))
    assert page.status_code == 422
    assert "JPY divides otherwise" in text(page)
    assert owner.post("/settings/shop/", shop_answers(currency="EUR")).status_code == 302


def test_the_words_stand_on_the_pages(owner: Client) -> None:
    words = {"word_hub": "Nave", "word_hubs": "naves", "word_felloe": "felly", "word_felloes": "fellies"}
    assert owner.post("/settings/words/", {**words, "word_tyre": "tire", "word_tyres": "tires"}).status_code == 302
    page = text(owner.get("/settings/operations/")).partition("<main")[2]
    assert "Turn nave" in page
    assert "Saw felly" in page
    assert "felloe" not in page
    assert "tyre" not in page.lower()


@pytest.mark.parametrize(
    ("word", "sentence"),
    [("tyres", "there already"), ("h{}b", "letters only"), ("", "required"), ("<b>", "letters")],
)
def test_a_word_is_a_word_and_its_own(owner: Client, word: str, sentence: str) -> None:
    words = {"word_hub": "hub", "word_hubs": "hubs", "word_felloe": "felloe", "word_felloes": "felloes"}
    page = owner.post("/settings/words/", {**words, "word_tyre": word, "word_tyres": "tyres"})
    assert page.status_code == 422
    assert sentence in text(page)
    assert Shop.objects.get().word_tyre == "tyre"


# Hands


def test_a_hand_is_added(owner: Client) -> None:
    page = owner.post(
        "/settings/hands/new/", {"name": " Perrin  Ash ", "role": "hand", "trade": "painter", "apprentice": "on"}
    )
    hand = Hand.objects.get(name="Perrin Ash")
    assert page["Location"] == f"/settings/hands/{hand.pk}/"
    assert (hand.trade, hand.apprentice) == ("painter", True)


def test_a_form_sent_twice_adds_one_hand(owner: Client) -> None:
    answers = {"name": "Perrin", "role": "hand", "trade": "bench"}
    assert [owner.post("/settings/hands/new/", answers).status_code for _ in range(2)] == [302, 422]
    assert Hand.objects.filter(name="Perrin").count() == 1


def test_a_hand_is_changed(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/"
    assert owner.get(url).status_code == 200
    assert owner.post(url, OSK | {"name": "Oskar", "role": "desk"}).status_code == 302
    osk.refresh_from_db()
    assert (osk.name, osk.role) == ("Oskar", "desk")


def test_a_name_that_is_taken_is_refused(owner: Client, osk: Hand) -> None:
    page = owner.post(f"/settings/hands/{osk.pk}/", OSK | {"name": "WREN"})
    assert page.status_code == 422
    assert "There is a WREN already" in text(page)
    assert 'value="WREN"' in text(page)


def test_a_pin_is_set_and_taken_away(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/pin/"
    assert "4 to 8 digits" in text(owner.post(url, {"pin": "12x"}))
    assert owner.post(url, {"pin": "4071"}).status_code == 302
    osk.refresh_from_db()
    assert osk.pin_hash
    owner.post(url, {"away": "1", "pin": ""})
    osk.refresh_from_db()
    assert osk.pin_hash == ""


def test_a_password_is_set_and_taken_away(owner: Client, tamsin: Hand) -> None:
    url = f"/settings/hands/{tamsin.pk}/password/"
    assert owner.post(url, {"password": "short", "again": "short"}).status_code == 422
    assert owner.post(url, {"password": GATE, "again": "other"}).status_code == 422
    assert owner.post(url, {"password": GATE, "again": GATE}).status_code == 302
    assert User.objects.get(pk=tamsin.user_id).check_password(GATE)
    assert owner.post(url, {"away": "1"}).status_code == 302
    assert not User.objects.get(pk=tamsin.user_id).has_usable_password()


def test_an_owner_who_sets_their_own_password_stays_signed_in(owner: Client, wren: Hand) -> None:
    owner.post(f"/settings/hands/{wren.pk}/password/", {"password": GATE, "again": GATE})
    assert owner.get("/settings/").status_code == 200


@pytest.mark.parametrize(
    ("to", "answers"),
    [
        ("", OSK | {"name": "Wren", "role": "desk"}),
        ("password/", {"away": "1"}),
        ("left/", {"left_on_day": "2", "left_on_month": "3", "left_on_year": "2026"}),
    ],
)
def test_the_last_owner_can_not_be_lost(owner: Client, wren: Hand, to: str, answers: dict[str, str]) -> None:
    set_password(wren, GATE)
    owner.force_login(wren.user)
    page = owner.post(f"/settings/hands/{wren.pk}/{to}", answers)
    assert page.status_code == 422
    assert "Wren is the only owner who can sign in" in text(page)
    wren.refresh_from_db()
    assert (wren.role, wren.left_on) == ("owner", None)


def test_a_hand_leaves_and_comes_back(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/left/"
    assert "still to come" in text(owner.post(url, {"left_on_day": "1", "left_on_month": "1", "left_on_year": "2199"}))
    assert "There is no 31 February" in text(
        owner.post(url, {"left_on_day": "31", "left_on_month": "2", "left_on_year": "2026"})
    )
    owner.post(url, {"left_on_day": "2", "left_on_month": "March", "left_on_year": "2026"})
    osk.refresh_from_db()
    assert osk.left_on == date(2026, 3, 2)
    assert "1 who left" in text(owner.get("/settings/hands/"))
    owner.post(url, {"back": "1"})
    osk.refresh_from_db()
    assert osk.left_on is None


# Devices


def test_the_device_that_asks_is_enrolled_and_ended(owner: Client) -> None:
    page = owner.post("/settings/devices/", {"name": "Bench tablet"})
    cookie = page.cookies[DEVICE_COOKIE]
    assert cookie["httponly"]
    assert "Bench tablet" in text(owner.get("/settings/devices/"))
    assert "the one in your hand" in text(owner.get("/settings/devices/"))
    device = Device.objects.get()
    assert device.secret_hash != cookie.value
    owner.post(f"/settings/devices/{device.pk}/revoke/")
    device.refresh_from_db()
    assert device.revoked_at
    assert "the one in your hand" not in text(owner.get("/settings/devices/"))


def test_a_device_enrolled_anew_is_one_device(owner: Client) -> None:
    owner.post("/settings/devices/", {"name": "Tablet"})
    owner.post("/settings/devices/", {"name": "Bench tablet"})
    assert list(Device.objects.filter(revoked_at=None).values_list("name", flat=True)) == ["Bench tablet"]


def test_a_device_without_a_name_is_not_enrolled(owner: Client) -> None:
    page = owner.post("/settings/devices/", {"name": " "})
    assert (page.status_code, DEVICE_COOKIE in page.cookies, Device.objects.count()) == (422, False, 0)


# Rates


def test_a_rate_is_written_down_from_a_day_on(owner: Client, osk: Hand) -> None:
    url = f"/settings/rates/cost/{osk.pk}/"
    assert owner.post(url, {"amount": "18.505", **MARCH})["Location"] == url
    assert RateBook.load().cost(osk.user_id, date(2026, 3, 1)) == 1_850_500
    assert RateBook.load().cost(osk.user_id, date(2026, 2, 28)) is None
    assert Rate.objects.get().recorded_by == User.objects.get(username=Hand.objects.get(name="Wren").user.username)
    assert "£18.505" in text(owner.get(url))
    assert "£18.505" in text(owner.get("/settings/rates/"))


def test_overhead_wages_and_piece_rates_are_kept_apart(owner: Client, osk: Hand) -> None:
    saw = operation("saw-felloe")
    for url, amount in (("overhead/", "6"), (f"wage/{osk.pk}/", "12"), (f"piece/{saw.pk}/", "0.125")):
        assert owner.post(f"/settings/rates/{url}", {"amount": amount, **MARCH}).status_code == 302
    book, day = RateBook.load(), date(2026, 3, 1)
    assert (book.overhead(day), book.wage(osk.user_id, day), book.piece(saw.pk, day)) == (600_000, 1_200_000, 12_500)
    assert book.cost(osk.user_id, day) is None


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"amount": "18.50"}, "Write the day from which it stands"),
        ({"amount": "much", **MARCH}, "“much” is not an amount of money"),
        ({"amount": "-1", **MARCH}, "less than nothing"),
        ({"amount": "1", **MARCH, "from_on_day": "32"}, "There is no 32 March"),
    ],
)
def test_a_wrong_rate_is_not_written_down(owner: Client, answers: dict[str, str], sentence: str) -> None:
    page = owner.post("/settings/rates/overhead/", answers)
    assert page.status_code == 422
    assert sentence in text(page)
    assert not Rate.objects.exists()


@pytest.mark.parametrize("path", ["price/1/", "overhead/1/", "cost/999/", "piece/999/", "nothing/1/"])
def test_rates_of_nothing_are_missing(owner: Client, path: str) -> None:
    assert owner.get(f"/settings/rates/{path}").status_code == 404


def test_it_is_told_how_long_each_rate_stood() -> None:
    days = [(1, date(2026, 1, 1)), (4, date(2026, 1, 1)), (2, date(2026, 3, 1)), (3, date(2026, 5, 1))]
    rows = [Rate(pk=pk, from_on=day) for pk, day in days]
    assert how_they_stand(rows, date(2026, 3, 1)) == [
        "put right by a later entry",
        "stood until 28 February 2026",
        "stands today",
        "to come",
    ]


# Operations


def asked(one: Operation, **changes: object) -> dict[str, object]:
    """The answers of the form as it comes, with some changed."""
    form = OperationForm(words=Shop().words, operation=one)
    given = {name: form[name].value() for name in form.fields}
    after = given["after"]
    given["after"] = after.pk if isinstance(after, Operation) else after
    return {name: value for name, value in given.items() if value not in (None, False)} | changes


def test_the_form_kept_as_it_came_changes_no_operation(owner: Client) -> None:
    before = list(Operation.objects.values())
    for one in Operation.objects.all():
        assert owner.post(f"/settings/operations/{one.pk}/", asked(one)).status_code == 302
    assert list(Operation.objects.values()) == before


def test_an_operation_is_changed_in_the_shops_own_words(owner: Client) -> None:
    Shop.objects.update(word_hub="nave", word_hubs="naves")
    turn = operation("turn-hub")
    assert 'value="Turn nave"' in text(owner.get(f"/settings/operations/{turn.pk}/"))
    owner.post(f"/settings/operations/{turn.pk}/", asked(turn, name="Turn nave true", minutes="72.5"))
    turn.refresh_from_db()
    assert (turn.name, turn.book_seconds) == ("Turn {hub} true", 4350)


def test_an_operation_is_added(owner: Client) -> None:
    answers = {
        "name": "Scrape spoke", "done_word": "scraped", "part": "spoke", "per": "spoke", "trade": "bench", "hands": "1",
        "works": ["new", "new_spokes"], "for_rim": ["sawn"], "minutes": "", "after": operation("shave-spoke").pk,
    }  # fmt: skip
    page = owner.post("/settings/operations/new/", answers)
    added = operation("scrape-spoke")
    assert page["Location"] == f"/settings/operations/{added.pk}/"
    assert (added.chosen_by, added.works, added.book_seconds) == ({"rim": ["sawn"]}, ["new", "new_spokes"], None)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"per": "number"}, "how many of them a wheel has"),
        ({"per_number": "3"}, "Leave this empty"),
        ({"minutes": "-4"}, "greater than or equal to 0.1"),
        ({"hands": "0"}, "greater than or equal to 1"),
        ({"name": ""}, "required"),
        ({"part": "axle"}, "Select a valid choice"),
    ],
)
def test_a_wrong_operation_changes_nothing(owner: Client, changes: dict[str, str], sentence: str) -> None:
    turn = operation("turn-hub")
    page = owner.post(f"/settings/operations/{turn.pk}/", asked(turn, notes="kept", **changes))
    assert page.status_code == 422
    assert sentence in text(page)
    assert 'value="kept"' in text(page)
    assert operation("turn-hub") == turn
    assert operation("turn-hub").notes == turn.notes


def test_what_is_counted_stays_once_there_is_work(owner: Client, order: Order) -> None:
    turn = operation("turn-hub")
    assert "what it counts is fixed" in text(owner.get(f"/settings/operations/{turn.pk}/"))
    owner.post(f"/settings/operations/{turn.pk}/", asked(turn, per="spoke", name="Turn it"))
    turn.refresh_from_db()
    assert (turn.per, turn.name) == ("wheel", "Turn it")


def test_an_operation_is_retired_and_used_again(owner: Client) -> None:
    turn = operation("turn-hub")
    owner.post(f"/settings/operations/{turn.pk}/retire/")
    assert operation("turn-hub").retired_at
    assert "1 retired" in text(owner.get("/settings/operations/"))
    owner.post(f"/settings/operations/{turn.pk}/restore/")
    assert operation("turn-hub").retired_at is None


def test_a_wait_is_added_and_taken_off(owner: Client) -> None:
    box, turn = operation("fit-box"), operation("turn-hub")
    url = f"/settings/operations/{box.pk}/waits/"
    owner.post(url, {"on": turn.pk, "how": "wheel", "standing_minutes": "960"})
    wait = Wait.objects.get(operation=box, on_operation=turn)
    assert "then stands 16 h" in text(owner.get(f"/settings/operations/{box.pk}/"))
    assert owner.post(f"/settings/waits/{wait.pk}/drop/")["Location"] == f"/settings/operations/{box.pk}/#waits"
    assert not Wait.objects.filter(pk=wait.pk).exists()


def test_a_circle_of_waits_is_refused_by_name(owner: Client) -> None:
    turn, chop = operation("turn-hub"), operation("chop-mortise")
    page = owner.post(
        f"/settings/operations/{turn.pk}/waits/", {"on": chop.pk, "how": "wheel", "standing_minutes": "0"}
    )
    assert page.status_code == 422
    assert "They would wait in a circle: “Turn hub” waits on “Chop mortise”" in text(page)
    assert not Wait.objects.filter(operation=turn, on_operation=chop).exists()


def test_the_choices_are_those_of_a_make_up() -> None:
    known = {
        "hub": makeups.Hub, "rim": makeups.Rim, "tongue": makeups.Tongue, "tyre": makeups.Tyre,
        "fastening": makeups.Fastening, "box": makeups.Box,
    }  # fmt: skip
    assert {choice: tuple(values) for choice, (_, values) in CHOICES.items() if choice in known} == {
        choice: get_args(values) for choice, values in known.items()
    }


def test_every_starting_choice_is_on_the_form(shop: Shop) -> None:
    asked_for = {choice for one in Operation.objects.all() for choice in one.chosen_by}
    assert asked_for
    assert asked_for <= set(CHOICES)


def test_the_lists_ask_as_often_however_long_they_are(
    owner: Client, osk: Hand, django_assert_max_num_queries: object
) -> None:
    for path in ("operations/", "rates/", "hands/"):
        with django_assert_max_num_queries(8):  # type: ignore[operator]
            owner.get(f"/settings/{path}")
