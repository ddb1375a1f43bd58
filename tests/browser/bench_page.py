"""Idris at the bench, on loose pieces of which many are to go."""

import re
import time
from weakref import WeakKeyDictionary

from playwright.sync_api import BrowserContext, Page

from tests.started import Served


def come_in(device: BrowserContext, shop: Served, page: Page | None = None, *, name: str = "Idris") -> Page:
    """A page on the first job that is ready, with the clock running."""
    page = page or device.new_page()
    page.goto(f"{shop.url}/bench/")
    page.get_by_role("button", name=name).click()
    # Else the next page might be asked for before the door has let in.
    page.wait_for_url(re.compile("/bench/jobs?/$"))
    return start_first(page, shop)


def start_first(page: Page, shop: Served) -> Page:
    """On the page of a hand who has come in."""
    page.goto(f"{shop.url}/bench/jobs/")
    page.get_by_role("button", name="Start").first.click()
    page.wait_for_url("**/bench/job/")
    return page


def count(page: Page) -> int:
    return int(page.locator(".count b").inner_text())


def wait_for_count(page: Page, wanted: int) -> None:
    page.wait_for_function("wanted => document.querySelector('.count b')?.textContent === String(wanted)", arg=wanted)


# A finger that shakes: the bench takes a second touch within half a second for the first.
A_BREATH = 0.55
touched_at: WeakKeyDictionary[Page, float] = WeakKeyDictionary()


def after_the_pause(page: Page) -> None:
    """A finger may come again after half a second."""
    page.wait_for_timeout(1000 * A_BREATH)


def touch(page: Page) -> None:
    """One done, no sooner after the touch before than the bench takes for another."""
    since = time.monotonic() - touched_at.get(page, 0.0)
    if since < A_BREATH:
        page.wait_for_timeout(1000 * (A_BREATH - since))
    page.get_by_role("button", name="One done").click()
    touched_at[page] = time.monotonic()


def tap(page: Page, times: int = 1) -> None:
    """So many touches, until the device has kept and counted them all; what others tell meanwhile may count too."""
    wanted = count(page) + times
    for _ in range(times):
        touch(page)
    page.wait_for_function("wanted => Number(document.querySelector('.count b')?.textContent) >= wanted", arg=wanted)
