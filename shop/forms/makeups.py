"""The form of a make-up: every measure in any form the trade writes, choices in the shop's own words."""

import hashlib
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from jobs.makeup import Band, MakeUp, Problem, problems, usual_felloes
from jobs.makeup.problems import LEAST_SPOKES, MOST_BANDS, MOST_SPOKES
from jobs.measures import Unit
from jobs.models import LibraryMakeUp, MakeUpColumns
from shop.forms.measures import LengthField
from shop.forms.seen import Seen
from shop.forms.setting_out import DishField, SettingOut

BANDS_SHOWN = 3
BAND_PARTS = ("name", "width", "thickness", "seat")


def _choices(column: str) -> list[tuple[str, str]]:
    choices: Any = MakeUpColumns._meta.get_field(column)
    return list(choices.choices)


class MakeUpForm(SettingOut, forms.Form):
    """Cleans to `makeup`. What can't be made is an error; what is only unusual is in `warnings`, and is taken
    when the form comes again with the mark of those same warnings.
    """

    height_nm = LengthField(label="Height", help_text="As you measure it: 1168 mm, 46 in or 3 ft 10 1/2 in.")
    height_over = forms.ChoiceField(label="Measured over", choices=_choices("height_over"))
    spokes = forms.IntegerField(
        label="Spokes",
        min_value=1,
        max_value=10_000,
        error_messages={"min_value": f"A wheel has from {LEAST_SPOKES} to {MOST_SPOKES} spokes."},
    )
    dish_nm = DishField(
        label="Dish",
        help_text="How far the spokes lean out, or the angle from square to the hub: 1 1/4 in, or 4°; 0 for a straight "
        "wheel.",
    )
    spoke_width_nm = LengthField(label="Spoke, width")
    spoke_thickness_nm = LengthField(label="Spoke, thickness", help_text="As seen from the face.")
    tongue = forms.ChoiceField(label="Tongue", choices=_choices("tongue"))
    spoke_timber = forms.CharField(label="Spoke timber", max_length=40, required=False)
    hub = forms.ChoiceField(choices=_choices("hub"))
    hub_diameter_nm = LengthField(label="Diameter")
    hub_length_nm = LengthField(label="Length")
    hub_timber = forms.CharField(max_length=40, required=False)
    box = forms.ChoiceField(label="Box", choices=_choices("box"))
    rim = forms.ChoiceField(label="Rim", choices=_choices("rim"))
    felloes = forms.IntegerField(required=False, min_value=1, max_value=10_000)
    felloe_depth_nm = LengthField(label="Rim, depth", help_text="From the sole to the belly.")
    felloe_width_nm = LengthField(label="Rim, width")
    felloe_timber = forms.CharField(max_length=40, required=False)
    tyre = forms.ChoiceField(choices=_choices("tyre"))
    tyre_width_nm = LengthField(label="Width", required=False)
    tyre_thickness_nm = LengthField(label="Thickness", required=False)
    fastening = forms.ChoiceField(label="Fastening", choices=_choices("fastening"))
    coats = forms.IntegerField(label="Coats", min_value=0, max_value=10_000)
    lined = forms.BooleanField(label="Lined", required=False)

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        words: Mapping[str, str],
        unit: Unit,
        new_work: bool = True,
        makeup: MakeUp | None = None,
        **others: Any,
    ) -> None:
        others["initial"] = initial_of(makeup) | (others.get("initial") or {})
        super().__init__(data, **others)
        self.words, self.unit, self.new_work = words, unit, new_work
        self.makeup: MakeUp | None = None
        self.warnings: list[Problem] = []
        for place in range(MOST_BANDS):
            self._add_band(place)
        self.add_setting_out(hub=words["hub"], tyre=words["tyre"])
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit
        self._name_in_words()

    def _add_band(self, place: int) -> None:
        label = f"Band {place + 1}"
        self.fields[f"band_{place}_name"] = forms.CharField(label=f"{label}: name", max_length=40, required=False)
        self.fields[f"band_{place}_width"] = LengthField(label="Width", required=False)
        self.fields[f"band_{place}_thickness"] = LengthField(label="Thickness", required=False)
        self.fields[f"band_{place}_seat"] = LengthField(label="Seat", required=False)

    def _name_in_words(self) -> None:
        hub, felloe, felloes, tyre = (self.words[noun] for noun in ("hub", "felloe", "felloes", "tyre"))
        named = {
            "hub": f"Kind of {hub}",
            "hub_diameter_nm": f"{hub.capitalize()}, diameter",
            "hub_length_nm": f"{hub.capitalize()}, length",
            "hub_timber": f"{hub.capitalize()} timber",
            "felloes": f"{felloes.capitalize()} (or bent halves)",
            "felloe_timber": f"{felloe.capitalize()} timber",
            "tyre": f"{tyre.capitalize()}",
            "tyre_width_nm": f"{tyre.capitalize()}, width",
            "tyre_thickness_nm": f"{tyre.capitalize()}, thickness",
        }
        for name, label in named.items():
            self.fields[name].label = label
        self.fields["felloes"].help_text = "Left empty: one to two spokes, or two bent halves."
        over: Any = self.fields["height_over"]
        over.choices = [("wood", "over the wood"), ("tyre", f"over the {tyre}")]
        rim: Any = self.fields["rim"]
        rim.choices = [("sawn", f"sawn {felloes}"), ("bent", "bent half-rims")]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        bands = self._clean_bands()
        if cleaned.get("tyre") == "none":
            cleaned["tyre_width_nm"] = cleaned["tyre_thickness_nm"] = 0
        else:
            for name in ("tyre_width_nm", "tyre_thickness_nm"):
                if cleaned.get(name) is None and name not in self.errors:
                    self.add_error(name, f"Write the {self.fields[name].label}, or choose no {self.words['tyre']}.")
        self.dish_as_length(cleaned)
        if self.errors:
            return cleaned
        cleaned["stagger_nm"] = cleaned["stagger_nm"] or 0
        cleaned["felloes"] = cleaned["felloes"] or usual_felloes(cleaned["spokes"], cleaned["rim"])
        known = {field.name for field in fields(MakeUp)} - {"bands"}
        makeup = MakeUp(bands=tuple(bands), **{name: cleaned[name] for name in known})
        found = problems(makeup, new_work=self.new_work, words=self.words, unit=self.unit)
        for problem in found:
            if problem.refuse:
                self.add_error("band_0_name" if problem.field == "bands" else problem.field, problem.sentence)
        self.warnings = [problem for problem in found if not problem.refuse]
        if not self.errors:
            self.makeup = makeup
        return cleaned

    def _clean_bands(self) -> list[Band]:
        bands = []
        for place in range(MOST_BANDS):
            name, width, thickness, seat = (self.cleaned_data.get(f"band_{place}_{part}") for part in BAND_PARTS)
            if not any((name, width is not None, thickness is not None, seat is not None)):
                continue
            for part, value in (("width", width), ("thickness", thickness)):
                if value is None and f"band_{place}_{part}" not in self.errors:
                    self.add_error(f"band_{place}_{part}", f"Write the {part} of band {place + 1}, or clear its row.")
            if width is not None and thickness is not None:
                bands.append(Band(name or f"band {place + 1}", width, thickness, seat))
        return bands

    @property
    def warning_mark(self) -> str:
        """Names the warnings, so that taking some does not take others."""
        return hashlib.sha256("\n".join(one.sentence for one in self.warnings).encode()).hexdigest()[:16]

    @property
    def accept_name(self) -> str:
        return self.add_prefix("taken")

    @property
    def is_accepted(self) -> bool:
        """Whether nothing is unusual, or the person has seen what is and takes it. Call it on a valid form."""
        return not self.warnings or self.data.get(self.accept_name) == self.warning_mark

    @property
    def groups(self) -> list[tuple[str, list[BoundField]]]:
        """The fields in the order of a wheel, under their headings."""
        parts = {
            "Wheel": ("height_nm", "height_over", "dish_nm"),
            "Spokes": ("spokes", "spoke_width_nm", "spoke_thickness_nm", "tongue", "spoke_timber"),
            self.words["hub"].capitalize(): ("hub", "hub_diameter_nm", "hub_length_nm", "hub_timber", "box"),
            "Rim": ("rim", "felloes", "felloe_depth_nm", "felloe_width_nm", "felloe_timber"),
            self.words["tyre"].capitalize(): ("tyre", "tyre_width_nm", "tyre_thickness_nm", "fastening"),
            "Finish": ("coats", "lined"),
        }
        return [(heading, [self[name] for name in names]) for heading, names in parts.items()]

    @property
    def band_rows(self) -> list[list[BoundField]]:
        return [[self[f"band_{place}_{part}"] for part in BAND_PARTS] for place in range(MOST_BANDS)]

    @property
    def first_bands(self) -> list[list[BoundField]]:
        return self.band_rows[:BANDS_SHOWN]

    @property
    def more_bands(self) -> list[list[BoundField]]:
        return self.band_rows[BANDS_SHOWN:]

    @property
    def more_bands_used(self) -> bool:
        return any(field.value() or field.errors for row in self.more_bands for field in row)


