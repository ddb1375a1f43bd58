"""What is asked of the shop's costs: a day, or a period."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shop.forms.day_book import day_asked


class OnForm(forms.Form):
    """The end of which day; today's where it is left out."""

    on = day_asked("At the end of")

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"] or self.today
        if on > self.today:
            raise ValidationError("That day has not come yet.")
        return on
