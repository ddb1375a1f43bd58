"""The form with which a plan is issued, as a page shows it."""

import html
import re


def plan_asked(page: str) -> dict[str, str]:
    """The answers that the form of a plan already shows."""
    return fields_of(page[page.index('id="issue-these"') :]) | {"place": "order"}


def fields_of(page: str) -> dict[str, str]:
    """What stands in the single lines and hidden fields of a page's forms."""
    found = re.findall(r'<input type="(?:text|hidden)" name="([^"]+)"(?: value="([^"]*)")?', page)
    return {name: html.unescape(value) for name, value in found}
