"""What is filled in at a trade's list: sending, bringing back, made, and measures as made."""

import uuid
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.measures import Unit
from jobs.models import Measure
from shop.forms.charges import MoneyField
from shop.forms.measures import LengthField
from shop.forms.people import one_line
from shop.models import Hand
from shop.widgets import DayField
from timing.facts import MOST_UNITS

MOST_MINUTES = 16 * 60


def _number(label: str, most: int, **others: Any) -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=1, max_value=most, widget=forms.TextInput(attrs={"inputmode": "numeric"}), **others
    )


class _OneOfSeveral(forms.Form):
    """A form that stands beside others on its page: its fields' ids begin with its own name."""

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **{"auto_id": f"{type(self).__name__.lower()}_%s", **others})


class SendForm(_OneOfSeveral):
    """Pieces that go away. `usual`: one touch on the list, to the usual smith for the smith's next day."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    usual = forms.BooleanField(required=False, widget=forms.HiddenInput)
    to_whom = forms.CharField(label="To whom", max_length=120, required=False)
    pieces = _number("How many", MOST_UNITS, required=False)
    expected_on = DayField(label="Expected back", required=False)

    def clean_to_whom(self) -> str:
        return one_line(self.cleaned_data["to_whom"])


class MadeForm(_OneOfSeveral):
    """Units made, in whose name, and the minutes where they are known."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    units = _number("How many", MOST_UNITS)
    minutes = _number("Minutes in all", MOST_MINUTES, required=False, help_text="Left out, it counts and is not timed.")
    hand = forms.ModelChoiceField(
        Hand.objects.working(), label="By whom", required=False, empty_label=None, to_field_name="pk"
    )


class BackForm(_OneOfSeveral):
    """Back from outside: what was made there, and either its price or its minutes."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    units = _number("How many are made", MOST_UNITS, required=False, help_text="Left out, it is back as it went.")
    amount = MoneyField(label="Price", required=False, help_text="For work done outside: it is entered as outwork.")
    minutes = _number("Minutes", MOST_MINUTES, required=False, help_text="For work done by the shop's own hand.")

    def __init__(self, *args: Any, currency: str, may_price: bool, **others: Any) -> None:
        super().__init__(*args, **others)
        amount = self.fields["amount"]
        if isinstance(amount, MoneyField):
            amount.currency = currency
        if not may_price:
            del self.fields["amount"]

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        if answers.get("amount") is not None and answers.get("minutes"):
            raise ValidationError("Give a price for work outside, or minutes in the house: not both.")
        if answers.get("minutes") and not answers.get("units"):
            self.add_error("units", "Say how many were made in those minutes.")
        return answers


class AsMadeForm(forms.Form):
    """Measures of a wheel as it was made; each may be left out, but not all."""

    def __init__(self, *args: Any, unit: Unit, **others: Any) -> None:
        super().__init__(*args, **others)
        for kind, label in Measure.Kind.choices:
            self.fields[kind] = LengthField(label=label.capitalize(), unit=unit, required=False)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        if not self.errors and not self.measures_nm:
            raise ValidationError("Write down one measure at least.")
        return answers

    @property
    def measures_nm(self) -> dict[str, int]:
        """What was filled in, by kind."""
        return {
            kind: self.cleaned_data[kind] for kind in Measure.Kind.values if self.cleaned_data.get(kind) is not None
        }
