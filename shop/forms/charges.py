"""Money laid out: what for, on what, how much and the day."""

import uuid
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.models import Lot, Order, Wheel
from shop.forms.people import one_line
from shop.money import MoneyError, parse_pence
from shop.widgets import DayField, not_to_come

TRADES = [("smith", "Smith"), ("painter", "Painter"), ("other", "Another trade")]


class MoneyField(forms.CharField):
    """An amount typed as "12.50"; cleans to whole minor units of the shop's currency, or None where left out."""

    def __init__(self, *, currency: str = "GBP", **others: Any) -> None:
        self.currency = currency
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(**{"max_length": 20, "widget": widget, **others})

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_pence(text, self.currency)
        except MoneyError as error:
            raise ValidationError(str(error), code="invalid") from error


class PlaceField(forms.ChoiceField):
    """The whole order, one of its lots, or one wheel; cleans to a (lot, wheel) pair."""

    def __init__(self, **others: Any) -> None:
        super().__init__(**others)
        self._places: dict[str, tuple[Lot | None, Wheel | None]] = {}

    def offer(self, order: Order) -> None:
        """Offer the places of an order; lots and wheels left out are there too, for late bills."""
        self._places = {"order": (None, None)}
        choices = [("order", "The whole order, shared over its wheels")]
        for lot in order.lots.prefetch_related("wheels"):
            wheels = list(lot.wheels.all())
            if len(wheels) > 1:
                self._places[f"lot-{lot.pk}"] = (lot, None)
                choices.append((f"lot-{lot.pk}", f"{lot.name}, shared over its wheels"))
            for wheel in wheels:
                self._places[f"wheel-{wheel.pk}"] = (lot, wheel)
                left_out = " (left out)" if wheel.dropped_at else ""
                choices.append((f"wheel-{wheel.pk}", f"{wheel.label}, {lot.name}{left_out}"))
        self.choices = choices

    def clean(self, value: Any) -> tuple[Lot | None, Wheel | None]:
        return self._places[str(super().clean(value))]


class AmountForm(forms.Form):
    """An amount of money with what it is for and its day, which has come. Its token has it entered once."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    what = forms.CharField(label="What", max_length=160)
    amount = MoneyField(label="Amount")
    on = DayField(label="Day")
    # What is said of the amount beside its currency.
    amount_is = ""

    def __init__(self, *args: Any, currency: str, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.today = today
        amount = self.fields["amount"]
        if isinstance(amount, MoneyField):
            amount.currency = currency
            amount.help_text = f"In {currency}, as 12.50{self.amount_is}."

    def clean_what(self) -> str:
        return one_line(self.cleaned_data["what"])

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)


class ChargeForm(AmountForm):
    """Material bought for the work, or issued to it."""

    place = PlaceField(label="On what")
    on = DayField(label="Day", help_text="The day of the bill, or of taking it from the rack.")
    amount_is = ": what it cost the shop"

    def __init__(self, *args: Any, order: Order, **others: Any) -> None:
        super().__init__(*args, **others)
        place = self.fields["place"]
        if isinstance(place, PlaceField):
            place.offer(order)


class OutworkForm(ChargeForm):
    """Work done outside, or by an outside trade."""

    trade = forms.ChoiceField(label="Trade", choices=TRADES)
    to_whom = forms.CharField(label="By whom", max_length=120)
    field_order = ("token", "trade", "to_whom", "what", "amount", "place", "on")

    def clean_to_whom(self) -> str:
        return one_line(self.cleaned_data["to_whom"])


class TakeBackForm(forms.Form):
    """Why a row is taken back."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    reason = forms.CharField(label="Why", max_length=160, help_text="As: entered twice; for another order.")

    def clean_reason(self) -> str:
        return one_line(self.cleaned_data["reason"])
