"""A rate from a day on."""

from typing import Any

from django import forms

from jobs.measures import Unit
from shop.forms.measures import LengthField
from shop.forms.seen import Seen
from shop.forms.shown import ShownField
from shop.money import MoneyError, parse_millipence
from shop.widgets import DayField


class RateForm(Seen, forms.Form):
    """Cleans `amount` to millipence of the shop's currency."""

    amount = forms.CharField(
        label="Amount",
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    from_on = DayField(
        label="From",
        error_messages={"required": "Write the day from which it stands: a rate without one can't be used."},
    )

    # Asked where a piece rate that is not lower lowers what days that were worked earn.
    confirmed = ShownField(
        label="It is right",
        help_text="That you say so, and the sum, is kept among who changed what.",
    )

    def __init__(self, *args: Any, currency: str, unit: Unit | None = None, **others: Any) -> None:
        """With `unit`, which pieces have, `from_height_nm` asks for the wheels that it is for."""
        super().__init__(*args, **others)
        if unit:
            self.fields["from_height_nm"] = LengthField(
                label="For wheels from what height",
                unit=unit,
                required=False,
                help_text="Left out, it is for every wheel that no rate of its own height is written down for.",
            )
        self.currency = currency
        self.fields["amount"].help_text = f"In {currency}, as 18.50."

    def clean_amount(self) -> int:
        try:
            return parse_millipence(self.cleaned_data["amount"], self.currency)
        except MoneyError as error:
            raise forms.ValidationError(str(error)) from error
