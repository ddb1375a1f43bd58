"""The bench goes on without the network: taps over three jobs, each saved once and in order."""

import itertools
import os
import re
import sqlite3
from datetime import datetime, timedelta

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.bench_page import come_in, count, wait_for_count
from tests.commands import manage
from tests.started import Served

A_PIECE = timedelta(seconds=40)
# Two hundred, or in every check fewer: OFFLINE_TAPS=200.
MANY = int(os.environ.get("OFFLINE_TAPS", "45"))
TAPS = (MANY - 2 * (MANY // 3), MANY // 3, MANY // 3)
MADE = (
    "SELECT t.task_id, s.done_at, s.sent_at, s.received_at, s.seconds, t.made FROM timing_stretch s "
    "JOIN timing_tally t ON t.stretch_id = s.id WHERE s.id > ? ORDER BY s.id"
)


def rows(shop: Served, query: str, *values: int) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(shop.data / "shop.sqlite3")
    found = connection.execute(query, values).fetchall()
    connection.close()
    return found


def newest(shop: Served) -> int:
    return int(str(rows(shop, "SELECT MAX(id) FROM timing_stretch")[0][0]))


def wait_until(page: Page, promised: str) -> None:
    """Ask again and again for what a page promises, since a promise itself is true at once."""
    for _ in range(150):
        if page.evaluate(f"async () => Boolean(await {promised})"):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"not within 15 s: {promised}")


def wait_until_kept(page: Page) -> None:
    """The device has what it needs to go on."""
    wait_until(page, "kept.find('jobs')")


def wait_until_sent(page: Page) -> None:
    expect(page.locator("#unsent")).to_have_attribute("data-waiting", "0", timeout=150_000)


def tap_often(page: Page, times: int) -> None:
    """Each piece takes its time by the device's clock, and none by ours."""
    for _ in range(times):
        page.clock.fast_forward(int(A_PIECE.total_seconds() * 1000))
        page.evaluate("() => document.getElementById('one-done').click()")


def turn_to_another(page: Page, done: list[str]) -> None:
    """By the list that the device keeps, to the first job of it that is none of these tasks."""
    page.clock.fast_forward(1000)
    page.get_by_role("link", name="Change job").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ready to go on with")
    others = "".join(f":not([value='{task}'])" for task in done)
    page.clock.fast_forward(1000)
    page.locator(f"main button[name=task]{others}", has_text="Start").first.click()
    expect(page.locator(".count b")).to_be_visible()


def work_without_network(page: Page) -> list[str]:
    """Many taps over three jobs; the tasks that they were for."""
    tasks: list[str] = []
    for times in TAPS:
        if tasks:
            turn_to_another(page, tasks)
        tasks.append(str(page.locator("#job-wheels").get_attribute("data-task")))
        before = count(page)
        tap_often(page, times)
        wait_for_count(page, before + times)
    assert len(set(tasks)) == len(TAPS)
    return tasks


def expect_all_saved(shop: Served, after: int, tasks: list[str]) -> None:
    """Every tap once, in the order of the taps, of the time that its piece took."""
    made = [row for row in rows(shop, MADE, after) if row[5]]
    told = [task for task, times in zip(tasks, TAPS, strict=True) for _ in range(times)]
    assert [str(row[0]) for row in made] == told
    moments = [datetime.fromisoformat(str(row[1])) for row in made]
    assert all(one < other for one, other in itertools.pairwise(moments))
    for (begun, one), (done, other) in itertools.pairwise(zip(moments, made, strict=True)):
        if one[0] == other[0]:
            assert abs((done - begun).total_seconds() - int(str(other[4]))) <= 1
            assert int(str(other[4])) >= A_PIECE.total_seconds()
    assert manage(shop.data, "recount").returncode == 0


def begin(device: BrowserContext, shop: Served, *, slow: timedelta = timedelta()) -> Page:
    """Idris at the bench, on a device whose clock may be wrong; it has kept what it needs, and the network goes."""
    page = device.new_page()
    page.clock.install(time=datetime.now() - slow)
    come_in(device, shop, page)
    wait_until_kept(page)
    device.set_offline(True)
    return page


def test_a_kept_list_opens_its_jobs_whatever_is_kept_meanwhile(device: BrowserContext, example_shop: Served) -> None:
    page = device.new_page()
    page.clock.install(time=datetime.now())
    come_in(device, example_shop, page)
    wait_until_kept(page)
    other = page.evaluate("fetch('/bench/kept/').then((response) => response.text())")
    without_jobs = re.sub(r'<template data-kept="job-.*?</template>', "", other, flags=re.DOTALL)
    page.route("**/*", lambda route: route.abort())
    page.route("**/bench/kept/", lambda route: route.fulfill(body=without_jobs, content_type="text/html"))
    page.get_by_role("link", name="Change job").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Ready to go on with")
    with page.expect_response("**/bench/kept/"):
        page.clock.fast_forward(300_000)
    page.wait_for_timeout(500)
    page.get_by_role("button", name="Start").nth(1).click()
    expect(page.locator(".count b")).to_be_visible()


@pytest.mark.parametrize("slow", [timedelta(), timedelta(hours=1)], ids=["right", "an hour slow"])
def test_many_taps_over_three_jobs(device: BrowserContext, example_shop: Served, slow: timedelta) -> None:
    page = begin(device, example_shop, slow=slow)
    before = newest(example_shop)
    tasks = work_without_network(page)
    expect(page.locator("#unsent")).to_contain_text("No answer from the shop.")
    assert newest(example_shop) == before
    device.set_offline(False)
    wait_until_sent(page)
    expect_all_saved(example_shop, before, tasks)


def test_the_same_with_the_sign_in_ended_meanwhile(device: BrowserContext, example_shop: Served) -> None:
    page = begin(device, example_shop)
    before = newest(example_shop)
    tasks = work_without_network(page)
    device.clear_cookies(name="sessionid")
    device.set_offline(False)
    page.get_by_role("button", name="Send again").first.click()
    expect(page.locator("#unsent")).to_contain_text("You were signed out: come in again.")
    with device.expect_page() as opened:
        page.get_by_role("link", name="Come in again").click()
    opened.value.get_by_role("button", name="Idris").click()
    wait_until_sent(opened.value)
    expect_all_saved(example_shop, before, tasks)


def test_the_same_with_the_page_opened_again_without_the_network(device: BrowserContext, example_shop: Served) -> None:
    """On this machine itself, as under HTTPS, a service worker gives the page."""
    page = begin(device, example_shop)
    before = newest(example_shop)
    wait_until(page, "caches.match('/bench/kept/')")
    wait_until(page, "navigator.serviceWorker.controller")
    tasks = work_without_network(page)
    counted = count(page)
    page.reload()
    wait_for_count(page, counted)
    expect(page.locator("#away")).to_contain_text("The shop does not answer. This was kept at")
    device.set_offline(False)
    wait_until_sent(page)
    expect_all_saved(example_shop, before, tasks)
