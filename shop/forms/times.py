"""What the pages of times ask: a shop's week for its pace, a standard time, and the book time that is to be written."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms

from shop.forms.elements import MOST_RATING, read_elements
from shop.forms.seen import Seen
from timing.standard_time import Base, Element

MOST_WHEELS = 1000
MOST_HANDS = 50
MOST_ALLOWANCE = 200
MOST_LOOKS = 100_000
LONGEST_STUDY = 3000


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


def percent(label: str, most: int) -> forms.DecimalField:
    widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    return forms.DecimalField(
        label=label, min_value=0, max_value=most, max_digits=5, decimal_places=2, required=False, widget=widget
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


class StandardTimeForm(forms.Form):
    """A question: at what pace, with what allowance, and by which study if not by the usual time.

    Cleans `rating` and `allowance` to shares of 1, `rating` to None where elements have their own, and `elements` to a
    list, empty where nothing was studied.
    """

    rating = percent("Rating of the pace, %", MOST_RATING)
    allowance = percent("Allowance, %", MOST_ALLOWANCE)
    of = forms.ChoiceField(label="It is a part", choices=[("job", "of the job"), ("day", "of the day")])
    looks = whole("Looks it was found by", MOST_LOOKS)
    elements = forms.CharField(
        label="Elements of a study",
        max_length=LONGEST_STUDY,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4, "autocomplete": "off", "spellcheck": "false"}),
        help_text=(
            "One a line, in minutes; they stand in the place of the usual time. “Every 2” is one that is done at every "
            "other piece: fetch 90 % every 2: 0.44 0.50 0.43"
        ),
    )

    def clean_elements(self) -> list[Element]:
        return read_elements(self.cleaned_data["elements"])

    def clean_rating(self) -> float | None:
        rating = self.cleaned_data["rating"]
        if rating == 0:
            raise forms.ValidationError("A rating is a pace, and so above 0: 100 is that of a standard time.")
        return None if rating is None else float(rating) / 100

    def clean_allowance(self) -> float:
        return float(self.cleaned_data["allowance"] or 0) / 100

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if "elements" in cleaned and not cleaned["elements"] and cleaned.get("rating", 0) is None:
            self.add_error("rating", "Write at what pace the work goes: 100 is the pace of a standard time.")
        base: Base = cleaned.get("of", "job")
        if base == "day" and cleaned.get("allowance", 0) >= 1:
            self.add_error("allowance", "An allowance of the whole day leaves no time to work in.")
        return cleaned


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
