"""What the script adds to the plain forms of the bench: no double taps, the keyboard kept."""

from playwright.sync_api import Page, expect

from tests.browser.bench_page import after_the_pause, count, wait_for_count
from tests.browser.conftest import PHONE


def test_a_tap_counts_one_and_says_so(page: Page) -> None:
    before = count(page)
    page.get_by_role("button", name="One done").click()
    wait_for_count(page, before + 1)
    # Counted at once; said once it is saved.
    page.locator("#said", has_text=f"{before + 1} of ").wait_for(state="attached")
    assert page.url.endswith("/bench/job/")


def test_a_shaking_finger_counts_one(page: Page) -> None:
    before = count(page)
    page.evaluate("() => { const act = document.getElementById('one-done'); act.click(); act.click(); act.click(); }")
    wait_for_count(page, before + 1)
    after_the_pause(page)
    assert count(page) == before + 1


def test_the_keyboard_stays_on_the_act(page: Page) -> None:
    before = count(page)
    page.locator("#one-done").focus()
    page.keyboard.press("Enter")
    wait_for_count(page, before + 1)
    after_the_pause(page)
    page.keyboard.press("Enter")
    wait_for_count(page, before + 2)
    # Once the answer is there, which takes the place of the button too.
    expect(page.locator("#unsent")).to_have_attribute("data-waiting", "0")
    assert page.evaluate("document.activeElement.id") == "one-done"


def test_undo_takes_it_back(page: Page) -> None:
    before = count(page)
    page.get_by_role("button", name="One done").click()
    wait_for_count(page, before + 1)
    expect(page.locator("#unsent")).to_have_attribute("data-waiting", "0")
    page.get_by_role("button", name="Undo last").click()
    wait_for_count(page, before)


def test_everything_to_tap_is_within_one_screen(page: Page) -> None:
    for act in ("#one-done", "#rest", "#number", "#spoiled", "#undo", "#pause"):
        box = page.locator(act).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= PHONE["height"]
        assert box["height"] >= 48
    done = page.locator("#one-done").bounding_box()
    assert done is not None
    assert done["height"] >= 116


def test_on_a_low_screen_the_one_act_stays_in_reach(page: Page) -> None:
    page.set_viewport_size({"width": 360, "height": 640})
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    box = page.locator("#one-done").bounding_box()
    assert box is not None
    assert 0 <= box["y"] <= 640 - box["height"]


def test_the_pad_writes_the_number(page: Page) -> None:
    before = count(page)
    page.get_by_role("link", name="A number").click()
    for key in ("9", "Clear", "1", "2"):
        page.get_by_role("button", name=key, exact=True).click()
    expect(page.locator("#count-them")).to_have_text("12 done")
    page.get_by_label("In how long?").fill("1 h 10")
    page.locator("#count-them").click()
    page.wait_for_url("**/bench/job/")
    wait_for_count(page, before + 12)
