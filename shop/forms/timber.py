"""What is asked of timber: a piece and the air it will live in, boards, a round log. Nothing of it is kept."""

from collections.abc import Mapping
from typing import Any

from django import forms

from jobs.measures import Unit
from jobs.timber import SPECIES
from shop.forms.measures import LengthField

HUB, SPOKE, FELLOE = "hub", "spoke", "felloe"
RADIAL, TANGENTIAL = "radial", "tangential"


def _number(label: str, *, least: float, most: float, **others: Any) -> forms.FloatField:
    widget = forms.TextInput(attrs={"inputmode": "decimal", "size": 6, "autocomplete": "off"})
    return forms.FloatField(label=label, min_value=least, max_value=most, widget=widget, **others)


class _LengthsForm(forms.Form):
    """A form of lengths in the shop's unit, each of which must be more than nothing."""

    def __init__(self, *args: Any, unit: Unit, **others: Any) -> None:
        super().__init__(*args, **others)
        self.unit = unit
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        for name, field in self.fields.items():
            if isinstance(field, LengthField) and answers.get(name) == 0:
                self.add_error(name, "Write a length of more than nothing.")
        return answers


class PieceForm(_LengthsForm):
    """A piece as it lies there, and where the wheel will be used."""

    species = forms.ChoiceField(label="Timber", choices=[(key, each.name) for key, each in SPECIES.items()])
    part = forms.ChoiceField(label="Part")
    moisture = _number("Moisture now, %", least=0, most=300)
    width = LengthField(label="Width, or a hub’s diameter")
    thickness = LengthField(label="Thickness, or depth", required=False)
    grain = forms.ChoiceField(
        label="Its width lies",
        choices=[(RADIAL, "across the rings (a spoke’s cleft side)"), (TANGENTIAL, "along the rings")],
    )
    temperature = _number("Warmth where it will be used, °C", least=-1, most=132)
    humidity = _number("Dampness of the air there, %", least=0, most=100)
    limit = _number("The most moisture it may have, %", least=0, most=300, required=False)

    def __init__(self, *args: Any, words: Mapping[str, str], unit: Unit, **others: Any) -> None:
        super().__init__(*args, unit=unit, **others)
        self.words = words
        parts = [(HUB, words["hub"]), (SPOKE, "spoke"), (FELLOE, words["felloe"])]
        self.fields["part"].choices = parts  # type: ignore[attr-defined]
        self.fields["width"].label = f"Width, or a {words['hub']}’s diameter"
        self.fields["thickness"].label = f"Thickness, or a {words['felloe']}’s depth"
        self.initial.setdefault("part", SPOKE)
        if unit == "in":
            self.fields["temperature"] = _number("Warmth where it will be used, °F", least=30, most=270)

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        if answers.get("part") != HUB and "thickness" in answers and answers["thickness"] is None:
            self.add_error("thickness", f"Write this too: only a {self.words['hub']} has but a diameter.")
        return answers

    @property
    def temperature_c(self) -> float:
        """Of a form that is valid, whatever the shop reads its thermometer in."""
        told = float(self.cleaned_data["temperature"])
        return (told - 32) / 1.8 if self.unit == "in" else told


class BoardForm(_LengthsForm):
    """Boards of one size."""

    thickness = LengthField(label="Thickness")
    width = LengthField(label="Width")
    length = LengthField(label="Length")
    boards = forms.IntegerField(
        label="Boards",
        min_value=1,
        max_value=10_000,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "size": 5}),
    )


class LogForm(_LengthsForm):
    """A round log."""

    girth = LengthField(label="Girth at mid length")
    length = LengthField(label="Length")
