"""A tick at what a page has shown: sent with it, so that it says nothing of anything else."""

from collections.abc import Mapping
from typing import Any

from django import forms

from shop.pay_guard import NeedsTick


class ShownTick(forms.CheckboxInput):
    """Sends `shown`, and is asked for where there is any; ticked only where that is what was ticked."""

    shown = ""

    def value_from_datadict(self, data: Mapping[str, Any], files: object, name: str) -> Any:
        ticked = data.get(name, "")
        # Until something else is shown.
        self.shown = self.shown or ticked
        return ticked

    def format_value(self, value: Any) -> str:
        return self.shown

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        return super().get_context(name, value if value == self.shown else "", attrs)


class ShownField(forms.CharField):
    """What was ticked, or an empty text."""

    widget = ShownTick

    def __init__(self, **others: Any) -> None:
        super().__init__(required=False, max_length=64, **others)


def ask_again(form: forms.Form, name: str, refused: Exception) -> None:
    """Ask for a tick at what a refusal has shown, if it wants one; what was ticked at anything else is none."""
    widget = form.fields[name].widget
    if isinstance(refused, NeedsTick) and isinstance(widget, ShownTick):
        widget.shown = refused.shown
