"""What one does at the bench or the desk, another's open page shows without being loaded anew, and without a jolt."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.bench_page import after_the_pause
from tests.browser.conftest import DESK, PHONE, watched
from tests.started import Served


@pytest.fixture
def watching(chromium: Browser, owner_state: Any) -> Iterator[Page]:
    """A page of the owner's at the desk that stays open."""
    yield from watched(chromium.new_context(viewport=DESK, storage_state=owner_state))  # type: ignore[arg-type]


@pytest.fixture
def acting(chromium: Browser, owner_state: Any) -> Iterator[Page]:
    """Another page, on which something is changed."""
    yield from watched(chromium.new_context(viewport=PHONE, storage_state=owner_state))  # type: ignore[arg-type]


def ask(page: Page) -> int:
    """Have the page ask now, as when the network is back; the status of the answer."""
    with page.expect_response(lambda answer: answer.url.partition("#")[0] == page.url.partition("#")[0]) as told:
        page.evaluate("dispatchEvent(new Event('online'))")
    return told.value.status


def told_of_a_change(page: Page) -> None:
    """Wait until the page shows what it was answered: that comes a moment after the answer."""
    expect(page.get_by_role("status").first).to_contain_text("Changed:")


def first_order(page: Page, shop: Served, place: int = 0) -> str:
    page.goto(f"{shop.url}/orders/")
    return str(page.locator("#book tbody tr").nth(place).get_attribute("id")).removeprefix("order-")


def let_it_wait(page: Page, shop: Served, order: str, what: str) -> None:
    page.goto(f"{shop.url}/orders/{order}/holds/new/")
    page.locator("input[name=kind]").first.check()
    page.get_by_label("What exactly").fill(what)
    page.get_by_role("button", name="Let it wait").click()
    expect(page.locator("#messages")).to_contain_text("It waits for")


def write_note(page: Page, shop: Served, order: str, note: str) -> None:
    page.goto(f"{shop.url}/orders/{order}/details/")
    page.get_by_label(re.compile("^Note")).fill(note)
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#messages")).to_contain_text("put right")


def test_a_tap_is_on_the_order_page(watching: Page, page: Page, example_shop: Served) -> None:
    name = page.locator(".job h1").inner_text()
    order = re.findall(r"\d+", page.locator(".job p").first.inner_text())[-1]
    watching.goto(f"{example_shop.url}/orders/{order}/")
    row = watching.locator("#work tr[data-said]", has_text=name).first
    before = row.inner_text()
    with page.expect_response("**/bench/fact/"):
        page.get_by_role("button", name="One done").click()
    assert ask(watching) == 200
    expect(row).not_to_have_text(before)
    expect(row).to_have_class(re.compile("changed"))
    expect(watching.get_by_role("status").first).to_contain_text(name)
    after_the_pause(page)
    with page.expect_response(re.compile("/bench/")):
        page.get_by_role("button", name="Undo last").click()
    ask(watching)
    expect(row).to_have_text(before, use_inner_text=True)


def test_only_what_changed_is_touched(watching: Page, acting: Page, example_shop: Served) -> None:
    order = first_order(watching, example_shop)
    watching.evaluate("document.querySelectorAll('#book tr').forEach((row) => { row.mine = true; })")
    let_it_wait(acting, example_shop, order, "Elm for the left")
    assert ask(watching) == 200
    expect(watching.locator(f"#order-{order}")).to_contain_text("Elm for the left")
    anew = "[...document.querySelectorAll('#book tr')].filter((row) => !row.mine).map((row) => row.id)"
    assert watching.evaluate(anew) == [f"order-{order}"]
    expect(watching.get_by_role("status").first).to_have_text(f"Changed: order {order}.")
    assert ask(watching) == 304


def test_the_smiths_list_follows(watching: Page, acting: Page, example_shop: Served) -> None:
    watching.goto(f"{example_shop.url}/smith/")
    acting.goto(f"{example_shop.url}/smith/")
    row = acting.locator("tr[data-said]", has=acting.get_by_role("button", name="To the forge")).first
    piece = row.get_attribute("id")
    row.get_by_role("button", name="To the forge").click()
    expect(acting.locator("#messages")).to_contain_text("sent to")
    expect(watching.locator(f"#{piece}").get_by_role("button", name="Back")).to_have_count(0)
    assert ask(watching) == 200
    expect(watching.locator(f"#{piece}").get_by_role("button", name="Back")).to_have_count(1)


def test_typing_and_the_keyboard_stay(watching: Page, acting: Page, example_shop: Served) -> None:
    order = first_order(watching, example_shop)
    watching.get_by_label("Number, carriage or customer").fill("gig")
    let_it_wait(acting, example_shop, order, "A word typed")
    ask(watching)
    expect(watching.locator(f"#order-{order}")).to_contain_text("A word typed")
    assert watching.evaluate("document.activeElement.value") == "gig"
    link = watching.locator(f"#order-{order} a.title")
    link.focus()
    let_it_wait(acting, example_shop, order, "Another word")
    ask(watching)
    expect(watching.locator(".changed")).to_have_count(1)
    assert watching.evaluate("document.activeElement.closest('tr').id") == f"order-{order}"


