"""Attendance that the desk enters or puts right."""

import uuid
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Any

from django import forms

from shop.forms.day_book import day_asked
from shop.forms.people import hands_lately
from shop.forms.period import PeriodForm
from shop.forms.shop import ClockField
from shop.models import Attendance, Hand
from shop.pay.attendance import LONGEST
from shop.widgets import DayField, not_to_come

LONGEST_NOTE = 200


class AttendanceForm(PeriodForm):
    """Which days of whom; all of it may be left out."""

    first = day_asked("From")
    last = day_asked("To")
    hand = forms.TypedChoiceField(label="Hand", required=False, coerce=int, empty_value=None)
    show = forms.ChoiceField(
        label="Show", required=False, choices=[("", "Everything"), ("missing", "What is to be put right")]
    )

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["hand"].choices = [("", "Any"), *Hand.objects.values_list("user_id", "name")]  # type: ignore[attr-defined]


class DayThereForm(forms.Form):
    """A day of one hand: coming, going and one break, each of which may be left out."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    hand = forms.TypedChoiceField(label="Who", coerce=int)
    on = DayField(label="Day", help_text="The day of coming, where it went on past midnight.")
    came = ClockField(label="Came", required=False)
    rest = ClockField(label="Break from", required=False)
    back = ClockField(label="Back from it", required=False)
    went = ClockField(label="Went", required=False)
    note = forms.CharField(label="Note", required=False, max_length=LONGEST_NOTE)

    def __init__(self, *args: Any, today: date, zone: tzinfo, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today, self.zone = today, zone
        self.fields["hand"].choices = hands_lately(today)  # type: ignore[attr-defined]

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        times = [answers.get(name) for name in ("came", "rest", "back", "went")]
        if not self.errors and not any(times):
            self.add_error("came", "Write at least one of the four times.")
        if (answers.get("rest") is None) != (answers.get("back") is None) and not {"rest", "back"} & set(self.errors):
            missing = "back" if answers.get("rest") else "rest"
            self.add_error(missing, "Write both times of the break, or neither.")
        if not self.errors:
            self._check_order(self.moments)
        return answers

    def _check_order(self, told: list[tuple[str, datetime]]) -> None:
        """A time before the one above it is of the next day: where that makes it too long, it is misplaced."""
        first = told[0][1]
        for kind, at in told:
            if at - first > LONGEST:
                hours = round(LONGEST.total_seconds() / 3600)
                name = "rest" if kind == "break" else kind
                self.add_error(name, f"That is more than {hours} hours after the first time: are two times swapped?")
                return

    @property
    def moments(self) -> list[tuple[str, datetime]]:
        """The kind and moment of each touch; a time that goes back over the one before it is of the next day."""
        told, day, before = [], self.cleaned_data["on"], time.min
        for name, kind in (("came", "came"), ("rest", "break"), ("back", "back"), ("went", "went")):
            at = self.cleaned_data[name]
            if at is None:
                continue
            if at < before:
                day += timedelta(days=1)
            before = at
            told.append((kind, moment(day, at, self.zone)))
        return told


class TouchForm(forms.Form):
    """One touch as it should have been told."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    kind = forms.ChoiceField(label="What", choices=Attendance.Kind.choices)
    on = DayField(label="Day")
    at = ClockField(label="At")
    note = forms.CharField(label="Note", required=False, max_length=LONGEST_NOTE)

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)


def moment(day: date, at: time, zone: tzinfo) -> datetime:
    """A time of the shop's clock on a day, as a moment."""
    return datetime.combine(day, at, tzinfo=zone).astimezone(UTC)
