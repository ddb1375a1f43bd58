"""Settings of the shop itself, and its words."""

from datetime import date

import pytest
from django.http import HttpResponse
from django.test import Client

from shop.models import AuditLine, Hand, Shop
from shop.rates_written import record_rate
from tests.factories import NOW


def text(page: HttpResponse) -> str:
    return page.content.decode()


def shop_answers(**changes: object) -> dict[str, object]:
    plain = {"name": "Alder Lane", "units": "mm", "currency": "GBP", "time_zone": "Europe/London"}
    return {**plain, "dinner_from": "", "dinner_to": "", "smith_name": "", **changes}


def test_the_shop_is_kept(owner: Client) -> None:
    answers = shop_answers(
        currency="jpy",
        units="in",
        dinner_from="12.00",
        dinner_to="12:45",
        smith_days=["1", "3"],
        smith_name="Bram Howe",
        leaves_out_apprentices="on",
    )
    assert owner.post("/settings/shop/", answers)["Location"] == "/settings/"
    shop = Shop.objects.get()
    assert (shop.currency, shop.units, shop.smith_days, shop.smith_name) == ("JPY", "in", [1, 3], "Bram Howe")
    assert (str(shop.dinner_from), str(shop.dinner_to)) == ("12:00:00", "12:45:00")
    assert shop.leaves_out_apprentices
    assert AuditLine.objects.get().after.endswith("An apprentice's time is left out of usual times: yes")
    page = text(owner.get("/settings/shop/"))
    assert 'value="12.45"' in page


def test_the_money_stays_that_of_the_rules_that_pay_is_checked_by(owner: Client) -> None:
    Shop.objects.update(pay_rules="gb")
    page = owner.post("/settings/shop/", shop_answers(currency="EUR"))
    assert (page.status_code, "checked by are in GBP: choose others first" in text(page)) == (422, True)
    assert owner.post("/settings/shop/", shop_answers(name="Elm Row")).status_code == 302
    assert (Shop.objects.get().name, Shop.objects.get().currency) == ("Elm Row", "GBP")


def test_no_days_and_no_dinner_may_be_kept(owner: Client) -> None:
    Shop.objects.update(smith_days=[3], dinner_from="12:00", dinner_to="12:45")
    owner.post("/settings/shop/", shop_answers())
    shop = Shop.objects.get()
    assert (shop.smith_days, shop.dinner_from, shop.dinner_to) == ([], None, None)


@pytest.mark.parametrize(
    ("answers", "kept"), [({}, 5), ({"normal_spoiled_percent": ""}, 0), ({"normal_spoiled_percent": "3"}, 3)]
)
def test_what_is_normal_of_spoiled_work_is_kept_or_stays(owner: Client, answers: dict[str, str], kept: int) -> None:
    owner.post("/settings/shop/", shop_answers(**answers))
    assert Shop.objects.get().normal_spoiled_percent == kept
    assert ("wheels: 0" in AuditLine.objects.get().after) == (kept == 0)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"currency": "QQQ"}, "“QQQ” is not a currency"),
        ({"time_zone": "Europe/Atlantis"}, "That is not offered here"),
        ({"dinner_from": "12.00"}, "both times of dinner, or neither"),
        ({"dinner_from": "12.00", "dinner_to": "11.00"}, "Dinner ends before it begins"),
        ({"dinner_from": "noon", "dinner_to": "13.00"}, "Write the time as 12.30"),
        ({"smith_days": ["7"]}, "That is not offered here"),
        ({"normal_spoiled_percent": "101"}, "It is a part of the work: from 0 to 100."),
        ({"normal_spoiled_percent": "5 %"}, "Write a whole number, as 5."),
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
