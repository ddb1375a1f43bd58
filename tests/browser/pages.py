"""Finds an example of every page of a shop by following its links, as a person would."""

import re
from collections.abc import Collection
from html import unescape
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve
from playwright.sync_api import BrowserContext

# Enough of each kind of page to meet one of every kind behind it: a hold, a repair, an entry to take back.
MOST_OF_A_KIND = {"order": 9, "wheel": 24, "makeup": 6, "order-move": 4, "cost": 2, "task-facts": 2}
# Timber comes first, and only bars have offcuts.
MOST_OF_A_KIND["material-stock"] = 8
# A file, a script, and what a device keeps to show by itself.
NO_PAGES = {
    *("day-book-csv", "bench-worker", "bench-kept", "lot-pattern", "wheel-card", "makeup-pattern"),
    *("lot-sizes-paper", "makeup-sizes-paper", "order-iron-paper", "hot-day-paper"),
    *("makeup-timber-paper", "order-timber-paper", "quote-paper", "pay-run-csv", "pay-sheet-paper"),
    *("work-in-progress-csv", "inspector-file", "output-notice-paper", "bench-notice-paper"),
}
BEGIN_AT = (
    "/orders/",
    "/orders/closed/",
    "/make-ups/",
    "/smith/",
    "/quotes/",
    "/day-book/",
    "/stores/",
    "/times/",
    "/pay/hours/",
    # The one operation of the example that is rated.
    "/pay/piece-rates/trim-mortise/output/",
    "/settings/",
    "/bench/jobs/",
)
LINK = re.compile(r'<a\b[^>]*\bhref="([^"]+)"')


def name_of(path: str) -> str | None:
    """The name of the address that a path belongs to, None where the shop has none such."""
    try:
        return resolve(path).url_name
    except Resolver404:
        return None


def follow_links(
    context: BrowserContext, base: str, begin_at: tuple[str, ...] = BEGIN_AT, known: Collection[str] = ()
) -> dict[str, str]:
    """A path for each address that can be reached, by name: that of the longest page of those seen.

    What is known already is not opened.
    """
    found: dict[str, tuple[int, str]] = {}
    visited: dict[str, int] = {}
    seen = set(begin_at)
    waiting = list(begin_at)
    while waiting:
        path = waiting.pop(0)
        name = name_of(urlsplit(path).path)
        if name is None or name in NO_PAGES or name in known or visited.get(name, 0) >= MOST_OF_A_KIND.get(name, 1):
            continue
        visited[name] = visited.get(name, 0) + 1
        answer = context.request.get(base + path)
        assert answer.ok, f"{path} answered {answer.status}"
        there, text = urlsplit(answer.url).path, answer.text()
        name = name_of(there) or name
        found[name] = max(found.get(name, (0, "")), (len(text), there))
        for href in LINK.findall(text):
            target = unescape(href).partition("#")[0]
            if target.startswith("/") and target not in seen:
                seen.add(target)
                waiting.append(target)
    return {name: path for name, (_, path) in found.items()}
