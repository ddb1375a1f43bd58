"""What the bench tells is kept on the device until the shop has it: once, in order, with its own times."""

import re
import sqlite3
from datetime import UTC, datetime

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.browser.bench_page import come_in, count, tap, touch, wait_for_count
from tests.started import Served

SAVED = "SELECT token, done_at, cancels_token FROM timing_stretch ORDER BY id DESC LIMIT ?"


def saved(shop: Served, last: int) -> list[tuple[str, str, str | None]]:
    """Token, moment and what it undoes of the last stretches, the oldest first."""
    connection = sqlite3.connect(shop.data / "shop.sqlite3")
    rows = connection.execute(SAVED, (last,)).fetchall()
    connection.close()
    return rows[::-1]


def expect_unsent(page: Page, words: str) -> None:
    expect(page.locator("#unsent")).to_contain_text(words)


def wait_until_sent(page: Page) -> None:
    expect(page.locator("#unsent")).to_have_attribute("data-waiting", "0", timeout=20_000)
    expect(page.locator("#unsent")).to_be_hidden()


def test_without_a_network_taps_count_and_are_sent_later(
    page: Page, device: BrowserContext, example_shop: Served
) -> None:
    before = count(page)
    device.set_offline(True)
    tap(page, 3)
    expect_unsent(page, "Not saved yet: 3. No answer from the shop.")
    wait_for_count(page, before + 3)
    device.set_offline(False)
    wait_until_sent(page)
    wait_for_count(page, before + 3)
    moments = [done_at for _, done_at, _ in saved(example_shop, 3)]
    assert moments == sorted(moments)
    assert len(set(moments)) == 3
    page.reload()
    assert count(page) == before + 3


def test_what_waits_outlives_its_page(page: Page, device: BrowserContext, example_shop: Served) -> None:
    before = count(page)
    device.set_offline(True)
    tap(page, 2)
    page.close()
    device.set_offline(False)
    later = device.new_page()
    later.goto(f"{example_shop.url}/bench/job/")
    wait_for_count(later, before + 2)
    wait_until_sent(later)
    later.reload()
    assert count(later) == before + 2


def test_what_waits_is_sent_from_any_page_of_the_bench(
    page: Page, device: BrowserContext, example_shop: Served
) -> None:
    before = count(page)
    page.route("**/bench/fact/", lambda route: route.abort())
    tap(page)
    expect_unsent(page, "Not saved yet: 1.")
    page.goto(f"{example_shop.url}/bench/jobs/")
    page.locator("#unsent").wait_for(state="visible")
    page.unroute("**/bench/fact/")
    wait_until_sent(page)
    page.goto(f"{example_shop.url}/bench/job/")
    assert count(page) == before + 1


def test_it_is_sent_again_by_itself(page: Page) -> None:
    """Nothing tells the page that a server is up again: it asks."""
    before = count(page)
    page.route("**/bench/fact/", lambda route: route.abort(), times=2)
    tap(page)
    expect_unsent(page, "Not saved yet: 1.")
    wait_until_sent(page)
    page.reload()
    assert count(page) == before + 1


def test_a_lost_answer_sent_again_counts_once(page: Page) -> None:
    before = count(page)

    def save_and_lose(route: Route) -> None:
        route.fetch()
        route.abort()

    page.route("**/bench/fact/", save_and_lose, times=1)
    page.get_by_role("button", name="One done").click()
    page.locator("#unsent").wait_for(state="visible")
    page.get_by_role("button", name="Send again").first.click()
    wait_until_sent(page)
    page.reload()
    assert count(page) == before + 1


def test_undo_without_a_network_takes_back_the_last_touch(
    page: Page, device: BrowserContext, example_shop: Served
) -> None:
    tap(page)
    wait_until_sent(page)
    before = count(page)
    device.set_offline(True)
    tap(page, 2)
    page.get_by_role("button", name="Undo last").click()
    wait_for_count(page, before + 1)
    # Else the network might be back before the undoing is kept.
    expect_unsent(page, "Not saved yet: 3.")
    device.set_offline(False)
    wait_until_sent(page)
    first, second, undone = saved(example_shop, 3)
    assert undone[2] == second[0]
    assert first[2] is None
    page.reload()
    assert count(page) == before + 1


