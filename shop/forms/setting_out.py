"""The fields of a make-up that are for setting out: all may be left empty, and what books say stands beside them."""

from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.boundfield import BoundField

from jobs.makeup import in_print
from jobs.makeup.dish import dish_from_angle, parse_angle
from jobs.makeup.in_print import InPrint
from jobs.measures import MeasureError, Unit
from shop.forms.measures import LengthField

# Each value in the shop's unit, and whose it is.
Printed = list[tuple[str, InPrint]]
# Where books differ; by the name of the field.
PRINTED = {"dish_nm": in_print.DISH, "stagger_nm": in_print.STAGGER, "draw_nm": in_print.DRAW}
ROWS = (
    ("stagger_nm", "mortise_length_nm", "mortise_width_nm"),
    ("box_large_nm", "box_small_nm", "box_length_nm", "bore_large_nm", "bore_small_nm"),
    ("draw_nm",),
)
NAMES = tuple(name for row in ROWS for name in row)


class DishField(LengthField):
    """A dish as a length or, with a degree mark, as an angle: cleans to nanometres or to a Fraction of degrees."""

    def clean(self, value: Any) -> Any:
        try:
            degrees = parse_angle(str(value or ""))
        except MeasureError as error:
            raise ValidationError(str(error), code="angle") from error
        return super().clean(value) if degrees is None else degrees


class SettingOut(forms.BaseForm):
    """What a form of a make-up is beside its own measures. The class below names the words and the unit."""

    unit: Unit

    def add_setting_out(self, *, hub: str, tyre: str) -> None:
        labels = {
            "stagger_nm": "Stagger of the spokes",
            "mortise_length_nm": "Mortise, length",
            "mortise_width_nm": "Mortise, width",
            "box_large_nm": "Box, outside at its large end",
            "box_small_nm": "Box, outside at its small end",
            "box_length_nm": "Box, length",
            "bore_large_nm": "Bore, large end",
            "bore_small_nm": "Bore, small end",
            "draw_nm": "Draw",
        }
        helps = {
            "stagger_nm": f"How far alternate spokes stand apart along the {hub}; empty or 0 for one row.",
            "mortise_length_nm": f"Along the {hub}; left empty, by the published fit.",
            "mortise_width_nm": f"Round the {hub}; left empty, by the published fit.",
            "draw_nm": f"How much less the {tyre} runs inside than the wheel does, on the circumference. Left empty "
            "it is not told, and nothing is assumed.",
        }
        for name, label in labels.items():
            self.fields[name] = LengthField(label=label, required=False, help_text=helps.get(name, ""))

    def dish_as_length(self, cleaned: dict[str, Any]) -> None:
        """Turn a dish that was written as an angle into the amount that it comes to, once the radii are known."""
        degrees = cleaned.get("dish_nm")
        if not isinstance(degrees, Fraction):
            return
        height, depth, hub = (cleaned.get(name) for name in ("height_nm", "felloe_depth_nm", "hub_diameter_nm"))
        if height is None or depth is None or hub is None:
            del cleaned["dish_nm"]  # the fields it wants are wrong themselves, and say so
            return
        tyre = cleaned.get("tyre_thickness_nm") or 0
        over = 2 * tyre if cleaned.get("height_over") == "tyre" and cleaned.get("tyre") != "none" else 0
        inner, outer = hub / 2, (height - over) / 2 - depth
        cleaned["dish_nm"] = max(0, dish_from_angle(degrees, rim_inner_radius_nm=outer, hub_radius_nm=inner))

    @property
    def setting_out_rows(self) -> list[tuple[list[BoundField], Printed]]:
        """Row by row, each with what books say of it."""
        return [([self[name] for name in row], self._printed(row[0])) for row in ROWS]

    @property
    def setting_out_used(self) -> bool:
        """Whether anything is told there, or is wrong: then it is not folded away."""
        return any(self[name].errors or self[name].value() not in (None, "", 0, "0") for name in NAMES)

    @property
    def dish_in_print(self) -> Printed:
        """What books say of the dish."""
        return self._printed("dish_nm")

    def _printed(self, name: str) -> Printed:
        return [(each.value(self.unit), each) for each in PRINTED.get(name, ())]
