"""What is typed at the bench: a number with its minutes, what was spoiled, a correction, a dispute."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from timing.durations import read_duration
from timing.facts import MOST_UNITS
from timing.models.facts import Reason

NUMERIC = {"inputmode": "numeric", "autocomplete": "off"}


def whole_number(label: str, *, least: int = 0, help_text: str = "", **attributes: Any) -> forms.IntegerField:
    """A field for a count."""
    return forms.IntegerField(
        label=label,
        min_value=least,
        max_value=MOST_UNITS,
        help_text=help_text,
        widget=forms.TextInput(attrs=NUMERIC | attributes),
        error_messages={
            "invalid": "Write a whole number, like 12.",
            "max_value": f"More than {MOST_UNITS} at once can't be right: count again.",
        },
    )


class DurationField(forms.CharField):
    """A length of time in words; cleans to whole seconds, None where it is left out."""

    def clean(self, value: Any) -> Any:
        text = str(super().clean(value)).strip()
        if not text:
            return None
        try:
            return read_duration(text)
        except ValueError as error:
            raise ValidationError(str(error), code="invalid") from error


class NumberForm(forms.Form):
    """How many were done, and in how long."""

    made = whole_number("How many done?", autofocus=True)
    minutes = DurationField(
        label="In how long?", required=False, max_length=40, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )


class SpoiledForm(forms.Form):
    """How many pieces were spoiled, and why."""

    # None is chosen beforehand: pay may depend on it.
    reason = forms.ChoiceField(
        label="What spoiled it?",
        choices=Reason.choices[1:],
        widget=forms.RadioSelect,
        error_messages={"required": "Say why it was spoiled."},
    )
    spoiled = whole_number("How many pieces?", least=1)
    lost = whole_number("")

    def __init__(self, *args: Any, units: int, good: int, is_hub: bool, in_wheel: dict[str, int], **kwargs: Any):
        """`good` units were counted done, of `units` to a piece; `in_wheel` are pieces that go with a hub."""
        super().__init__(*args, **kwargs)
        if is_hub:
            del self.fields["spoiled"], self.fields["lost"]
            for kind, pieces in in_wheel.items():
                noun = "spokes" if kind == "spoke" else "bands"
                field = whole_number(f"How many of the {pieces} {noun} in it were saved?")
                field.validators.append(_at_most(pieces, noun))
                self.fields[f"saved_{kind}"] = field
        elif good <= 0:
            del self.fields["lost"]
        else:
            self.fields["lost"].label = (
                "How many of them had been counted done?" if units == 1 else "How much of this work was on it?"
            )
            self.fields["lost"].help_text = "What was counted is taken off the count."
            self.fields["lost"].validators.append(_at_most(good, "counted"))

    @property
    def saved(self) -> dict[str, int]:
        """Pieces saved from a hub, by kind."""
        return {name.removeprefix("saved_"): n for name, n in self.cleaned_data.items() if name.startswith("saved_")}


def _at_most(most: int, what: str) -> Any:
    def check(value: int) -> None:
        if value > most:
            raise ValidationError(f"There are only {most} {what}.")

    return check


class CorrectionForm(forms.Form):
    """What a stretch should have said."""

    made = whole_number("How many done?")
    minutes = DurationField(
        label="In how long?",
        required=False,
        max_length=40,
        help_text="Like 2 h 10, 2:10 or 130 (minutes). Left empty, the work counts untimed.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    note = forms.CharField(label="Note", required=False, max_length=200)
    confirmed = forms.BooleanField(label="More than 16 hours is right", required=False)


class DisputeForm(forms.Form):
    """What is wrong with a stretch."""

    words = forms.CharField(
        label="What is wrong with it?",
        max_length=180,
        help_text="The owner sees it in the day book.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