def test_a_sign_in_that_ended_keeps_everything(page: Page, device: BrowserContext, example_shop: Served) -> None:
    before = count(page)
    device.clear_cookies(name="sessionid")
    tap(page, 2)
    expect_unsent(page, "2. You were signed out: come in again.")
    with device.expect_page() as opened:
        page.get_by_role("link", name="Come in again").click()
    other = opened.value
    other.get_by_role("button", name="Idris").click()
    wait_until_sent(page)
    page.reload()
    assert count(page) == before + 2


def made_since(shop: Served, at: str) -> list[tuple[str, int]]:
    """Who made how many, by the stretches that were received after a moment."""
    connection = sqlite3.connect(shop.data / "shop.sqlite3")
    rows = connection.execute(
        "SELECT h.name, t.made FROM timing_stretch s JOIN timing_tally t ON t.stretch_id = s.id "
        "JOIN shop_hand h ON h.user_id = s.hand_id WHERE s.received_at > ? AND t.made > 0",
        (at,),
    ).fetchall()
    connection.close()
    return rows


def test_another_hand_sends_nothing_of_the_first(page: Page, device: BrowserContext, example_shop: Served) -> None:
    begun = f"{datetime.now(UTC):%Y-%m-%d %H:%M:%S}"
    page.route("**/bench/fact/", lambda route: route.abort())
    tap(page)
    device.clear_cookies(name="sessionid")
    other = device.new_page()
    other.goto(f"{example_shop.url}/bench/")
    other.get_by_role("button", name="Nell").click()
    # Else the next page might be asked for before the door has let in.
    other.wait_for_url(re.compile("/bench/jobs?/$"))
    other.goto(f"{example_shop.url}/bench/jobs/")
    other.locator("#unsent").wait_for(state="visible")
    expect_unsent(other, "1 of Idris, to be sent when they come in.")
    page.unroute("**/bench/fact/")
    page.get_by_role("button", name="Send again").first.click()
    page.get_by_text("Someone else is signed in here").wait_for()
    device.clear_cookies(name="sessionid")
    again = come_in(device, example_shop)
    wait_until_sent(again)
    assert made_since(example_shop, begun) == [("Idris", 1)]


@pytest.mark.parametrize("decision", ["Send again", "Throw it away"])
def test_what_the_shop_refuses_is_the_person_s_to_decide(page: Page, decision: str) -> None:
    before = count(page)
    trouble = '<div id="trouble" data-part role="alert"><p>The hoop is cold.</p></div>'
    page.route("**/bench/fact/", lambda route: route.fulfill(status=422, body=trouble), times=1)
    touch(page)
    told = page.locator("#not-taken")
    expect(told).to_contain_text("One done: The hoop is cold.")
    wait_for_count(page, before)
    page.goto(page.url)
    told.wait_for(state="visible")
    told.get_by_role("button", name=decision).click()
    told.wait_for(state="hidden")
    page.reload()
    assert count(page) == before + (decision == "Send again")


NO_STORE = "Object.defineProperty(window, 'indexedDB', { value: { open() { throw new Error(); } } })"
FULL_STORE = "IDBObjectStore.prototype.put = () => { throw new DOMException('', 'QuotaExceededError'); }"


@pytest.mark.parametrize("store", [NO_STORE, FULL_STORE], ids=["none", "full"])
def test_a_device_that_keeps_nothing_says_so(device: BrowserContext, example_shop: Served, store: str) -> None:
    device.add_init_script(store)
    page = come_in(device, example_shop)
    before = count(page)
    page.route("**/bench/fact/", lambda route: route.abort())
    tap(page)
    expect_unsent(page, "This device can’t keep them: leave this page open until they are saved.")
    page.unroute("**/bench/fact/")
    page.get_by_role("button", name="Send again").first.click()
    wait_until_sent(page)
    page.reload()
    assert count(page) == before + 1


def test_a_refusal_is_not_lost_among_the_taps_behind_it(page: Page, device: BrowserContext) -> None:
    """Two wait; the first is refused and the second saved: both are accounted for."""
    before = count(page)
    device.set_offline(True)
    tap(page, 2)
    trouble = '<div id="trouble" data-part role="alert"><p>The hoop is cold.</p></div>'
    page.route("**/bench/fact/", lambda route: route.fulfill(status=422, body=trouble), times=1)
    device.set_offline(False)
    told = page.locator("#not-taken")
    expect(told).to_contain_text("The hoop is cold.")
    wait_until_sent(page)
    wait_for_count(page, before + 1)
    told.get_by_role("button", name="Send again").click()
    told.wait_for(state="hidden")
    page.reload()
    assert count(page) == before + 2
