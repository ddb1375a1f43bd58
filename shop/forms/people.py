"""Hands, their PINs and passwords, and the devices at the bench."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.db.models import Q

from shop.forms.seen import Seen
from shop.models import Hand
from shop.pins import read_pin
from shop.widgets import DayField

ROLES = [
    (Hand.Role.OWNER, "Owner: everything, these settings too"),
    (Hand.Role.DESK, "Desk: orders, the day book and what wheels cost"),
    (Hand.Role.HAND, "Hand: the bench, on an enrolled device"),
    (Hand.Role.SMITH, "Smith: the smith's list"),
]
TRADES = [(Hand.Trade.BENCH, "At the bench"), (Hand.Trade.SMITH, "Smith"), (Hand.Trade.PAINTER, "Painter")]


def one_line(text: str) -> str:
    """Words with single blanks between them."""
    return " ".join(text.split())


def hands_lately(today: date) -> list[tuple[int, str]]:
    """Hands for a choice, by user id: those at work, and then those who left within a year; late facts of theirs are
    still to be entered, and paid."""
    lately = Hand.objects.filter(Q(left_on=None) | Q(left_on__gte=today - timedelta(days=366)))
    rows = sorted(lately, key=lambda hand: (hand.left_on is not None, hand.name))
    return [(hand.user_id, f"{hand.name}, who left" if hand.left_on else hand.name) for hand in rows]


class HandForm(Seen, forms.Form):
    name = forms.CharField(
        label="Name",
        max_length=60,
        help_text="As it is called across the shop. It is tapped at the bench and typed at the desk.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "words"}),
    )
    role = forms.ChoiceField(label="May use", choices=ROLES, widget=forms.RadioSelect, initial=Hand.Role.HAND)
    trade = forms.ChoiceField(label="Works as", choices=TRADES)
    apprentice = forms.BooleanField(label="An apprentice", required=False)

    def clean_name(self) -> str:
        return one_line(self.cleaned_data["name"])


class PinForm(forms.Form):
    pin = forms.CharField(
        label="New PIN",
        max_length=12,
        help_text="4 to 8 digits. It is kept so that nobody can read it, you neither.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def clean_pin(self) -> str:
        try:
            return read_pin(self.cleaned_data["pin"])
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error


class PasswordForm(forms.Form):
    """A password for the desk, typed twice."""

    password = forms.CharField(
        label="New password",
        strip=False,
        help_text="At least eight letters and figures: a few plain words are good.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="The same password again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args: Any, hand: Hand, away: bool = False, **others: Any) -> None:
        """`away`: the password is to be taken away, so none need be typed."""
        super().__init__(*args, **others)
        self.hand = hand
        for field in self.fields.values():
            field.required = not away

    def clean(self) -> dict[str, Any]:
        from shop.forms.door import check_new_password

        check_new_password(self, self.hand.name, self.hand)
        return self.cleaned_data


class LeftForm(Seen, forms.Form):
    left_on = DayField(label="Left on", help_text="The last day here. What was done stays in the books.")

    def __init__(self, *args: Any, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today

    def clean_left_on(self) -> date:
        day: date = self.cleaned_data["left_on"]
        if day > self.today:
            raise forms.ValidationError("That day is still to come: write it down once it is here.")
        return day


class DeviceForm(forms.Form):
    name = forms.CharField(
        label="Name of this device",
        max_length=60,
        help_text="So that you know which to end when one is lost: bench tablet, Osk's phone.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def clean_name(self) -> str:
        return one_line(self.cleaned_data["name"])
