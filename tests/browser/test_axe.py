"""Every page of the example shop, at both schemes and several widths, to axe, to the ruler, and to its own console."""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Error, Page, expect

from tests.addresses import ADDRESSES
from tests.browser.conftest import DESK, PHONE
from tests.browser.eye import AXE, in_both_schemes, sideways, violations
from tests.browser.pages import NO_PAGES, follow_links
from tests.started import Served

PAGES = sorted(name for name, address in ADDRESSES.items() if not address.post and name not in NO_PAGES)
# Seen by nobody who is signed in, or by a hand whose clock runs.
OUTSIDE = {"sign-in", "bench", "bench-come-in"}
LEADS_ELSEWHERE = {"home"}
OF_AN_EMPTY_SHOP = {"first-run"}
AT_THE_BENCH = ("/bench/job/", "/bench/jobs/", "/bench/mine/")
WIDE = {"order", "order-book", "wheel", "cost", "smith", "day-book", "operations", "order-new", "makeup", "bench-job"}

Walk = Mapping[str, tuple[str, str]]


def changed_lot(context: BrowserContext, order_url: str) -> str:
    """The page that asks which pieces fit, after a lot in hand was given a make-up with a thicker tyre."""
    page = context.new_page()
    page.goto(order_url)
    page.get_by_role("link", name="Change its make-up").last.click()
    page.get_by_label("Tyre, thickness").fill("11 mm")
    page.get_by_role("button", name="Change it").click()
    # Until it is loaded: Chromium now and then forgets to close a page that still is, and is waited for without end.
    page.wait_for_url("**/pieces/**")
    found = page.url
    page.close()
    return found


def shown_pay(context: BrowserContext, url: str) -> dict[str, str]:
    """A closed sheet of Osk's, and a notice that it was given: Osk comes in and has the bench show pay.

    By the PIN, and by the PIN again. It is shown for two minutes; later the pages ask for that again.
    """
    page = context.new_page()
    page.goto(f"{url}/bench/")
    page.get_by_role("link", name="Osk").click()
    page.get_by_label("PIN").fill("4071")
    page.get_by_role("button", name="Go to work").click()
    # Else the next page might be asked for before the door has let in.
    page.wait_for_url(re.compile("/bench/jobs?/$"))
    page.goto(f"{url}/bench/pay/")
    page.get_by_label("PIN").fill("4071")
    page.get_by_role("button", name="Show my pay").click()
    told = "/bench/pay/told/"
    sheet = page.locator(f"main ul a[href*='/bench/pay/']:not([href='{told}'])").first.get_attribute("href")
    page.goto(f"{url}{told}")
    notice = page.locator(f"a[href*='{told}']").first.get_attribute("href")
    page.close()
    assert sheet is not None
    assert notice is not None
    return {"bench-pay-sheet": sheet, "bench-told": told, "bench-notice": notice}


@pytest.fixture(scope="module")
def contexts(
    chromium: Browser, owner_state: Any, device_state: Any, hand_state: Any
) -> Iterator[Mapping[str, BrowserContext]]:
    states = {"owner": owner_state, "device": device_state, "hand": hand_state, "paid": device_state, "nobody": None}
    made = {name: chromium.new_context(viewport=PHONE, storage_state=state) for name, state in states.items()}  # type: ignore[arg-type]
    for context in made.values():
        context.set_default_timeout(10_000)
        context.add_init_script(AXE)
    yield made
    for context in made.values():
        context.close()


@pytest.fixture(scope="module")
def tabs(contexts: Mapping[str, BrowserContext]) -> Mapping[str, Page]:
    """One for each who looks: a new one for every page would start a process, and compile axe anew."""
    return {name: context.new_page() for name, context in contexts.items()}


@pytest.fixture
def said() -> list[str]:
    """What the console of the page that is looked at called an error or a warning."""
    return []


