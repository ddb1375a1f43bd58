"""What is looked for on every page: axe's findings, sideways scrolling, and words of the console."""

from collections.abc import Mapping
from pathlib import Path

import axe_playwright_python
from playwright.sync_api import Page

# As an init script of a context it is given by the browser's own tools, so that a page's policy on scripts stays as it
# is, and is compiled once for all the pages that one tab opens.
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
# Rules of WCAG 2.2, A and AA; the size of targets is off by default in axe.
ALL = {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
# What another colour may change.
OF_COLOUR = {"type": "rule", "values": ["color-contrast", "link-in-text-block"]}
# Rows that are built alike ask axe the same again, at the same price: it looks at the first of each kind. Alike is what
# has the same tags, classes and attributes, and says something in the same places; what an attribute says counts too,
# unless it only says which row it is.
RUN = r"""(runOnly) => {
  const ONLY_WHICH = RegExp([
    "^(id|for|name|value|href|action|title|datetime|data-.*|aria-(label|labelledby|describedby|controls)",
    "d|x|y|x1|x2|y1|y2|cx|cy|r|width|height|points|transform)$",
  ].join("|"));
  const told = (one, name) => (ONLY_WHICH.test(name) ? name : `${name}=${one.getAttribute(name)}`);
  const said = (one) => one.getAttributeNames().sort().map((name) => told(one, name));
  const kind = (one) => `${one.tagName} ${said(one)} ${Boolean(one.textContent.trim())}`;
  const alike = [];
  for (const group of document.querySelectorAll("tbody, ul, ol, dl, svg, g, select")) {
    const seen = new Set();
    for (const row of group.children) {
      const built = [row, ...row.querySelectorAll("*")].map((one) => `${one.childElementCount} ${kind(one)}`).join();
      if (seen.has(built) && !alike.some((other) => other.contains(row))) alike.push(row);
      seen.add(built);
    }
  }
  return axe.run({ include: document, exclude: alike }, {
    runOnly,
    rules: {"target-size": {enabled: true}},
    resultTypes: ["violations"],
  });
}"""
# Of ids every row has its own, so that is asked of all of them.
TWICE = """() => {
  const ids = [...document.querySelectorAll("[id]")].map((one) => one.id);
  return ids.filter((id, at) => ids.indexOf(id) !== at);
}"""


def violations(page: Page, rules: Mapping[str, object] = ALL) -> list[str]:
    """What axe finds wrong on the page as it stands, each with the places; its context has AXE for an init script."""
    found = page.evaluate(RUN, rules)
    assert found["passes"] or found["violations"], "axe looked at nothing"
    twice = [f"id twice: {one}" for one in page.evaluate(TWICE)]
    return twice + [
        f"{one['id']}: {node['html'][:160]} {node['failureSummary'][:300]}"
        for one in found["violations"]
        for node in one["nodes"][:4]
    ]


def in_both_schemes(page: Page) -> list[str]:
    found = []
    for scheme, rules in (("light", ALL), ("dark", OF_COLOUR)):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        found += [f"{scheme}: {one}" for one in violations(page, rules)]
    return found


def sideways(page: Page, widths: tuple[int, ...] = (390, 320)) -> list[str]:
    """The widths at which the page would scroll sideways, with what sticks out."""
    found = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": 844})
        over = page.evaluate(
            """() => {
              const most = document.documentElement.clientWidth;
              if (document.documentElement.scrollWidth <= most) return null;
              const out = [...document.querySelectorAll("main *, header *, footer *")]
                .filter((one) => one.getBoundingClientRect().right > most + 0.5);
              return out.slice(0, 3).map((one) => one.outerHTML.slice(0, 120));
            }"""
        )
        if over is not None:
            found.append(f"{width} px: {over}")
    return found
