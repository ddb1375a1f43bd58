"""The form with which a plan is issued, as a page shows it."""

import html
import re


def plan_asked(page: str) -> dict[str, str]:
    """The answers that the form of a plan already shows."""
    form = page[page.index('id="issue-these"') :]
    found = re.findall(r'<input type="(?:text|hidden)" name="([^"]+)"(?: value="([^"]*)")?', form)
    return {name: html.unescape(value) for name, value in found} | {"place": "order"}
