"""Whose records an inspector asks for, and of which days."""

from datetime import date, timedelta
from typing import Any, get_args

from django import forms

from jobs.patterns.tiles import PAPER_NAMES, Paper
from shop.forms.day_book import day_asked
from shop.forms.period import PeriodForm
from shop.models import Hand

MOST_DAYS = 366


class InspectorForm(PeriodForm):
    """A hand, and the days from one to another, at most a year of them."""

    hand = forms.TypedChoiceField(label="Hand", coerce=int)
    first = day_asked("From")
    last = day_asked("To")
    paper = forms.ChoiceField(
        label="Paper", required=False, choices=[(size, PAPER_NAMES[size]) for size in get_args(Paper)]
    )

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today
        rows = Hand.objects.order_by("left_on", "name").values_list("pk", "name", "left_on")
        working = [(pk, name) for pk, name, left_on in rows if left_on is None]
        left = [(pk, f"{name}, who left") for pk, name, left_on in rows if left_on is not None]
        self.fields["hand"].choices = [*working, *left]  # type: ignore[attr-defined]
        for name in ("first", "last"):
            self.fields[name].required = True

    def clean_first(self) -> date:
        day: date = self.cleaned_data["first"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come: nothing is kept of it.")
        return day

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        first, last = answers.get("first"), answers.get("last")
        if first and last and last - first >= timedelta(days=MOST_DAYS):
            self.add_error("last", f"Ask for {MOST_DAYS} days at the most, and for the others by themselves.")
        return answers
