"""What rate a piece should have: what an hour is to earn, and the month to try it on."""

from datetime import date
from typing import Any

from django import forms

from shop.money import MoneyError, parse_millipence

MOST_MONTHS = 24


class PieceRateForm(forms.Form):
    """Cleans `hour` to millipence of the shop's currency, None where it is left out; `month` to its first day."""

    hour = forms.CharField(
        label="An hour is to earn",
        max_length=20,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    month = forms.TypedChoiceField(label="Tried on", coerce=date.fromisoformat)

    def __init__(self, *args: Any, currency: str, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.currency = currency
        self.fields["month"].choices = [  # type: ignore[attr-defined]
            (day.isoformat(), f"{day:%B %Y}{', so far' if n == 0 else ''}") for n, day in enumerate(months_back(today))
        ]

    def clean_hour(self) -> int | None:
        text = self.cleaned_data["hour"]
        if not text:
            return None
        try:
            amount = parse_millipence(text, self.currency)
        except MoneyError as error:
            raise forms.ValidationError(str(error)) from error
        if not amount:
            raise forms.ValidationError("An hour is to earn something: write an amount above 0.")
        return amount


def months_back(today: date) -> list[date]:
    """The first days of this month and of those before it, the latest first."""
    months = range(today.year * 12 + today.month - 1, 0, -1)[: MOST_MONTHS + 1]
    return [date(number // 12, number % 12 + 1, 1) for number in months]
