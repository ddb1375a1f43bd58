"""A real server of its own process, and Chromium in front of it. In CI a missing browser is a failure."""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 900}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass(frozen=True)
class Served:
    """A shop that `manage.py start` serves."""

    url: str
    data: Path


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is missing: in CI that is a failure.")
        pytest.skip("Chromium is not installed on this machine.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=FLAGS)
        yield browser
        browser.close()


def start(data: Path, *options: str) -> Iterator[Served]:
    """Serve the shop whose data lie in a folder, until the generator is closed."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    environment = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "SHOP_DEBUG")}
    environment |= {"SHOP_DATA": str(data), "DJANGO_SETTINGS_MODULE": "shop.settings"}
    command = [sys.executable, "manage.py", "start", "--port", str(port), *options]
    log = (data / "server.log").open("w")
    process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=subprocess.STDOUT)
    try:
        for _ in range(1200):
            if process.poll() is not None:
                pytest.fail(f"start ended with {process.returncode}: {(data / 'server.log').read_text()}")
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield Served(f"http://127.0.0.1:{port}", data)
    finally:
        process.terminate()
        process.wait(20)
        log.close()


@pytest.fixture(scope="module")
def empty_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    yield from start(tmp_path_factory.mktemp("empty"))


@pytest.fixture(scope="session")
def example_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    yield from start(tmp_path_factory.mktemp("example"), "--example")


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    """A phone with JavaScript; anything that its console calls an error fails the test."""
    yield from _page(chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True))  # type: ignore[arg-type]


@pytest.fixture
def plain_phone(chromium: Browser) -> Iterator[Page]:
    """A phone without JavaScript."""
    yield from _page(chromium.new_context(viewport=PHONE, java_script_enabled=False))  # type: ignore[arg-type]


@pytest.fixture
def desk(chromium: Browser) -> Iterator[Page]:
    yield from _page(chromium.new_context(viewport=DESK))  # type: ignore[arg-type]


def _page(context: BrowserContext) -> Iterator[Page]:
    context.set_default_timeout(10_000)
    page = context.new_page()
    wrongs: list[str] = []
    page.on("console", lambda message: wrongs.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: wrongs.append(str(error)))
    yield page
    context.close()
    # A form refused with 422 is told in the console too, and is meant.
    told = [wrong for wrong in wrongs if "422" not in wrong]
    assert told == []
