"""Form fields for lengths: any measure that the trade writes, kept as whole nanometres."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.measures import LONGEST_TEXT, MeasureError, Unit, exact_length, parse_length


class LengthField(forms.CharField):
    """A length as a person types it; cleans to whole nanometres, or None where it may be left out and is.

    `unit` is the shop's, for bare numbers and for showing what is kept. What was typed wrongly is shown back
    as typed.
    """

    def __init__(self, *, unit: Unit = "mm", **others: Any) -> None:
        self.unit: Unit = unit
        others.setdefault("max_length", LONGEST_TEXT)
        super().__init__(**others)
        self.widget.attrs.setdefault("autocomplete", "off")

    def prepare_value(self, value: Any) -> Any:
        return exact_length(value, unit=self.unit) if isinstance(value, int) else value

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            return parse_length(text, default_unit=self.unit)
        except MeasureError as error:
            raise ValidationError(str(error), code="length") from error

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(self.prepare_value(initial) != (data or None))
