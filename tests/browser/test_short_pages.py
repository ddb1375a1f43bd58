"""Long lists of the example shop stay short on a phone, and nothing in a row lies over another."""

from typing import Any

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import PHONE
from tests.started import Served

# The mean height of a row in pixels that a list may have: a name, a line or two, and what is pressed.
MOST = 112
ROWS = """rows => rows.map(row => {
    const box = row.getBoundingClientRect();
    const act = row.querySelector(".act-cell > *")?.getBoundingClientRect();
    return [box.height, act ? act.bottom - box.bottom : 0];
})"""


@pytest.mark.parametrize(
    ("who", "path"), [("owner", "/day-book/"), ("owner", "/orders/closed/"), ("hand", "/bench/mine/")]
)
def test_rows_of_a_list_are_low(
    chromium: Browser, example_shop: Served, owner_state: Any, hand_state: Any, who: str, path: str
) -> None:
    state = {"owner": owner_state, "hand": hand_state}[who]
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False, storage_state=state)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(example_shop.url + path)
    page.wait_for_load_state()
    rows = page.locator(".ledger.lean:not(details .ledger) tbody tr:not(.part)").evaluate_all(ROWS)
    context.close()
    assert len(rows) >= 20
    assert sum(height for height, _ in rows) / len(rows) <= MOST
    assert max(over for _, over in rows) <= 0
