"""Two people at one form: what the other changed meanwhile is told, never written over unseen.

A form that changes what is there carries what the person saw: of every field a digest, in one hidden field. Where the
database holds something else by the time it is sent, a field that this person left alone takes what it holds now; one
that both changed is told and asked for again.
"""

import hashlib
import json
from collections.abc import Mapping
from datetime import date, time
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Model
from django.http import QueryDict

from shop.widgets import PARTS, DayWidget

# Beside the fields, a sentence on what became of the thing as a whole: "It was retired"; empty while it is as usual.
STATE = "state"
DIGITS = 8
MOST_TOLD = 80


class Overtaken(Exception):
    """What the form is about was changed by another meanwhile; the form itself says what, field by field."""


class Seen(forms.BaseForm):
    """What a form that changes what is there is beside its own kind. Call `meet` inside the write, once it is valid."""

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.meets: list[str] = []
        self.theirs: dict[str, Any] = {}
        self.is_overtaken = False
        self.fields[self.seen_name] = forms.CharField(required=False, widget=forms.HiddenInput)

    @property
    def seen_name(self) -> str:
        """A name of its own: two such forms may be sent as one, or stand on one page."""
        return f"seen_{type(self).__name__.lower()}"

    def get_initial_for_field(self, field: forms.Field, field_name: str) -> Any:
        if field_name != self.seen_name:
            return super().get_initial_for_field(field, field_name)
        told = {name: super(Seen, self).get_initial_for_field(other, name) for name, other in self._own()}
        told[STATE] = self.initial.get(STATE)
        return _written({name: digest(value) for name, value in told.items()})

    def _own(self) -> list[tuple[str, forms.Field]]:
        return [(name, field) for name, field in self.fields.items() if name != self.seen_name]

    @property
    def answers(self) -> dict[str, Any]:
        """What was answered, by the names of the form's own fields."""
        return {name: value for name, value in self.cleaned_data.items() if name != self.seen_name}

    def told(self, sentence: str) -> str:
        """The sentence that it was kept, and what others had changed beside it."""
        return " ".join([sentence, *(f"Changed meanwhile by another, and left so: {one}." for one in self.meets)])

    def meet(self, now: Mapping[str, Any], *, by: str = "another") -> None:
        """Set the form against what the database holds now, by the names of its fields; `by` is who changed it.

        Fields left alone take what others have put there: the form is valid afterwards. Raises Overtaken where both
        changed one, where they don't go together, or where STATE is another; sent once more, the form means it.
        """
        seen = self._seen()
        theirs = {name: value for name, value in now.items() if name in seen and seen[name] != digest(value)}
        state = theirs.pop(STATE, None)
        mine = {name for name in theirs if digest(self.cleaned_data.get(name)) != seen[name]}
        typed = {name: self.cleaned_data.get(name) for name in mine}
        self._take({name: value for name, value in theirs.items() if name not in mine}, now)
        if state:
            self.add_error(None, f"{state} while you had this open. Send it again if you mean it all the same.")
        for name, value in typed.items():
            if digest(value) != digest(theirs[name]):
                self._tell_both(name, typed=value, there=theirs[name], by=by)
        if self.errors:
            self.is_overtaken = True
            raise Overtaken

    def _tell_both(self, name: str, *, typed: Any, there: Any, by: str) -> None:
        field = self.fields[name]
        self.theirs[name] = there
        self.add_error(
            name,
            f"Changed to {in_words(field, there)} by {by} while you had this open; "
            f"you wrote {in_words(field, typed)}. Send it again to keep yours.",
        )

    @property
    def shown(self) -> set[str]:
        """The names of the fields that the person had before them."""
        return set(self._seen()) - {STATE}

    def _seen(self) -> dict[str, str]:
        """The digests that came with the form; none where it brought none that can be read."""
        try:
            read = json.loads(self.cleaned_data.get(self.seen_name) or "{}")
        except json.JSONDecodeError:
            return {}
        return {str(name): str(told) for name, told in read.items()} if isinstance(read, dict) else {}

    def _take(self, theirs: Mapping[str, Any], now: Mapping[str, Any]) -> None:
        """Put what others wrote into the fields left alone, and note that all of it is seen by now."""
        seen = self._seen()
        data = self.data.copy() if isinstance(self.data, QueryDict) else _query(self.data)
        for name, value in theirs.items():
            _write(data, self[name].html_name, self.fields[name], value)
            self.meets.append(f"{self.fields[name].label}, {in_words(self.fields[name], value)}")
        data[self.add_prefix(self.seen_name)] = _written(
            seen | {name: digest(value) for name, value in now.items() if name in seen}
        )
        self.data = data
        if theirs:
            self.full_clean()


def status_of(form: forms.BaseForm) -> int:
    """Of the page that shows a form: 200 as it begins, 422 with something to put right, 409 where it was overtaken."""
    if isinstance(form, Seen) and form.is_overtaken:
        return 409
    return 422 if form.is_bound else 200


def meet_together(*pairs: tuple[Seen, Mapping[str, Any]]) -> None:
    """Set several forms that are sent as one against what the database holds; Overtaken if any of them is."""
    overtaken = False
    for form, now in pairs:
        try:
            form.meet(now)
        except Overtaken:
            overtaken = True
    if overtaken:
        raise Overtaken


def _written(digests: Mapping[str, str]) -> str:
    return json.dumps(digests, separators=(",", ":"))


def digest(value: Any) -> str:
    """A short name of a value: the same for what a page shows alike."""
    return hashlib.sha256(repr(_plain(value)).encode()).hexdigest()[:DIGITS]


def _plain(value: Any) -> Any:
    if isinstance(value, Model):
        return value.pk
    if isinstance(value, list | tuple | set):
        return sorted(map(str, value)) or None
    if isinstance(value, str):
        # A browser ends lines its own way.
        return "\n".join(value.strip().splitlines()) or None
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    return value


def in_words(field: forms.Field, value: Any) -> str:
    """A value as it is told in a sentence."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple | set):
        return ", ".join(_label(field, one) for one in value) or "none"
    if _plain(value) is None:
        return "nothing"
    if isinstance(value, date):
        return f"{value.day} {value:%B %Y}"
    if isinstance(value, time):
        return f"{value:%H.%M}"
    text = " ".join(_label(field, value).split())
    return f"“{text[:MOST_TOLD]}{'…' if len(text) > MOST_TOLD else ''}”"


def _label(field: forms.Field, value: Any) -> str:
    key = str(_plain(value))
    for choice, label in getattr(field, "choices", ()):
        inner = label if isinstance(label, list | tuple) else [(choice, label)]
        for one, name in inner:
            if str(one) == key:
                return str(name)
    return str(field.prepare_value(value))


def _query(data: Mapping[str, Any]) -> QueryDict:
    """A plain mapping as a browser would have sent it."""
    told = QueryDict(mutable=True)
    for name, value in data.items():
        told.setlist(name, list(value) if isinstance(value, list | tuple) else [value])
    return told


def _write(data: QueryDict, name: str, field: forms.Field, value: Any) -> None:
    """Fill a field in as a person would who leaves it as it is."""
    widget = field.widget
    if isinstance(widget, DayWidget):
        for part, text in zip(PARTS, widget.decompress(value), strict=True):
            data[f"{name}_{part}"] = text
    elif isinstance(widget, forms.CheckboxInput):
        data.pop(name, None)
        if value:
            data[name] = "on"
    elif isinstance(value, list | tuple | set):
        data.setlist(name, [str(one) for one in value])
    else:
        shown = widget.format_value(field.prepare_value(value))
        data[name] = (shown[0] if isinstance(shown, list) else shown) or ""