@pytest.fixture
def look(
    tabs: Mapping[str, Page], walk: Walk, example_shop: Served, said: list[str]
) -> Iterator[Callable[[str], Page]]:
    """Opens a page by its name, on a phone's screen in the light, for who may open it."""
    used: list[Page] = []

    def note(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            said.append(message.text)

    def fail(error: Error) -> None:
        said.append(str(error))

    def opened(name: str) -> Page:
        role, path = walk[name]
        page = tabs[role]
        page.set_viewport_size(PHONE)  # type: ignore[arg-type]
        page.emulate_media(color_scheme="light")
        page.on("console", note)
        page.on("pageerror", fail)
        # What the page before still had to say is not this one's.
        page.once("framenavigated", lambda _: said.clear())
        used.append(page)
        answer = page.goto(example_shop.url + path)
        assert answer is not None
        assert answer.status == 200
        return page

    yield opened
    for page in used:
        page.remove_listener("console", note)
        page.remove_listener("pageerror", fail)


@pytest.fixture(scope="module")
def walk(contexts: Mapping[str, BrowserContext], example_shop: Served) -> Walk:
    """Who opens each page, and where."""
    url = example_shop.url
    at_desk = follow_links(contexts["owner"], url)
    seen = {name for name in at_desk if not name.startswith("bench")}
    at_bench = follow_links(contexts["hand"], url, AT_THE_BENCH, known=seen)
    outside = follow_links(contexts["device"], url, ("/sign-in/", "/bench/"))
    found = {name: ("owner", path) for name, path in at_desk.items()}
    found |= {name: ("hand", path) for name, path in at_bench.items()}
    found |= {name: ("device", outside[name]) for name in OUTSIDE}
    pieces = changed_lot(contexts["owner"], url + at_desk["order"])
    paid = {name: ("paid", path) for name, path in shown_pay(contexts["paid"], url).items()}
    # Reached in a shop under the rules of the United States.
    found["overtime-agreed"] = ("owner", at_desk["pay-terms"].replace("/paid/", "/overtime/"))
    return found | {"lot-pieces": ("owner", pieces.removeprefix(url))} | paid


def test_each_page_is_walked(walk: Walk) -> None:
    assert set(PAGES) - set(walk) == LEADS_ELSEWHERE | OF_AN_EMPTY_SHOP


@pytest.mark.parametrize("name", [name for name in PAGES if name not in LEADS_ELSEWHERE | OF_AN_EMPTY_SHOP])
def test_page(name: str, look: Callable[[str], Page], said: list[str]) -> None:
    page = look(name)
    # What is folded away is looked at too: axe passes over what is hidden.
    page.evaluate("() => document.querySelectorAll('main details').forEach((fold) => { fold.open = true; })")
    found = in_both_schemes(page)
    if name in WIDE:
        page.set_viewport_size(DESK)  # type: ignore[arg-type]
        found += [f"wide: {one}" for one in violations(page)]
    found += sideways(page)
    assert found == []
    assert said == []


# Pages whose form says no to being sent with nothing in it.
REFUSED = (
    "order-new",
    "makeup-new",
    "order-add",
    "order-hold",
    "order-promise",
    "order-move",
    "outwork-new",
    "issue-new",
    "issue-take-back",
    "hand-new",
    "devices",
    "rate-overhead",
    "operation-new",
    "sign-in",
    "put-right",
    "bench-number",
    "bench-spoiled",
    "bench-come-in",
    "bench-dispute",
)


@pytest.mark.parametrize("name", REFUSED)
def test_refused_form(name: str, look: Callable[[str], Page]) -> None:
    page = look(name)
    empty(page)
    with page.expect_response(lambda answer: answer.request.method == "POST") as answered:
        page.locator("main form[method=post] button.act").last.click()
    assert answered.value.status == 422
    # Once the answer is on the page it has the focus.
    expect(page.locator("#wrongs")).to_be_focused()
    page.wait_for_load_state()
    assert in_both_schemes(page) + sideways(page) == []
    assert page.evaluate("() => document.activeElement.id") == "wrongs"


def empty(page: Page) -> None:
    """Leave nothing in the fields of the page's form."""
    for field in page.locator("main form[method=post] :is(input, textarea):visible").all():
        if field.get_attribute("type") in ("text", "password", "number", None):
            field.fill("")


def test_the_eye_is_not_blind(tabs: Mapping[str, Page]) -> None:
    """A page with a pale word, a field without a name and a box too wide: each is found; of rows alike the first."""
    page = tabs["nobody"]
    page.set_content(
        "<html lang=en><title>x</title><main><p style='color:#eee;background:#fff'>pale</p>"
        "<input><a href=1 style='font-size:8px'>1</a><a href=2 style='font-size:8px'>2</a>"
        "<div style='width:900px'>wide</div></main>"
    )
    found = violations(page)
    assert {one.partition(":")[0] for one in found} >= {"color-contrast", "label", "target-size"}
    assert len(sideways(page)) == 2
    pale = "<tr><td style='color:#eee;background:#fff' id=a>pale</td></tr>"
    other = pale.replace("<tr", "<tr class=other").replace("id=a", "id=b")
    page.set_content(f"<html lang=en><title>x</title><main><table><tbody>{pale}{pale}{other}</tbody></table></main>")
    found = violations(page)
    assert [one.partition(":")[0] for one in found] == ["id twice", "color-contrast", "color-contrast"]
    assert sum('id="b"' in one for one in found) == 1
