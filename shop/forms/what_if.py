"""What if these wheels were made otherwise: more spokes, another tyre, more of them. Nothing of it is kept."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django import forms

from jobs.makeup import MakeUp, problems, usual_felloes
from jobs.makeup.problems import LEAST_SPOKES, MOST_SPOKES
from jobs.measures import Unit
from jobs.models import MakeUpColumns, Wheel
from jobs.models.operations import Work
from jobs.orders import WheelRow
from shop.forms.measures import LengthField

MOST_WHEELS = 400
TYRES: Any = MakeUpColumns._meta.get_field("tyre").choices
SPOKES_BETWEEN = f"A wheel has from {LEAST_SPOKES} to {MOST_SPOKES} spokes."


class WhatIfForm(forms.Form):
    """One lot's wheels otherwise. Cleans to `row`."""

    wheels = forms.IntegerField(label="Wheels", min_value=1, max_value=MOST_WHEELS)
    spokes = forms.IntegerField(
        label="Spokes",
        min_value=LEAST_SPOKES,
        max_value=MOST_SPOKES,
        error_messages={"min_value": SPOKES_BETWEEN, "max_value": SPOKES_BETWEEN},
    )
    felloes = forms.IntegerField(required=False, min_value=1, max_value=MOST_SPOKES)
    tyre = forms.ChoiceField(choices=TYRES)
    tyre_width = LengthField(label="Width", required=False)
    tyre_thickness = LengthField(label="Thickness", required=False)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        like: WheelRow,
        words: Mapping[str, str],
        unit: Unit,
        prefix: str | None = None,
    ) -> None:
        super().__init__(data, prefix=prefix, initial=_first(like))
        self.like, self.words, self.unit = like, words, unit
        self.row: WheelRow | None = None
        self.warnings: list[str] = []
        self.fields["felloes"].label = words["felloes"].capitalize()
        self.fields["felloes"].help_text = "Left empty: as usual."
        self.fields["tyre"].label = words["tyre"].capitalize()
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if self.errors:
            return cleaned
        makeup = self._makeup(cleaned)
        found = problems(makeup, new_work=self.like.work == Work.NEW, words=self.words, unit=self.unit)
        refused = next((problem for problem in found if problem.refuse), None)
        if refused:
            name = refused.field.removesuffix("_nm")
            self.add_error(name if name in self.fields else None, refused.sentence)
            return cleaned
        self.warnings = [problem.sentence for problem in found]
        wheels = cleaned["wheels"]
        places = self.like.places if wheels == len(self.like.places) else [Wheel.Place.LOOSE.value] * wheels
        self.row = replace(self.like, makeup=makeup, places=places)
        return cleaned

    def _makeup(self, cleaned: Mapping[str, Any]) -> MakeUp:
        old = self.like.makeup
        width, thickness = cleaned["tyre_width"], cleaned["tyre_thickness"]
        if cleaned["tyre"] == "none":
            width = thickness = 0
        return replace(
            old,
            spokes=cleaned["spokes"],
            felloes=cleaned["felloes"] or usual_felloes(cleaned["spokes"], old.rim),
            tyre=cleaned["tyre"],
            tyre_width_nm=old.tyre_width_nm if width is None else width,
            tyre_thickness_nm=old.tyre_thickness_nm if thickness is None else thickness,
        )


def _first(like: WheelRow) -> dict[str, Any]:
    """As it is; felloes that follow the spokes are left empty, so that they follow them."""
    makeup = like.makeup
    follows = makeup.felloes == usual_felloes(makeup.spokes, makeup.rim)
    return {
        "wheels": len(like.places),
        "spokes": makeup.spokes,
        "felloes": None if follows else makeup.felloes,
        "tyre": makeup.tyre,
        "tyre_width": makeup.tyre_width_nm or None,
        "tyre_thickness": makeup.tyre_thickness_nm or None,
    }
