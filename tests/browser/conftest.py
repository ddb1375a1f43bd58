"""A real server of its own process, and Chromium in front of it. In CI a missing browser is a failure."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.bench_page import come_in, start_first
from tests.commands import lay_new_shop
from tests.example_file import example_in
from tests.started import Served, serve

# A slow machine is no fault of the page's.
expect.set_options(timeout=15_000)
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
# The first draws no window, and is the quicker for it.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
OWNER = ("Wren", "example-owner")
DESK_HAND = ("Tamsin", "example-desk")
SMITH = ("Bram", "example-smith")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    found = next(filter(None, map(shutil.which, NAMES)), None)
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is missing: in CI that is a failure.")
        pytest.skip("Chromium is not installed on this machine.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def empty_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("empty")
    lay_new_shop(folder)
    served = serve(folder)
    yield served
    served.stop()


@pytest.fixture(scope="session")
def example_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example, to be copied."""
    return example_in(tmp_path_factory.mktemp("loaded"))


@pytest.fixture(scope="session")
def example_shop(tmp_path_factory: pytest.TempPathFactory, example_file: Path) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("example")
    shutil.copy(example_file, folder / "shop.sqlite3")
    served = serve(folder, "--example")
    yield served
    served.stop()


def sign_in(browser: Browser, shop: Served, name: str, password: str) -> Any:
    """Sign in once; the state that other contexts begin with."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{shop.url}/sign-in/")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in/" not in url)
    state = context.storage_state()
    context.close()
    return state


@pytest.fixture(scope="session")
def owner_state(chromium: Browser, example_shop: Served) -> Any:
    return sign_in(chromium, example_shop, *OWNER)


@pytest.fixture(scope="session")
def smith_state(chromium: Browser, example_shop: Served) -> Any:
    return sign_in(chromium, example_shop, *SMITH)


def enrolled(browser: Browser, shop: Served, name: str, state: Any) -> Any:
    """The state of a device that an owner, signed in, has enrolled and left: nobody is signed in on it."""
    context = browser.new_context(java_script_enabled=False, storage_state=state)
    page = context.new_page()
    page.goto(f"{shop.url}/settings/devices/")
    page.locator("#id_name").fill(name)
    page.get_by_role("button", name="Enrol this device").click()
    page.get_by_text("It is enrolled as").wait_for()
    context.clear_cookies(name="sessionid")
    found = context.storage_state()
    context.close()
    return found


@pytest.fixture(scope="session")
def device_state(chromium: Browser, example_shop: Served, owner_state: Any) -> Any:
    return enrolled(chromium, example_shop, "bench of the tests", owner_state)


@pytest.fixture(scope="session")
def hand_state(chromium: Browser, example_shop: Served, device_state: Any) -> Any:
    """Idris, come in at the bench with his clock running on the first job that is ready."""
    context = chromium.new_context(java_script_enabled=False, storage_state=device_state)
    come_in(context, example_shop)
    found = context.storage_state()
    context.close()
    return found


@pytest.fixture
def device(chromium: Browser, device_state: Any) -> Iterator[BrowserContext]:
    """A phone that is enrolled, with nobody come in."""
    context = chromium.new_context(viewport=PHONE, storage_state=device_state)  # type: ignore[arg-type]
    context.set_default_timeout(10_000)
    yield context
    context.close()


@pytest.fixture
def page(device: BrowserContext, hand_state: Any, example_shop: Served) -> Page:
    """Idris at the bench, with his clock running; he came in once for all tests."""
    device.add_cookies(hand_state["cookies"])
    return start_first(device.new_page(), example_shop)


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    """A phone with JavaScript; anything that its console calls an error fails the test."""
    yield from watched(chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True))  # type: ignore[arg-type]


@pytest.fixture
def plain_phone(chromium: Browser) -> Iterator[Page]:
    """A phone without JavaScript."""
    yield from watched(chromium.new_context(viewport=PHONE, java_script_enabled=False))  # type: ignore[arg-type]


@pytest.fixture
def desk(chromium: Browser) -> Iterator[Page]:
    yield from watched(chromium.new_context(viewport=DESK))  # type: ignore[arg-type]


def watched(context: BrowserContext) -> Iterator[Page]:
    """A page whose console may call nothing an error; the context is closed after it."""
    context.set_default_timeout(10_000)
    page = context.new_page()
    wrongs: list[str] = []
    page.on("console", lambda said: wrongs.append(f"{said.text} {page.url}") if said.type == "error" else None)
    page.on("pageerror", lambda error: wrongs.append(str(error)))
    yield page
    context.close()
    # A form refused with 422 or 409 is told in the console too, and is meant.
    told = [wrong for wrong in wrongs if "422" not in wrong and "409" not in wrong]
    assert told == []
