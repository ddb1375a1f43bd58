"""Idris at the bench, on loose pieces of which many are to go."""

import re

from playwright.sync_api import BrowserContext, Page

from tests.started import Served


def come_in(device: BrowserContext, shop: Served, page: Page | None = None, *, name: str = "Idris") -> Page:
    """A page on the first job that is ready, with the clock running."""
    page = page or device.new_page()
    page.goto(f"{shop.url}/bench/")
    page.get_by_role("button", name=name).click()
    # Else the next page might be asked for before the door has let in.
    page.wait_for_url(re.compile("/bench/jobs?/$"))
    page.goto(f"{shop.url}/bench/jobs/")
    page.get_by_role("button", name="Start").first.click()
    page.wait_for_url("**/bench/job/")
    return page


def count(page: Page) -> int:
    return int(page.locator(".count b").inner_text())


def wait_for_count(page: Page, wanted: int) -> None:
    page.wait_for_function("wanted => document.querySelector('.count b')?.textContent === String(wanted)", arg=wanted)


def after_the_pause(page: Page) -> None:
    """A finger may come again after half a second."""
    page.wait_for_timeout(550)


def tap(page: Page, times: int = 1) -> None:
    for _ in range(times):
        page.get_by_role("button", name="One done").click()
        after_the_pause(page)
