"""The whole job again with JavaScript off, as far as plain forms reach: all of it."""

import re

from playwright.sync_api import Page, expect

from tests.browser.steps import AtShop, begin, come_in, end_day, expect_count, one_done, sign_out
from tests.browser.whole_job import (
    AN_HOUR_AGO,
    BANDS,
    HUB,
    LONG_AGO,
    PIN,
    RIM,
    check_cost,
    open_and_man,
    take_four,
    tell_all,
    through_the_forge,
)
from tests.started import Served


def test_the_whole_job_by_plain_forms(plain_phone: Page, empty_shop: Served) -> None:
    at = AtShop(plain_phone, empty_shop.url)
    open_and_man(at)
    number = take_four(at)
    sign_out(at)
    come_in(at, "Joss", PIN)
    count_by_forms(at)
    tell_all(at, (*HUB, ("Chop mortise", 14, "wheel")), ago=LONG_AGO)
    tell_all(at, BANDS, ago=AN_HOUR_AGO)
    tell_all(at, RIM, ago=AN_HOUR_AGO)
    begin(at, "Run wheel, set draw", "near hind")
    one_done(at).click()
    expect_count(at, 1, 1)
    at.go("/bench/jobs/")
    end_day(at)
    through_the_forge(at)
    check_cost(at, number)


def count_by_forms(at: AtShop) -> None:
    """Every touch is a form of its own, and a page that says what stands after it."""
    begin(at, "Rough out spoke", "hind pair")
    for done in (1, 2):
        one_done(at).click()
        expect_count(at, done, 28)
    sent_twice(at)
    at.page.locator("#undo").click()
    expect_count(at, 2, 28)
    at.follow("A number")
    at.answer("How many", "12")
    at.answer("In how long?", "2 h 10")
    at.press("Count them")
    expect_count(at, 14, 28)
    at.follow("Spoiled")
    at.page.get_by_label("the work", exact=True).check()
    at.press("Spoiled")
    expect_count(at, 14, 28)
    expect(at.page.locator("#undo")).to_contain_text("1 spoiled")
    at.press("Pause")
    expect(at.page.locator('span[data-clock="stopped"]')).to_be_visible()
    at.press("Go on")
    expect(at.page.locator('span[data-clock="running"]')).to_be_visible()
    at.page.get_by_role("button", name=re.compile(r"^All the rest \(14\)")).click()
    expect_count(at, 28, 28)


def sent_twice(at: AtShop) -> None:
    """The same form sent once more, as by a finger on "reload", counts once."""
    form = at.page.locator("form", has=one_done(at))
    told = {field.get_attribute("name"): field.get_attribute("value") for field in form.locator("input").all()}
    one_done(at).click()
    expect_count(at, 3, 28)
    again = at.page.request.post(f"{at.url}/bench/fact/", form=told, headers={"Referer": at.url})  # type: ignore[arg-type]
    assert again.ok
    at.go("/bench/job/")
    expect_count(at, 3, 28)
