"""How long records are kept, and putting a number in the place of a name."""

from typing import Any, TypedDict

from django import forms

from shop.forms.seen import Seen
from shop.name_places import Found, How, seen_of
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


class Chosen(TypedDict):
    """What was chosen, as the two ways of replacing a name take it."""

    texts: list[str]
    seen: str


class Ticks(forms.MultipleChoiceField):
    """Ticks of texts: one of a text that was changed since is no longer among the choices, and is told as that."""

    def valid_value(self, value: str) -> bool:
        return True


class ReplaceForm(forms.Form):
    """In which of what people wrote the name is replaced too, all of that as it was seen, and that it is meant."""

    texts = Ticks(required=False)
    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    sure = forms.BooleanField(
        label="I have looked at this, and know that it can’t be undone",
        error_messages={"required": "Tick that you know it can’t be undone."},
    )

    def __init__(self, *args: Any, found: list[Found], **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["seen"].initial = seen_of(found)
        self.usual = {tick for one in found if one.how == How.SURE for tick in one.ticks}

    @property
    def chosen(self) -> Chosen:
        """The texts that were ticked, and all of them as they were seen."""
        return {"texts": self.cleaned_data.get("texts", []), "seen": self.cleaned_data.get("seen", "")}

    @property
    def ticked(self) -> set[str]:
        """The texts that are ticked: those that surely mean the person, until somebody chose."""
        return set(self["texts"].value() or []) if self.is_bound else self.usual


class CustomersForm(forms.Form):
    """Which customers: all, or those with these letters in their names."""

    name = forms.CharField(label="Name", required=False, max_length=120)
