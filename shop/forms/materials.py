"""A material as the shop buys it."""

from typing import Any

from django import forms

from jobs.measures import Unit
from shop.forms.amounts import AmountField
from shop.forms.measures import LengthField
from shop.forms.people import one_line
from shop.forms.seen import STATE, Seen
from shop.models import Material
from shop.stores.amounts import MILLION

KINDS = [
    (Material.Kind.PLANK, "Planks: sawn boards, of which many pieces are cut"),
    (Material.Kind.BLANK, "Squared blanks: of a section near that of the piece"),
    (Material.Kind.LOG, "Round logs, for wooden middles of wheels"),
    (Material.Kind.BAR, "Flat bars of iron or steel, for tyres and bands"),
    (Material.Kind.GOODS, "Other goods, of which nothing is cut by a list: bolts, paint, rubber, boxes"),
]
SIZES = ("thickness", "width", "girth", "length")
# Which of them each kind has.
OF_LOGS, OF_SAWN, OF_GOODS = ("girth", "length"), ("thickness", "width", "length"), ()
U = Material.Unit
# What each kind is bought by, and what is said of another.
BOUGHT_BY = {
    Material.Kind.LOG: ((U.EACH, U.HOPPUS_FOOT, U.CUBIC_METRE), "Logs are"),
    Material.Kind.BAR: ((U.EACH, U.METRE, U.KILOGRAM), "Bars are"),
    Material.Kind.GOODS: ((U.EACH, U.METRE, U.KILOGRAM, U.LITRE), "Other goods are"),
}
SAWN = ((U.EACH, U.BOARD_FOOT, U.CUBIC_METRE, U.METRE), "Planks and squared blanks are")
MISSING = {"required": "Write this too: its cuts are reckoned from it."}


class MaterialForm(Seen, forms.Form):
    """One material; which sizes it has goes by its kind."""

    name = forms.CharField(label="Name", max_length=80, help_text="As the merchant's bill has it: “Ash, 2 in boards”.")
    kind = forms.ChoiceField(label="It comes as", choices=KINDS, widget=forms.RadioSelect)
    timber = forms.CharField(
        label="Of",
        max_length=40,
        help_text="Timber as make-ups call it: “oak” serves make-ups that say “cleft oak” too. "
        "Bars: iron, or steel. Other goods need none.",
        widget=forms.TextInput(attrs={"autocapitalize": "none"}),
    )
    unit = forms.ChoiceField(
        label="Bought by the",
        choices=Material.Unit,
        help_text="Hoppus feet are for logs, kilograms for bars and goods.",
    )
    thickness = LengthField(label="Thickness", error_messages=MISSING)
    width = LengthField(label="Width", error_messages=MISSING)
    girth = LengthField(label="Girth, of a log", error_messages=MISSING)
    length = LengthField(label="Length", error_messages=MISSING)
    least = AmountField(
        label="Keep at least",
        required=False,
        help_text="In what it is bought by. Where less lies in the rack, the stores say how much to buy.",
    )

    def __init__(self, *args: Any, unit: Unit, material: Material | None = None, **others: Any) -> None:
        super().__init__(*args, **{"initial": material_now(material) if material else {}, **others})
        for name in SIZES:
            field = self.fields[name]
            if isinstance(field, LengthField):
                field.unit = unit
                field.required = not self.is_bound or name in self._sizes
        self.fields["timber"].required = not self._is_goods

    @property
    def _sizes(self) -> tuple[str, ...]:
        """Those of the kind that is told; what another kind has may be left out."""
        if self._is_goods:
            return OF_GOODS
        return OF_LOGS if self.data.get(self.add_prefix("kind")) == Material.Kind.LOG else OF_SAWN

    @property
    def _is_goods(self) -> bool:
        return self.data.get(self.add_prefix("kind")) == Material.Kind.GOODS

    def clean_name(self) -> str:
        return one_line(self.cleaned_data["name"])

    def clean_timber(self) -> str:
        return one_line(self.cleaned_data["timber"])

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        for name in SIZES:
            if name not in self._sizes:
                # What another kind has is dropped: the form shows all of them.
                answers[name] = None
                self.errors.pop(name, None)
            elif answers.get(name) == 0:
                self.add_error(name, "Write a length of more than nothing.")
        units, things = BOUGHT_BY.get(answers.get("kind", ""), SAWN)
        if answers.get("unit") and answers["unit"] not in units:
            self.add_error("unit", f"{things} not measured so: choose another.")
        if answers.get("unit") == U.EACH and (answers.get("least") or 0) % MILLION:
            self.add_error("least", "Write a whole number of pieces.")
        # To keep none at least is to say nothing.
        answers["least"] = answers.get("least") or None
        return answers

    @property
    def asked(self) -> dict[str, Any]:
        """The columns of the material, of a form that is valid."""
        return {_column(name): value for name, value in self.answers.items()}


def _column(name: str) -> str:
    if name == "least":
        return "least_millionths"
    return f"{name}_nm" if name in SIZES else name


def material_now(material: Material) -> dict[str, Any]:
    """What the form of a material would show by now."""
    columns = ("name", "kind", "timber", "unit")
    return {
        **{name: getattr(material, name) for name in columns},
        **{name: getattr(material, _column(name)) for name in (*SIZES, "least")},
        STATE: "The material was retired" if material.retired_at else "",
    }
