"""What is asked of the shop's costs, a day or a period; and overhead that is written down."""

from datetime import date
from typing import Any

from django import forms

from shop.forms.charges import AmountForm
from shop.forms.day_book import day_asked
from shop.forms.period import PeriodForm
from shop.widgets import DayField, not_to_come

MOST_DAYS = 400
# What the two ends of a period are called in an address.
ENDS = {"first": "from", "last": "to"}


class OnForm(forms.Form):
    """The end of which day; today's where it is left out."""

    on = day_asked("At the end of")

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"] or self.today, self.today)


class PeriodCostsForm(PeriodForm):
    """The days from the first to the last, both wanted."""

    first = day_asked("From")
    last = day_asked("To")

    def add_prefix(self, field_name: str) -> str:
        return ENDS.get(field_name, field_name)

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        first, last = answers.get("first"), answers.get("last")
        for name in ENDS:
            if name not in self.errors and not answers.get(name):
                self.add_error(name, "Write both days: costs are told from the one to the other.")
        if first and last and (last - first).days >= MOST_DAYS:
            self.add_error("last", f"That is more than {MOST_DAYS} days: ask for a year or less.")
        return answers


class OverheadForm(AmountForm):
    """Overhead that was spent: what for, how much, and the day on which it counts."""

    what = forms.CharField(label="What", max_length=160, help_text="As: rent of March; coal; insurance of the quarter.")
    on = DayField(label="Day", help_text="A day of the month whose work shall bear it.")
