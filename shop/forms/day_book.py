"""What is asked of the day book, and what the owner puts right in it."""

import uuid
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.models import Operation, Order, Task
from jobs.words import in_words
from shop.forms.bench import DurationField, whole_number
from shop.forms.period import PeriodForm
from shop.models import Hand
from shop.widgets import DayField, not_to_come
from timing.day_book import Asked
from timing.facts import YEARS
from timing.models import Stretch, Tally
from timing.models.facts import Kind, Source

OVERLAPPING = "overlapping"


def day_asked(label: str) -> forms.DateField:
    """One end of a period that a list is asked for; it may be left out."""
    return forms.DateField(
        label=label,
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[_in_a_year_that_can_be],
        error_messages={"invalid": "That is not a day: write it as 2026-03-02."},
    )


def _in_a_year_that_can_be(day: date) -> None:
    if day.year not in YEARS:
        raise ValidationError("That year can't be right: write the day as 2026-03-02.")


class DayBookForm(PeriodForm):
    """The filter: everything may be left out."""

    first = day_asked("From")
    last = day_asked("To")
    hand = forms.TypedChoiceField(label="Hand", required=False, coerce=int, empty_value=None)
    order = forms.IntegerField(
        label="Order", required=False, min_value=1, widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5})
    )
    operation = forms.TypedChoiceField(label="Operation", required=False, coerce=int, empty_value=None)
    kind = forms.ChoiceField(label="Kind", required=False, choices=[("", "Any"), *Kind.choices])
    source = forms.ChoiceField(label="Told at", required=False, choices=[("", "In the shop"), *Source.choices])
    to_place = forms.ChoiceField(
        label="Show",
        required=False,
        choices=[("", "Everything"), ("1", "What a person must place"), (OVERLAPPING, "What overlaps")],
    )

    def __init__(self, *args: Any, words: dict[str, str], **others: Any) -> None:
        super().__init__(*args, **others)
        hands = Hand.objects.values_list("user_id", "name")
        operations = [(pk, in_words(name, words)) for pk, name in Operation.objects.values_list("id", "name")]
        self.fields["hand"].choices = [("", "Any"), *hands]  # type: ignore[attr-defined]
        self.fields["operation"].choices = [("", "Any"), *operations]  # type: ignore[attr-defined]

    @property
    def asked(self) -> Asked:
        """What is asked, of a form that is valid; all of it still where only what overlaps is wanted."""
        answers = self.cleaned_data
        return Asked(
            from_on=answers["first"],
            to_on=answers["last"],
            hand_id=answers["hand"],
            order_number=answers["order"],
            operation_id=answers["operation"],
            kind=answers["kind"],
            source=answers["source"],
            only_to_place=answers["to_place"] == "1",
        )

    @property
    def only_overlapping(self) -> bool:
        return bool(self.cleaned_data["to_place"] == OVERLAPPING)


class PutRightForm(forms.Form):
    """What a stretch should have said: by whom, on which day, on what, how many and how long."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    hand = forms.TypedChoiceField(label="By whom", coerce=int)
    on = DayField(label="Day")
    task = forms.TypedChoiceField(label="On what", coerce=int)
    made = whole_number("How many done?")
    minutes = DurationField(
        label="In how long?", required=False, max_length=40, help_text="As 2 h 10 or 130. Left out, it is not timed."
    )
    note = forms.CharField(label="Note", required=False, max_length=200)
    confirmed = forms.BooleanField(label="More than 16 hours is right", required=False)

    def __init__(self, *args: Any, stretch: Stretch, tallies: list[Tally], today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today
        self.fields["hand"].choices = list(Hand.objects.values_list("user_id", "name"))  # type: ignore[attr-defined]
        if len(tallies) == 1:
            self.fields["task"].choices = places_for(tallies[0])  # type: ignore[attr-defined]
        else:
            del self.fields["task"], self.fields["made"]
        if stretch.kind != Kind.WORK:
            self.fields["minutes"].required = True

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)


def places_for(tally: Tally) -> list[tuple[int, str]]:
    """Where a tally may be put: the same operation in its own order, and in every order in hand."""
    task = tally.task
    if task is None:
        return []
    there = Task.objects.filter(operation=task.operation_id).select_related("wheel", "lot__order")
    own = there.filter(lot__order=task.lot.order_id)
    others = there.live().filter(lot__order__state__in=Order.WORK_STATES).exclude(lot__order=task.lot.order_id)
    return [(one.pk, _place(one)) for one in [*own, *others]]


def _place(task: Task) -> str:
    left_out = ", left out" if task.dropped_at else ""
    return f"{task.lot.order}, {task.wheel.label if task.wheel else task.lot.name}{left_out}"
