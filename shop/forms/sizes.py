"""What the page of sizes asks, since no make-up tells it: a plate's circle, open joints, and the fit of tenons."""

import math
from typing import Any

from django import forms

from jobs.makeup import MakeUp
from jobs.makeup.mortises import DRIVEN, FITS, Fit
from jobs.makeup.problems import GREATEST_HEIGHT_NM
from jobs.measures import Unit, format_length
from shop.forms.measures import LengthField

# A joint left open by more of a felloe than this was typed in another unit.
WIDEST_GAP_SHARE = 1 / 20


class SizesForm(forms.Form):
    """A plain question; every part may be left out."""

    circle = LengthField(label="Pitch circle of the index plate", required=False)
    gap = LengthField(label="Each joint left open at the sole", required=False)
    fit = forms.ChoiceField(label="Tenons", required=False, choices=[(fit.key, fit.name) for fit in FITS])

    def __init__(self, *args: Any, makeup: MakeUp, unit: Unit, **others: Any) -> None:
        super().__init__(*args, **others)
        self.makeup, self.unit = makeup, unit
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit

    def clean_circle(self) -> int | None:
        circle: int | None = self.cleaned_data["circle"]
        if circle is not None and not 0 < circle <= GREATEST_HEIGHT_NM:
            most = format_length(GREATEST_HEIGHT_NM, unit=self.unit)
            raise forms.ValidationError(f"A pitch circle has some size, up to {most}.")
        return circle

    def clean_gap(self) -> int | None:
        gap: int | None = self.cleaned_data["gap"]
        most = round(math.pi * self.makeup.wood_diameter_nm / self.makeup.felloes * WIDEST_GAP_SHARE, -6)
        if gap is not None and gap > most:
            told = format_length(int(most), unit=self.unit)
            raise forms.ValidationError(f"A joint is left open by less than that: {told} at most is taken here.")
        return gap

    def clean_fit(self) -> Fit:
        key = self.cleaned_data["fit"]
        return next((fit for fit in FITS if fit.key == key), DRIVEN)
