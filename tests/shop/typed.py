"""What a browser would send of a form on a page, as it stands or with something typed into it."""

from html.parser import HTMLParser


class _Forms(HTMLParser):
    """Reads the controls of every form that posts, by its action."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, list[str]]]] = []
        self._select = self._area = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        name, value = told.get("name") or "", told.get("value") or ""
        if tag == "form":
            self.forms.append((told.get("action") or "", {}))
        elif tag == "input" and name and self.forms:
            if told.get("type") not in ("checkbox", "radio") or "checked" in told:
                is_tick = told.get("type") == "checkbox" and "value" not in told
                self._add(name, "on" if is_tick else value)
        elif tag == "select":
            self._select = name
        elif tag == "option" and "selected" in told:
            self._add(self._select, value)
        elif tag == "textarea":
            self._area = name
            self._add(name, "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            # A browser drops the first line's end, and ends lines its own way.
            self.forms[-1][1][self._area][-1] += data.removeprefix("\n").replace("\n", "\r\n")

    def _add(self, name: str, value: str) -> None:
        if name != "csrfmiddlewaretoken" and self.forms:
            self.forms[-1][1].setdefault(name, []).append(value)


def as_sent(page: str, path: str, **typed: str) -> dict[str, list[str]]:
    """The last form of a page that is sent to `path`, with `typed` in place of what it holds."""
    reader = _Forms()
    reader.feed(page)
    found = [controls for action, controls in reader.forms if action in (path, "") and "seen" in "".join(controls)]
    return found[-1] | {name: [value] for name, value in typed.items()}
