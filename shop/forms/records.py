"""How long records are kept, and putting a number in the place of a name."""

from typing import Any

from django import forms

from shop.forms.seen import Seen
from shop.name_places import Found
from shop.pay.retention import MOST_YEARS, fewest_years
from shop.pay.rules import RULES


class YearsForm(Seen, forms.Form):
    """The shop's own years: as many as the law of wages asks for, or more."""

    years = forms.IntegerField(
        label="This shop keeps its records for",
        help_text="Years, from the last entry in each. Where the law asks for longer, that holds.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": 4}),
        error_messages={"invalid": "Write a whole number of years.", "required": "Write how many years."},
    )

    def __init__(self, *args: Any, rules: str, **others: Any) -> None:
        super().__init__(*args, **others)
        self.rules = rules

    def clean_years(self) -> int:
        years: int = self.cleaned_data["years"]
        fewest = fewest_years(self.rules)
        if years < fewest:
            by = "" if self.rules == "plain" else f" under “{RULES[self.rules].name}”"
            raise forms.ValidationError(f"Records are kept for {fewest} year{'' if fewest == 1 else 's'} at least{by}.")
        if years > MOST_YEARS:
            raise forms.ValidationError(f"Write {MOST_YEARS} years at the most.")
        return years


class ReplaceForm(forms.Form):
    """In which of what people wrote the name is replaced too, and that it is meant."""

    places = forms.MultipleChoiceField(required=False)
    sure = forms.BooleanField(
        label="I have looked at this, and know that it can’t be undone",
        error_messages={"required": "Tick that you know it can’t be undone."},
    )

    def __init__(self, *args: Any, found: list[Found], **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["places"] = forms.MultipleChoiceField(
            label="Replace it here too", required=False, choices=[(one.place.key, one.place.label) for one in found]
        )

    @property
    def ticked(self) -> set[str]:
        """The places that are ticked: all of them, until a person chose."""
        if self.is_bound:
            return set(self["places"].value() or [])
        return {key for key, _ in self.fields["places"].choices}  # type: ignore[attr-defined]


class CustomersForm(forms.Form):
    """Which customers: all, or those with these letters in their names."""

    name = forms.CharField(label="Name", required=False, max_length=120)