def measures_now(makeup: MakeUp) -> dict[str, Any]:
    """What the form of a make-up would show by now, bands that are not there too."""
    names = {f"band_{place}_{part}": None for place in range(MOST_BANDS) for part in BAND_PARTS}
    return names | initial_of(makeup)


def initial_of(makeup: MakeUp | None) -> dict[str, Any]:
    """What the form shows first: a make-up's own measures, or the usual choices where there is none."""
    if makeup is None:
        return {"height_over": "wood", "coats": 3, "box": "fitted", "fastening": "bolted"}
    known: dict[str, Any] = {field.name: getattr(makeup, field.name) for field in fields(MakeUp)}
    for place, band in enumerate(known.pop("bands")):
        known |= {
            f"band_{place}_name": band.name,
            f"band_{place}_width": band.width_nm,
            f"band_{place}_thickness": band.thickness_nm,
            f"band_{place}_seat": band.seat_nm,
        }
    return known


class KnownMakeUpForm(Seen, MakeUpForm):
    """Changes a make-up that is there."""


class LibraryForm(Seen, forms.Form):
    """What the library says of a make-up beside its measures."""

    name = forms.CharField(label="Name", max_length=80)
    carriage = forms.CharField(label="Carriage", max_length=80, required=False, help_text="What such wheels are for.")
    place = forms.ChoiceField(label="Place", choices=[("", "any"), ("fore", "fore"), ("hind", "hind")], required=False)
    source = forms.CharField(
        label="Where it comes from",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="An old wheel that was measured, a drawing, a book.",
    )

    def __init__(self, *args: Any, row: LibraryMakeUp | None = None, **others: Any) -> None:
        super().__init__(*args, **others)
        self.row = row

    def clean_name(self) -> str:
        name: str = self.cleaned_data["name"]
        others = LibraryMakeUp.objects.filter(name__iexact=name)
        if self.row is not None:
            others = others.exclude(pk=self.row.pk)
        if others.exists():
            raise forms.ValidationError(f"There is a make-up named “{name}” already: give this one another name.")
        return name
