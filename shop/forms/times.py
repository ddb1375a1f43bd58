"""What the pages of times ask: a shop's week for its pace, and the book time that is to be written."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from shop.forms.seen import Seen

MOST_WHEELS = 1000
MOST_HANDS = 50


def whole(label: str, most: int) -> forms.IntegerField:
    widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
    return forms.IntegerField(label=label, min_value=1, max_value=most, required=False, widget=widget)


def parts(label: str, least: str, most: int) -> forms.DecimalField:
    """A number that may have a part: half an hour, or a hand who comes one day in five."""
    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    return forms.DecimalField(
        label=label,
        min_value=Decimal(least),
        max_value=most,
        max_digits=4,
        decimal_places=2,
        required=False,
        widget=widget,
    )


class PaceForm(forms.Form):
    """A question, not an entry: what is left out has its usual answer, which is shown in its field."""

    wheels = whole("Wheels", MOST_WHEELS)
    hours = parts("Hours a day", "0.5", 24)
    days = whole("Days a week", 7)
    bench = parts("Hands at the bench", "0", MOST_HANDS)
    smith = parts("Hands at the forge", "0", MOST_HANDS)
    painter = parts("Hands painting", "0", MOST_HANDS)

    def __init__(self, asked: Mapping[str, Any] | None = None, *, usual: Mapping[str, Any]) -> None:
        super().__init__({name: (asked or {}).get(name, "").strip() or str(value) for name, value in usual.items()})


class BookTimeForm(Seen, forms.Form):
    """The book time that one press writes, in minutes a piece."""

    minutes = forms.DecimalField(
        label="Book minutes",
        min_value=Decimal("0.1"),
        max_value=6000,
        max_digits=6,
        decimal_places=1,
        widget=forms.HiddenInput,
    )
