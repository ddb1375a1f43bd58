"""What a first visit costs over the shop's network, everything gzipped as it is sent."""

import gzip
import re
from pathlib import Path

from django.contrib.staticfiles import finders
from django.test import Client

from jobs.models import Order
from shop.models import Hand
from tests import factories
from tests.factories import fact, makeup, task
from timing.record import record


def weight(data: bytes) -> int:
    return len(gzip.compress(data, 6))


def files_of(page: str) -> list[Path]:
    """The static files that a page asks for, each once."""
    names = set(re.findall(r'(?:href|src)="/static/([^"]+)"', page))
    found = [finders.find(name) for name in sorted(names)]
    assert all(found), "a page asks for a file that is not there"
    return [Path(str(path)) for path in found]


def busy_order(osk: Hand) -> Order:
    """A set of four, some of it made."""
    rows = [
        factories.WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"]),
        factories.WheelRow(makeup(spokes=12, felloes=6), "fore pair", ["near_fore", "off_fore"]),
    ]
    order = factories.take_pair(rows=rows)
    for key in ("rough-spoke", "cut-foot", "shave-spoke", "saw-felloe"):
        record(fact(task(order, key), osk, made=9), now=factories.NOW)
    return order


def test_the_order_page_is_light_on_a_first_visit(owner: Client, osk: Hand) -> None:
    order = busy_order(osk)
    page = owner.get(f"/orders/{order.number}/").content
    files = files_of(page.decode())
    assert len(files) >= 4
    assert weight(page) + sum(weight(path.read_bytes()) for path in files) < 24_000


def test_all_scripts_together_are_light(owner: Client, osk: Hand) -> None:
    order = busy_order(osk)
    pages = [owner.get(path).content.decode() for path in (f"/orders/{order.number}/", "/bench/jobs/", "/day-book/")]
    named = {path for page in pages for path in files_of(page) if path.suffix == ".js"}
    ours = set(Path("static").rglob("*.js"))
    scripts = {path.resolve() for path in named | ours}
    assert scripts
    assert sum(weight(path.read_bytes()) for path in scripts) < 20_000


def test_the_desk_s_pages_ask_for_none_of_the_bench_s_scripts(owner: Client, osk: Hand) -> None:
    """The bench's go on without the network, and are five sixths of all."""
    order = busy_order(osk)
    page = owner.get(f"/orders/{order.number}/").content.decode()
    assert not [path for path in files_of(page) if "timing" in path.parts]


def test_no_page_asks_for_a_library_of_scripts(owner: Client, osk: Hand) -> None:
    order = busy_order(osk)
    for path in (f"/orders/{order.number}/", "/bench/jobs/", "/day-book/"):
        page = owner.get(path).content.decode()
        assert "htmx" not in page
        assert "hx-" not in page
