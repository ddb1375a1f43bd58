"""Answers to the forms of quotations, as a browser sends them back from the page that it shows."""

from html.parser import HTMLParser
from typing import Any


class _Forms(HTMLParser):
    """Every form of a page with what stands in it: what a browser would send if nobody changed anything."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, str]]] = []
        self._in: dict[str, str] | None = None
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._in = {}
            self.forms.append((told.get("action", ""), self._in))
        elif self._in is None or ("name" not in told and tag != "option"):
            return
        elif tag == "input" and told.get("type") not in ("radio", "checkbox"):
            self._in[told["name"]] = told.get("value", "")
        elif tag == "input" and "checked" in told:
            self._in[told["name"]] = told.get("value", "on")
        elif tag == "select":
            self._select = told["name"]
        elif tag == "option" and ("selected" in told or self._select not in self._in):
            self._in[self._select] = told.get("value", "")
        elif tag == "textarea":
            self._area = told["name"]
            self._in[self._area] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""
        elif tag == "form":
            self._in = None

    def handle_data(self, data: str) -> None:
        if self._in is not None and self._area:
            self._in[self._area] += data


def form_of(page: Any, action: str = "") -> dict[str, str]:
    """What the form with this action on a page would send, untouched; "" for the form that has none."""
    reader = _Forms()
    reader.feed(page.content.decode())
    (told,) = [data for to, data in reader.forms if to == action]
    return told