def test_a_form_that_was_begun_is_let_be(watching: Page, acting: Page, example_shop: Served) -> None:
    order = first_order(watching, example_shop)
    watching.goto(f"{example_shop.url}/orders/{order}/")
    acts, other = watching.locator("#acts"), watching.locator("#other-state")
    acts.locator("summary").click()
    other.select_option(index=2)
    chosen = other.input_value()
    watching.evaluate("document.activeElement.blur()")
    form = watching.locator("#acts form").last.element_handle()
    acting.goto(f"{example_shop.url}/orders/{order}/")
    acting.locator("#acts summary").click()
    acting.locator("#other-state").select_option(value="ready")
    acting.get_by_role("button", name="Set it").click()
    acting.wait_for_load_state()
    assert ask(watching) == 200
    told_of_a_change(watching)
    assert other.input_value() == chosen
    assert watching.evaluate("form => form.isConnected", form)
    # It is asked for whole until what was let be could be shown.
    other.select_option(index=0)
    watching.evaluate("document.activeElement.blur()")
    assert ask(watching) == 200
    watching.wait_for_function("form => !form.isConnected", arg=form)


def test_what_is_open_stays_open(watching: Page, acting: Page, example_shop: Served) -> None:
    order = first_order(watching, example_shop)
    watching.goto(f"{example_shop.url}/orders/{order}/")
    watching.locator("#acts summary").click()
    acting.goto(f"{example_shop.url}/orders/{order}/")
    acting.locator("#acts summary").click()
    acting.locator("#other-state").select_option(index=1)
    acting.get_by_role("button", name="Set it").click()
    acting.wait_for_load_state()
    assert ask(watching) == 200
    told_of_a_change(watching)
    expect(watching.locator("#acts details")).to_have_attribute("open", "")


def test_nothing_jumps_under_the_reader(watching: Page, acting: Page, example_shop: Served) -> None:
    order = first_order(watching, example_shop, place=1)
    watching.set_viewport_size(PHONE)  # type: ignore[arg-type]
    last = watching.locator("#book tbody tr").last
    last.evaluate("row => scrollTo(0, row.getBoundingClientRect().top + scrollY - 200)")
    stood, high = last.bounding_box(), watching.locator(f"#order-{order}").bounding_box()
    let_it_wait(acting, example_shop, order, "So long a reason that its row on a phone becomes higher by a line or two")
    ask(watching)
    expect(watching.locator(f"#order-{order}")).to_contain_text("So long a reason")
    grown, stands = watching.locator(f"#order-{order}").bounding_box(), last.bounding_box()
    assert stood and high and grown and stands  # noqa: PT018  each may be None
    assert grown["height"] > high["height"]
    assert abs(stands["y"] - stood["y"]) <= 1


def test_it_says_since_when_it_is_old(chromium: Browser, owner_state: Any, example_shop: Served) -> None:
    # A page of its own: the console calls a network that is away an error.
    context = chromium.new_context(viewport=PHONE, storage_state=owner_state)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(f"{example_shop.url}/orders/")
    line = page.locator(".as-at")
    context.set_offline(True)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(line).to_have_text(re.compile(r"^As at \d\d\.\d\d: no answer from the shop\.$"))
    context.set_offline(False)
    expect(line).to_be_empty()
    assert ask(page) in (200, 304)
    context.close()


def test_it_says_that_the_sign_in_ended(watching: Page, example_shop: Served) -> None:
    watching.goto(f"{example_shop.url}/orders/")
    watching.context.clear_cookies(name="sessionid")
    watching.evaluate("dispatchEvent(new Event('online'))")
    expect(watching.locator(".as-at")).to_contain_text("your sign-in has ended.")
    watching.get_by_role("link", name="Sign in again").click()
    watching.wait_for_url("**/sign-in/**")
    assert "next=" in watching.url


def test_it_asks_by_itself_and_not_while_nobody_looks(watching: Page, example_shop: Served) -> None:
    watching.clock.install()
    watching.goto(f"{example_shop.url}/orders/")
    with watching.expect_request("**/orders/") as asked:
        watching.clock.fast_forward(15_000)
    assert asked.value.headers["if-none-match"].startswith('W/"')
    # Until the page has looked at the answer, and would ask anew. Of a 304 Chromium does not always tell the end.
    watching.wait_for_timeout(2000)
    asked_for: list[str] = []
    watching.on("request", lambda request: asked_for.append(request.url))
    watching.evaluate("Object.defineProperty(document, 'hidden', {get: () => true, configurable: true})")
    watching.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert asked_for == []
    watching.evaluate("delete document.hidden")
    with watching.expect_request("**/orders/"):
        watching.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
