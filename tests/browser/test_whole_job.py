"""The whole job on a phone: a shop is opened, an order taken, a wheel made piece by piece, tyred and reckoned."""

import re

from playwright.sync_api import Page, expect

from tests.browser.bench_page import after_the_pause
from tests.browser.steps import (
    AtShop,
    begin,
    come_in,
    counted,
    day_book_rows,
    end_day,
    expect_count,
    one_done,
    sign_out,
)
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

# A finger that shakes: the bench takes a second touch within half a second for the first.
A_BREATH = 550


def test_the_whole_job(phone: Page, empty_shop: Served) -> None:
    at = AtShop(phone, empty_shop.url)
    open_and_man(at)
    number = take_four(at)
    sign_out(at)
    come_in(at, "Joss", PIN)
    rough_out_spokes(at)
    chop_mortises(at)
    begin(at, "Run wheel, set draw", "near hind")
    one_done(at).click()
    expect_count(at, 1, 1)
    helped_in_another_name(at)
    through_the_forge(at)
    check_cost(at, number)
    progress(at, number)


def rough_out_spokes(at: AtShop) -> None:
    """28 spokes for the hind pair: by taps, by number, by the rest; one spoiled, one undone."""
    begin(at, "Rough out spoke", "hind pair")
    expect_count(at, 0, 28)
    expect(at.page.locator('span[data-clock="running"]')).to_be_visible()
    for done in (1, 2, 3):
        one_done(at).click()
        expect_count(at, done, 28)
        at.page.wait_for_timeout(A_BREATH)
    one_done(at).dblclick()
    expect_count(at, 4, 28)
    tapped_fast(at)
    at.page.locator("#undo").click()
    expect(at.page.locator("#said")).not_to_be_empty()
    there = counted(at)[0]
    a_number(at, there)
    spoil_one(at, there + 12)
    pause_and_go_on(at)
    at.page.get_by_role("button", name=re.compile(r"^All the rest \(")).click()
    expect_count(at, 28, 28)


def tapped_fast(at: AtShop) -> None:
    """However fast the taps come: what is shown afterwards is what is kept, each timed."""
    at.page.wait_for_timeout(A_BREATH)
    for _ in range(8):
        one_done(at).click(no_wait_after=True)
        at.page.wait_for_timeout(130)
    # Until the last is kept, if it was taken: what waits is told from then on.
    after_the_pause(at.page)
    expect(at.page.locator("#unsent")).to_have_attribute("data-waiting", "0")
    shown, _ = counted(at)
    assert shown > 4
    at.page.reload()
    assert counted(at) == (shown, 28)


def a_number(at: AtShop, there: int) -> None:
    """Twelve in 2 h 10, on the pad of figures."""
    at.follow("A number")
    for key in ("1", "2"):
        at.page.locator("#pad").get_by_role("button", name=key, exact=True).click()
    at.answer("In how long?", "2 h 10")
    at.press("12 done")
    expect_count(at, there + 12, 28)
    expect(at.page.locator("#undo")).to_contain_text("12 roughed out")


def spoil_one(at: AtShop, there: int) -> None:
    """One that had been counted: it is to be made again."""
    at.follow("Spoiled")
    at.page.get_by_label("the timber", exact=True).check()
    at.page.get_by_label(re.compile("^How many of them had been counted done")).fill("1")
    at.press("Spoiled")
    expect_count(at, there - 1, 28)
    expect(at.page.locator("#undo")).to_contain_text("1 spoiled")


def pause_and_go_on(at: AtShop) -> None:
    at.press("Pause")
    expect(at.page.locator('span[data-clock="stopped"]')).to_be_visible()
    # Where “Pause” was: a finger that shakes must not start the clock again.
    after_the_pause(at.page)
    at.press("Go on")
    expect(at.page.locator('span[data-clock="running"]')).to_be_visible()


def chop_mortises(at: AtShop) -> None:
    """Another job: the first of its mortises by a tap, the rest of the wheel at once, the middle as told."""
    tell_all(at, HUB, ago=LONG_AGO)
    at.page.reload()
    at.follow("Change job")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Ready to go on with")
    begin(at, "Chop mortise", "near hind")
    one_done(at).click()
    expect_count(at, 1, 14)
    at.page.wait_for_timeout(A_BREATH)
    at.press("Rest of this wheel (13)")
    expect_count(at, 14, 14)
    expect(at.page.get_by_role("button", name="Next: off hind")).to_be_visible()
    tell_all(at, BANDS, ago=AN_HOUR_AGO)
    tell_all(at, RIM, ago=AN_HOUR_AGO)


def helped_in_another_name(at: AtShop) -> None:
    """Joss ends his day; Tib comes in without a PIN, and finds nothing running in that name."""
    at.go("/bench/jobs/")
    end_day(at)
    come_in(at, "Tib")
    expect(at.page.get_by_role("heading", level=1)).to_have_text("Ready to go on with")
    end_day(at)


def progress(at: AtShop, number: int) -> None:
    """The order page tells how far the set is, in words and in counts."""
    at.go(f"/orders/{number}/")
    at.sees("About a quarter done")
    near = at.page.locator("figure", has_text="near hind").first
    expect(near).to_contain_text("14 of 14 spokes driven, 7 of 7 felloes on, tyre on")
    roughed = at.page.get_by_role("row", name=re.compile("^Rough out spoke")).first
    expect(roughed).to_contain_text("28 of 28")
    expect(roughed).to_contain_text("1 spoiled")
    made = [row for row in day_book_rows(at) if row["operation"] == "Rough out spoke"]
    assert sum(int(row["made"]) - int(row["lost"]) for row in made) == 28
    assert sum(int(row["spoiled"]) for row in made) == 1
    assert any(row["seconds"] == "7800" and row["made"] == "12" for row in made)
