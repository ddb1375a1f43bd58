"""What the pages of iron are asked: clearance, cold, weld, traveller. All of it has a usual answer."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator

from jobs.iron import WELD_RULES, WeldRule
from jobs.iron.expansion import (
    BASE_C,
    COLDEST_C,
    GREATEST_COEFFICIENT,
    LEAST_COEFFICIENT,
    USUAL_COEFFICIENT,
    celsius_of,
    fahrenheit,
)
from jobs.iron.fire import LONGEST_WATCH_MINUTES, USUAL_WATCH_MINUTES
from jobs.iron.heat import WARMEST_COLD_C
from jobs.iron.mass import GRAMS_PER_POUND
from jobs.iron.traveller import traveller_run_nm
from jobs.iron.weld import BY_KEY
from jobs.measures import NM_PER_INCH, NM_PER_MM, Unit, exact_length
from shop.forms.charges import MoneyField
from shop.forms.measures import LengthField

# A few millimetres on a tyre's diameter, and half a one on a band's, which has far less to grow: common practice, no
# source.
USUAL_CLEARANCE_NM: Mapping[Unit, int] = {"mm": 3 * NM_PER_MM, "in": NM_PER_INCH // 8}
USUAL_BAND_CLEARANCE_NM: Mapping[Unit, int] = {"mm": NM_PER_MM // 2, "in": NM_PER_INCH // 64}
MOST_CLEARANCE_NM: Mapping[Unit, int] = {"mm": 50 * NM_PER_MM, "in": 2 * NM_PER_INCH}
LEAST_TRAVELLER_NM = 10 * NM_PER_MM


@dataclass(frozen=True, slots=True)
class Terms:
    """What the sums go by besides the measures. Lengths are nanometres; what was not given is None."""

    rule: WeldRule
    clearance_nm: int
    cold_c: float
    coefficient: float
    traveller_nm: float | None = None
    band_draw_nm: int | None = None
    band_clearance_nm: int = 0
    pence_per_kg: Fraction | None = None
    watch_minutes: int = USUAL_WATCH_MINUTES


class IronForm(forms.Form):
    """A question, not an entry: what is left out of the address has its usual answer."""

    clearance = LengthField(label="Clearance on the diameter")
    weld = forms.ChoiceField(label="For the weld", choices=[(rule.key, rule.name) for rule in WELD_RULES])
    cold = forms.IntegerField(widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}))
    coefficient = forms.FloatField(
        label="One coefficient, millionths a °C",
        min_value=round(1e6 * LEAST_COEFFICIENT),
        max_value=round(1e6 * GREATEST_COEFFICIENT),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    traveller = LengthField(label="Traveller’s own run", required=False)
    across = LengthField(label="Or the traveller’s diameter", required=False)

    def __init__(self, asked: Mapping[str, str] | None = None, *, unit: Unit, **others: Any) -> None:
        super().__init__(None if asked is None else self._usual(unit) | dict(asked.items()), **others)
        self.unit: Unit = unit
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit
        cold = self.fields["cold"]
        cold.label = "Cold iron, °F" if unit == "in" else "Cold iron, °C"
        least, most = (round(self._in_own_degrees(celsius)) for celsius in (COLDEST_C, WARMEST_COLD_C))
        cold.validators = [*cold.validators, MinValueValidator(least), MaxValueValidator(most)]

    @staticmethod
    def _usual(unit: Unit) -> dict[str, str]:
        return {
            "clearance": exact_length(USUAL_CLEARANCE_NM[unit], unit=unit),
            "band_clearance": exact_length(USUAL_BAND_CLEARANCE_NM[unit], unit=unit),
            "weld": WELD_RULES[0].key,
            "cold": str(round(fahrenheit(BASE_C) if unit == "in" else BASE_C)),
            "coefficient": f"{1e6 * USUAL_COEFFICIENT:g}",
            "watch": str(USUAL_WATCH_MINUTES),
        }

    def _in_own_degrees(self, celsius: float) -> float:
        return fahrenheit(celsius) if self.unit == "in" else celsius

    def clean_clearance(self) -> int:
        return self._possible(self.cleaned_data["clearance"])

    def _possible(self, clearance: int) -> int:
        if clearance > MOST_CLEARANCE_NM[self.unit]:
            most = exact_length(MOST_CLEARANCE_NM[self.unit], unit=self.unit)
            raise ValidationError(f"Write {most} or less: nothing is given more clearance on the diameter.")
        return clearance

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or {}
        traveller, across = answers.get("traveller"), answers.get("across")
        if traveller is not None and across is not None:
            self.add_error("across", "Give the traveller’s run or its diameter, not both.")
        for name, run_nm in (("traveller", traveller), ("across", across and traveller_run_nm(across))):
            if run_nm is not None and run_nm < LEAST_TRAVELLER_NM:
                self.add_error(name, "This is too short for a traveller.")
        return answers

    @property
    def terms(self) -> Terms:
        """What is asked, of a form that is valid."""
        answers = self.cleaned_data
        cold = answers["cold"]
        return Terms(
            rule=BY_KEY[answers["weld"]],
            clearance_nm=answers["clearance"],
            cold_c=celsius_of(cold) if self.unit == "in" else cold,
            coefficient=answers["coefficient"] / 1e6,
            traveller_nm=self._traveller_nm(),
            band_draw_nm=answers.get("band_draw"),
            band_clearance_nm=answers.get("band_clearance", 0),
            pence_per_kg=self._pence_per_kg(answers.get("price")),
            watch_minutes=answers.get("watch", USUAL_WATCH_MINUTES),
        )

    def _traveller_nm(self) -> float | None:
        run: int | None = self.cleaned_data["traveller"]
        across: int | None = self.cleaned_data["across"]
        return traveller_run_nm(across) if run is None and across is not None else run

    def _pence_per_kg(self, pence: int | None) -> Fraction | None:
        if pence is None or self.unit == "mm":
            return None if pence is None else Fraction(pence)
        return pence * 1000 / Fraction(str(GRAMS_PER_POUND))


class OrderIronForm(IronForm):
    """Of an order: also the draw of its bands, which no make-up keeps, their clearance, and what iron costs."""

    field_order = (
        "clearance",
        "band_clearance",
        "band_draw",
        "cold",
        "weld",
        "traveller",
        "across",
        "coefficient",
        "price",
    )

    band_clearance = LengthField(label="Clearance of the bands")
    band_draw = LengthField(label="Draw of the bands", required=False)
    price = MoneyField(required=False)

    def __init__(self, asked: Mapping[str, str] | None = None, *, unit: Unit, currency: str, **others: Any) -> None:
        super().__init__(asked, unit=unit, **others)
        price = self.fields["price"]
        price.label = "Price of a pound" if unit == "in" else "Price of a kilogram"
        if isinstance(price, MoneyField):
            price.currency = currency

    def clean_band_clearance(self) -> int:
        return self._possible(self.cleaned_data["band_clearance"])


class HotDayForm(IronForm):
    """Of a hot day: also how long the fire is watched."""

    field_order = ("clearance", "cold", "weld", "traveller", "across", "coefficient", "watch")

    watch = forms.IntegerField(
        label="Fire watch, minutes",
        min_value=0,
        max_value=LONGEST_WATCH_MINUTES,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
