"""Form fields for how much of a material: kept as whole millionths of its unit."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shop.stores.amounts import AmountError, parse_amount, plain_amount


class AmountField(forms.CharField):
    """A number of a unit; cleans to whole millionths."""

    def __init__(self, **others: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(**{"max_length": 24, "widget": widget, **others})

    def prepare_value(self, value: Any) -> Any:
        return plain_amount(value) if isinstance(value, int) else value

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_amount(text)
        except AmountError as error:
            raise ValidationError(str(error), code="invalid") from error
