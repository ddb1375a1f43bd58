"""What all forms that ask for a period have in common."""

from typing import Any

from django import forms


class PeriodForm(forms.Form):
    """A form with the days `first` and `last`, either of which may be left out."""

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        first, last = answers.get("first"), answers.get("last")
        if first and last and first > last:
            self.add_error("last", "The period ends before it begins.")
        return answers
