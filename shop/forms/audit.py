"""What is asked of the list of who changed what."""

from typing import Any

from django import forms

from shop.audit import Asked, Kind
from shop.forms.day_book import day_asked
from shop.forms.period import PeriodForm
from shop.models import Hand


class ChangesForm(PeriodForm):
    """The filter: everything may be left out."""

    first = day_asked("From")
    last = day_asked("To")
    by = forms.TypedChoiceField(label="Who", required=False, coerce=int, empty_value=None)
    kind = forms.ChoiceField(label="What", required=False, choices=[("", "Anything"), *Kind.choices])

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        hands = Hand.objects.values_list("user_id", "name")
        self.fields["by"].choices = [("", "Anyone"), *hands]  # type: ignore[attr-defined]

    @property
    def asked(self) -> Asked:
        """What is asked, of a form that is valid."""
        answers = self.cleaned_data
        return Asked(answers["first"], answers["last"], answers["by"], answers["kind"])
