"""Sign in, take an order and count at the bench by keyboard alone, with the focus seen at every stop."""

from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import OWNER, PHONE
from tests.browser.steps import AtShop, counted, expect_count
from tests.started import Served

MOST_STOPS = 120
# What the person sees of the stop: its words, and whether anything marks it out.
STOP = """() => {
  const stop = document.activeElement;
  const marks = getComputedStyle(stop);
  const label = stop.labels?.[0]?.textContent ?? stop.getAttribute("aria-label") ?? stop.textContent;
  const box = stop.getBoundingClientRect();
  return {
    tag: stop.tagName, id: stop.id, name: stop.name ?? "", words: label.trim().replace(/\\s+/g, " "),
    outline: marks.outlineStyle === "none" ? 0 : parseFloat(marks.outlineWidth),
    // A little box inside a larger label may have the label marked for it.
    around: stop.labels?.[0] && getComputedStyle(stop.labels[0]).outlineStyle !== "none"
      ? parseFloat(getComputedStyle(stop.labels[0]).outlineWidth) : 0,
    inView: box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth,
  };
}"""


def next_stop(page: Page) -> dict[str, Any]:
    """Where Tab leads; each stop is in view and marked."""
    page.keyboard.press("Tab")
    stop: dict[str, Any] = page.evaluate(STOP)
    if stop["tag"] != "BODY":
        assert max(stop["outline"], stop["around"]) > 0, f"the focus is not to be seen on {stop}"
        assert stop["inView"], f"the focus is out of sight on {stop}"
    return stop


def tab_to(page: Page, *, words: str = "", name: str = "") -> None:
    seen = []
    for _ in range(MOST_STOPS):
        stop = next_stop(page)
        seen.append(stop["words"] or stop["name"])
        if (name and stop["name"] == name) or (words and stop["words"].startswith(words)):
            return
    pytest.fail(f"Tab never came to “{words or name}”: {seen}")


def test_sign_in_and_take_an_order(desk: Page, example_shop: Served) -> None:
    desk.goto(f"{example_shop.url}/orders/new/")
    tab_to(desk, name="name")
    desk.keyboard.type(OWNER[0])
    tab_to(desk, name="password")
    desk.keyboard.type(OWNER[1])
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_have_text("Take an order")
    tab_to(desk, name="customer")
    desk.keyboard.type("Hesper Vane")
    tab_to(desk, name="carriage")
    desk.keyboard.type("Gig")
    tab_to(desk, words="Pair")
    desk.keyboard.press("Enter")
    expect(desk.locator("select[name=row-0-where]")).to_have_value("pair")
    tab_to(desk, name="row-0-makeup")
    desk.keyboard.type("Gig")
    tab_to(desk, words="Keep the order")
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Gig")
    expect(desk.get_by_role("main")).to_contain_text("Hesper Vane")


def test_the_way_past_the_band(desk: Page, example_shop: Served) -> None:
    desk.goto(f"{example_shop.url}/sign-in/")
    stop = next_stop(desk)
    assert stop["words"] == "To the page itself"
    desk.keyboard.press("Enter")
    expect(desk.locator("#main")).to_be_focused()
    assert next_stop(desk)["name"] == "name"


@pytest.mark.parametrize(
    "path", ["/orders/", "/orders/new/", "/bench/jobs/", "/smith/", "/day-book/", "/settings/operations/", "/make-ups/"]
)
def test_every_stop_is_seen(path: str, chromium: Browser, example_shop: Served, owner_state: Any) -> None:
    context = chromium.new_context(viewport=PHONE, storage_state=owner_state)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(example_shop.url + path)
    stops = [next_stop(page) for _ in range(40)]
    context.close()
    assert len({(stop["tag"], stop["words"], stop["name"]) for stop in stops}) > 5


def test_taps_at_the_bench(chromium: Browser, example_shop: Served, hand_state: Any) -> None:
    """The focus stays on the button while the page changes under it: Enter and Space count again and again."""
    context = chromium.new_context(viewport=PHONE, storage_state=hand_state)  # type: ignore[arg-type]
    at = AtShop(context.new_page(), example_shop.url)
    at.go("/bench/job/")
    good, of = counted(at)
    tab_to(at.page, words="One done")
    for more, key in enumerate(("Enter", "Space", "Enter"), 1):
        scrolled = at.page.evaluate("() => scrollY")
        at.page.keyboard.press(key)
        expect_count(at, good + more, of)
        assert at.page.evaluate("() => document.activeElement.id") == "one-done"
        assert at.page.evaluate("() => scrollY") == scrolled
        at.page.wait_for_timeout(550)
    assert next_stop(at.page)["id"] == "rest"
    tab_to(at.page, words="Undo last")
    at.page.keyboard.press("Enter")
    expect_count(at, good + 2, of)
    assert at.page.evaluate("() => document.activeElement.id") == "undo"
    expect(at.page.locator("#said")).not_to_be_empty()
    context.close()
