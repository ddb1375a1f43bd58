"""What a repair was found to need: how many of each operation, and what the customer is told."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from jobs.models import Operation, Wheel
from jobs.words import in_words
from shop.forms.orders import words_field

MOST_UNITS = 200
MORE_ROWS = 3


class FoundForm(forms.Form):
    """Numbers against the operations that such a repair usually needs, and against any others in use."""

    seen = forms.IntegerField(widget=forms.HiddenInput)
    said = words_field("What was said of it", required=False, max_length=120, rows=2)

    def __init__(self, *args: Any, words: Mapping[str, str], usual: Sequence[Operation], **others: Any) -> None:
        super().__init__(*args, **others)
        self.words, self.usual = words, list(usual)
        shown = {operation.pk for operation in usual}
        self.others = [row for row in Operation.objects.in_use() if row.pk not in shown]
        for operation in self.usual:
            self.fields[f"op_{operation.pk}"] = _number(in_words(operation.name, words), _per(operation, words))
        choices = [("", "nothing more"), *((str(row.pk), in_words(row.name, words)) for row in self.others)]
        for place in range(MORE_ROWS):
            self.fields[f"more_{place}"] = forms.ChoiceField(label="Also", choices=choices, required=False)
            self.fields[f"more_{place}_number"] = _number("How many", "")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        for place in range(MORE_ROWS):
            operation, number = cleaned.get(f"more_{place}"), cleaned.get(f"more_{place}_number")
            if operation and not number:
                self.add_error(f"more_{place}_number", "Write how many, or choose nothing more.")
            if number and not operation:
                self.add_error(f"more_{place}", "Choose what these are.")
        if not self.errors and not self.numbers:
            raise forms.ValidationError("Nothing is listed yet: write how many against what the wheel needs.")
        return cleaned

    @property
    def numbers(self) -> dict[Operation, int]:
        """Units by operation; what was left empty is not among them."""
        found = {row: self.cleaned_data.get(f"op_{row.pk}") or 0 for row in self.usual}
        by_key = {str(row.pk): row for row in self.others}
        for place in range(MORE_ROWS):
            operation = by_key.get(self.cleaned_data.get(f"more_{place}") or "")
            if operation:
                number = self.cleaned_data.get(f"more_{place}_number") or 0
                found[operation] = found.get(operation, 0) + number
        return {operation: number for operation, number in found.items() if number}

    def what(self, wheel: Wheel) -> str:
        """What the hold says: the wheel, what was said, and what was found, as far as there is room."""
        listed = ", ".join(
            f"{number} × {in_words(row.name, self.words).lower()}" for row, number in self.numbers.items()
        )
        said = f"{self.cleaned_data['said']}: " if self.cleaned_data["said"] else ""
        text = f"{wheel.label} wheel, {said}{listed}"
        return text if len(text) <= 200 else f"{text[:199]}…"

    @property
    def usual_fields(self) -> list[BoundField]:
        return [self[f"op_{row.pk}"] for row in self.usual]

    @property
    def more_fields(self) -> list[tuple[BoundField, BoundField]]:
        return [(self[f"more_{place}"], self[f"more_{place}_number"]) for place in range(MORE_ROWS)]


def _number(label: str, hint: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, help_text=hint, required=False, min_value=0, max_value=MOST_UNITS)


def _per(operation: Operation, words: Mapping[str, str]) -> str:
    if operation.per == "number":
        return "counted by the piece"
    noun = words["felloe"] if operation.per == "felloe" else operation.get_per_display()
    return f"counted by the {noun}"
