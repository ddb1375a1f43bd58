"""The forms that stand on a page, with their fields, what each holds and what it may be given."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Field:
    """A field as the page shows it: what a browser would send (None: nothing), and the choices that it offers."""

    name: str
    value: str | None
    choices: list[str] = field(default_factory=list)


@dataclass
class Form:
    action: str
    method: str
    fields: list[Field] = field(default_factory=list)

    def named(self, name: str) -> Field:
        """The field of this name; made where there is none. Radio buttons share one, ticks don't."""
        for one in self.fields:
            if one.name == name:
                return one
        self.fields.append(Field(name, None))
        return self.fields[-1]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.inside: Form | None = None
        self.select: Field | None = None
        self.area: Field | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.inside = Form(told.get("action", ""), told.get("method", "get").lower())
            self.forms.append(self.inside)
        elif self.inside is None:
            return
        elif tag == "option" and self.select is not None:
            value = told.get("value", "")
            self.select.choices.append(value)
            if "selected" in told or self.select.value is None:
                self.select.value = value
        elif told.get("name"):
            self._field(tag, told, self.inside)

    def _field(self, tag: str, told: dict[str, str], form: Form) -> None:
        if tag == "select":
            self.select = form.named(told["name"])
        elif tag == "textarea":
            self.area = form.named(told["name"])
            self.area.value = ""
        elif tag == "input" and told.get("type") in ("radio", "checkbox"):
            one = form.named(told["name"])
            one.choices.append(told.get("value", "on"))
            if "checked" in told:
                one.value = told.get("value", "on")
        elif tag == "input":
            form.named(told["name"]).value = told.get("value", "")
        elif tag == "button":
            form.named(told["name"]).choices.append(told.get("value", ""))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.inside = None
        elif tag == "select":
            self.select = None
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data: str) -> None:
        if self.area is not None:
            self.area.value = (self.area.value or "") + data


def forms_on(page: str) -> Iterator[Form]:
    """The forms of a page, in their order, without the token against forgery."""
    reader = _Reader()
    reader.feed(page)
    for form in reader.forms:
        form.fields = [one for one in form.fields if one.name != "csrfmiddlewaretoken"]
        yield form
