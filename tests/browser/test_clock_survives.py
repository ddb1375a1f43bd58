"""A page that is closed, a phone that dies, a server that is killed: the clock runs on, and what was told is kept."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.bench_page import start_first, wait_for_count
from tests.browser.conftest import OWNER, PHONE, enrolled, sign_in
from tests.browser.steps import AtShop, come_in, counted, expect_count, one_done
from tests.started import Served, serve


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory, example_file: Path) -> Iterator[Served]:
    """The example once more, to be killed."""
    folder = tmp_path_factory.mktemp("survives")
    shutil.copy(example_file, folder / "shop.sqlite3")
    served = serve(folder)
    yield served
    served.stop()


def new_phone(chromium: Browser, state: Any = None) -> BrowserContext:
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True, storage_state=state)  # type: ignore[arg-type]
    context.set_default_timeout(10_000)
    return context


def began(page: Page) -> str:
    """When the clock began, as the form of a tap carries it."""
    found = page.locator("form", has=page.locator("#one-done")).locator("input[name=started_at]").get_attribute("value")
    assert found
    return found


def test_the_clock_survives(chromium: Browser, shop: Served, request: pytest.FixtureRequest) -> None:
    context = new_phone(chromium, enrolled(chromium, shop, "the bench", sign_in(chromium, shop, *OWNER)))
    at = AtShop(context.new_page(), shop.url)
    come_in(at, "Osk", "4071")
    start_first(at.page, shop)
    job, (good, of) = at.page.get_by_role("heading", level=1).inner_text(), counted(at)
    one_done(at).click()
    expect_count(at, good + 1, of)
    at.page.reload()
    since, state = began(at.page), context.storage_state()
    # The page is closed, and the phone with it.
    context.close()
    context = new_phone(chromium, state)
    at = AtShop(context.new_page(), shop.url)
    at.go("/bench/")
    expect(at.page.get_by_role("heading", level=1)).to_have_text(job)
    expect(at.page.locator('span[data-clock="running"]')).to_be_visible()
    assert began(at.page) == since
    expect_count(at, good + 1, of)

    # The server is killed between one tap and the next: what it acknowledged is there, what it did not is not lost.
    shop.kill()
    one_done(at).click()
    expect(at.page.locator("#unsent")).to_contain_text("Not saved yet: 1. No answer from the shop.")
    # It is counted at once, and kept on the phone, whose page is closed again before the server is back.
    wait_for_count(at.page, good + 2)
    risen = serve(shop.data, port=int(shop.url.rpartition(":")[2]))
    request.addfinalizer(risen.stop)
    at.press("Send again")
    expect(at.page.locator("#unsent")).to_be_hidden()
    expect_count(at, good + 2, of)
    since = re.sub(r"\+00:00$", "", began(at.page))
    at.page.reload()
    expect_count(at, good + 2, of)
    assert began(at.page).startswith(since[:19])
    expect(at.page.locator('span[data-clock="running"]')).to_be_visible()
    context.close()
