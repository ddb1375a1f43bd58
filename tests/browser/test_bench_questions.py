"""A question that the shop asks about the time so far, on the spot and late; and two pages of one hand."""

import re
import sqlite3
from contextlib import closing

from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browser.bench_page import come_in, count, tap, wait_for_count
from tests.browser.test_without_network import newest, rows, wait_until_kept, wait_until_sent
from tests.started import Served

LONG_AGO = (
    "UPDATE timing_clock SET started_at = datetime(started_at, '-20 hours') "
    "WHERE hand_id = (SELECT user_id FROM shop_hand WHERE name = ?)"
)
# A clock counts from the last work that was told: before noon that of yesterday would shorten the time.
IDLE_SINCE = (
    "UPDATE timing_stretch SET started_at = datetime(started_at, '-7 days'), done_at = datetime(done_at, '-7 days') "
    "WHERE hand_id = (SELECT user_id FROM shop_hand WHERE name = ?) AND done_at > datetime('now', '-2 days')"
)
KEEP_ANSWER = "Yes, 20 h"


def long_running(device: BrowserContext, shop: Served, name: str) -> Page:
    """The page of a hand whose clock has run since yesterday."""
    page = come_in(device, shop, name=name)
    with closing(sqlite3.connect(shop.data / "shop.sqlite3", timeout=20)) as connection, connection:
        connection.execute(LONG_AGO, (name,))
        connection.execute(IDLE_SINCE, (name,))
    page.reload()
    wait_until_kept(page)
    return page


def other_job(page: Page) -> None:
    """Turn to another job of the list, however short that is today."""
    task = page.locator("#job-wheels").get_attribute("data-task")
    page.get_by_role("link", name="Change job").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ready to go on with")
    page.locator(f"main button[name=task]:not([value='{task}'])", has_text="Start").first.click()


def test_a_turn_waits_for_the_answer(device: BrowserContext, example_shop: Served) -> None:
    page = long_running(device, example_shop, "Nell")
    other_job(page)
    expect(page.locator("#question")).to_contain_text("The clock ran for 20 h")
    page.get_by_role("button", name=re.compile(KEEP_ANSWER)).click()
    page.wait_for_url("**/bench/job/")
    expect(page.locator("#question")).to_have_count(0)
    expect(page.locator(".count b")).to_be_visible()
    longest = rows(example_shop, "SELECT MAX(seconds) FROM timing_stretch")[0][0]
    assert int(str(longest)) >= 20 * 3600


def test_a_late_question_goes_away_with_its_answer(device: BrowserContext, example_shop: Served) -> None:
    page = long_running(device, example_shop, "Pip")
    device.set_offline(True)
    other_job(page)
    expect(page.locator(".count b")).to_be_visible()
    device.set_offline(False)
    told = page.locator("#not-taken")
    expect(told).to_contain_text("The clock ran for 20 h", timeout=30_000)
    told.get_by_role("button", name="Send again").click()
    page.get_by_role("button", name=re.compile(KEEP_ANSWER)).click()
    expect(page.locator("#question")).to_have_count(0)
    expect(page.get_by_role("button", name="One done")).to_be_visible()


def test_two_pages_of_one_hand_tell_no_time_twice(device: BrowserContext, example_shop: Served) -> None:
    one = come_in(device, example_shop)
    other = device.new_page()
    other.goto(one.url)
    before = newest(example_shop)
    one.wait_for_timeout(3000)
    shown = count(other)
    tap(other)
    wait_until_sent(other)
    one.wait_for_timeout(1000)
    tap(one)
    wait_for_count(one, shown + 2)
    wait_until_sent(one)
    told = rows(example_shop, "SELECT started_at, done_at FROM timing_stretch WHERE id > ? ORDER BY id", before)
    assert len(told) == 2
    assert str(told[1][0]) >= str(told[0][1])


def test_who_signs_out_leaves_no_page_behind(device: BrowserContext, example_shop: Served) -> None:
    page = come_in(device, example_shop)
    wait_until_kept(page)
    page.locator("details.go-to summary").click()
    page.locator("details.go-to").get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert page.evaluate("caches.has('bench-kept')") is False


def test_what_is_just_being_kept_does_not_come_back_after_signing_out(
    device: BrowserContext, example_shop: Served
) -> None:
    page = come_in(device, example_shop)
    wait_until_kept(page)
    asked: list[Route] = []
    left: list[Route] = []
    page.route("**/bench/kept/", lambda route: asked.append(route))
    page.route("**/sign-out/", lambda route: left.append(route))
    page.reload()
    wait_until_asked(page, asked)
    page.locator("details.go-to summary").click()
    # By the page itself: a click of Playwright's may wait for the answer that is held back here.
    page.locator("details.go-to").get_by_role("button", name="Sign out").evaluate("button => button.click()")
    wait_until_asked(page, left)
    asked[0].continue_()
    page.wait_for_timeout(1000)
    left[0].continue_()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert page.evaluate("caches.has('bench-kept')") is False


def wait_until_asked(page: Page, held: list[Route]) -> None:
    for _ in range(100):
        if held:
            return
        page.wait_for_timeout(50)
    raise AssertionError("nothing was asked for")
