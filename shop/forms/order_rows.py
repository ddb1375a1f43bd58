"""Rows of wheels as they are entered: where they go, their make-up from the library or measures of their own."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.forms.utils import ErrorDict

from jobs.makeup import MakeUp, problems
from jobs.models import LibraryMakeUp, Wheel
from jobs.models.operations import Work
from jobs.orders import WheelRow
from shop.asked import Asked
from shop.forms.makeups import MakeUpForm
from shop.forms.orders import MOST_SPARES, OrderForm
from shop.own_words import own_words

MOST_ROWS = 12
MOST_LOOSE = 60
NEW_MEASURES = "new"

Place = Wheel.Place
PLACES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "fore_pair": ("fore pair", (Place.NEAR_FORE, Place.OFF_FORE)),
    "hind_pair": ("hind pair", (Place.NEAR_HIND, Place.OFF_HIND)),
    "pair": ("pair, near and off", (Place.NEAR, Place.OFF)),
    **{place.value: (place.label, (place.value,)) for place in Place if place != Place.LOOSE},
    "loose": ("loose wheels, so many", ()),
}
NAMES = {"pair": "pair", "loose": "loose wheels"}
SETS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "four": ("Set of four", ("fore_pair", "hind_pair")),
    "pair": ("Pair", ("pair",)),
    "one": ("One wheel", ("loose",)),
}


class RowForm(forms.Form):
    """One row of an order without its measures."""

    where = forms.ChoiceField(
        label="Wheels", choices=[("", "choose"), *((key, label) for key, (label, _) in PLACES.items())]
    )
    how_many = forms.IntegerField(label="How many, if loose", required=False, min_value=1, max_value=MOST_LOOSE)
    makeup = forms.ChoiceField(label="Make-up")
    own = forms.BooleanField(label="With other measures than these", required=False)
    work = forms.ChoiceField(label="Work", choices=Work.choices)
    name = forms.CharField(label="Called", max_length=80, required=False, help_text="Left empty: hind pair, and so on.")
    spare_spokes = forms.IntegerField(label="Spare spokes", required=False, min_value=0, max_value=MOST_SPARES)
    spare_felloes = forms.IntegerField(required=False, min_value=0, max_value=MOST_SPARES)

    def __init__(self, *args: Any, place: int, asked: Asked, library: Sequence[LibraryMakeUp], **others: Any) -> None:
        super().__init__(*args, **others)
        self.asked = asked
        self.library = {str(row.pk): row for row in library}
        fields: dict[str, Any] = self.fields
        fields["makeup"].choices = [
            ("", "choose one"),
            *((str(row.pk), row.name) for row in library),
            (NEW_MEASURES, "none of these: new measures"),
        ]
        fields["spare_felloes"].label = f"Spare {asked.words['felloes']}"
        fields["work"].choices = [(value, own_words(str(label), asked.words)) for value, label in Work.choices]
        number = place + 1
        fields["where"].error_messages["required"] = f"Choose which wheels row {number} is."
        fields["makeup"].error_messages["required"] = f"Choose the make-up of row {number}."
        loose = f"One row holds 1 to {MOST_LOOSE} loose wheels: put more into another row."
        fields["how_many"].error_messages |= {"min_value": loose, "max_value": loose}

    @property
    def more_is_used(self) -> bool:
        """Whether something is written, or wrong, in what is seldom filled in."""
        return any(self[name].value() or self[name].errors for name in ("name", "spare_spokes", "spare_felloes"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        where, number = cleaned.get("where"), cleaned.get("how_many")
        if where == "loose" and number is None and "how_many" not in self.errors:
            self.add_error("how_many", "Say how many loose wheels.")
        elif where and where != "loose" and number not in (None, len(PLACES[where][1])):
            places = PLACES[where][1]
            self.add_error("how_many", f"The {PLACES[where][0]} is {len(places)}, not {number}: leave this empty.")
        chosen = self.chosen
        if chosen and not cleaned.get("own"):
            for problem in problems(
                chosen.makeup,
                new_work=cleaned.get("work") == Work.NEW,
                words=self.asked.words,
                unit=self.asked.unit,
            ):
                if problem.refuse:
                    self.add_error("makeup", problem.sentence)
        return cleaned

    @property
    def chosen(self) -> LibraryMakeUp | None:
        """The make-up of the library that was chosen, or that stands first in the form."""
        value = self["makeup"].value()
        return self.library.get(str(value))

    @property
    def wants_measures(self) -> bool:
        return bool(self["own"].value()) or self["makeup"].value() == NEW_MEASURES

    @property
    def places(self) -> Sequence[str]:
        where = self.cleaned_data["where"]
        if where == "loose":
            return [Place.LOOSE.value] * self.cleaned_data["how_many"]
        return PLACES[where][1]

    @property
    def lot_name(self) -> str:
        where = self.cleaned_data["where"]
        name: str = self.cleaned_data["name"] or NAMES.get(where, PLACES[where][0])
        return name


class RowEntry:
    """A row with its measures, where it has its own."""

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        place: int,
        asked: Asked,
        library: Sequence[LibraryMakeUp],
        initial: Mapping[str, Any] | None = None,
        makeup: MakeUp | None = None,
    ) -> None:
        self.place = place
        prefix = f"row-{place}"
        first = {"spare_spokes": 0, "spare_felloes": 0} | dict(initial or {})
        self.form = RowForm(data, prefix=prefix, place=place, asked=asked, library=library, initial=first)
        self.measures: MakeUpForm | None = None
        self.measures_shown_first = False
        if self.form.wants_measures:
            before = self.form.chosen
            there = data is not None and f"{prefix}-measures-height_nm" in data
            self.measures_shown_first = not there
            self.measures = MakeUpForm(
                data if there else None,
                prefix=f"{prefix}-measures",
                words=asked.words,
                unit=asked.unit,
                new_work=self.form["work"].value() in (None, Work.NEW),
                makeup=makeup or (before.makeup if before else None),
            )

    @property
    def legend(self) -> str:
        return f"Row {self.place + 1}"

    @property
    def has_warnings(self) -> bool:
        return bool(self.measures and self.measures.warnings and not self.measures.errors)

    @property
    def forms(self) -> list[forms.Form]:
        return [self.form, *([self.measures] if self.measures else [])]

    @property
    def is_ready(self) -> bool:
        """Whether all is valid, and what is unusual has been taken as it is."""
        valid = [form.is_valid() for form in self.forms]
        return all(valid) and (self.measures is None or self.measures.is_accepted)

    def row(self) -> WheelRow:
        """The row for `take_order`. Call it when it is ready."""
        told = self.form.cleaned_data
        library = self.form.chosen
        makeup: MakeUp | None = self.measures.makeup if self.measures else library.makeup if library else None
        if makeup is None:
            raise ValueError("A row that is not ready has no make-up.")
        return WheelRow(
            makeup=makeup,
            name=self.form.lot_name,
            places=self.form.places,
            work=told["work"],
            spare_spokes=told["spare_spokes"] or 0,
            spare_felloes=told["spare_felloes"] or 0,
            library=library,
        )


class OrderEntry:
    """A whole new order as it is being entered: its head, which may be another's, and its rows."""

    no_rows = "An order has at least one row of wheels."

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        asked: Asked,
        library: Sequence[LibraryMakeUp],
        head: forms.BaseForm | None = None,
    ) -> None:
        self.asked, self.library = asked, library
        self._data = data
        self.head = head or (OrderForm(data) if data is not None else OrderForm.fresh())
        self.rows: list[RowEntry] = []
        count = _count(data.get("rows")) if data is not None else 0
        for place in range(count):
            self.rows.append(RowEntry(data, place=place, asked=asked, library=library))

    @property
    def forms(self) -> list[forms.BaseForm]:
        return [self.head, *(form for row in self.rows for form in row.forms)]

    @property
    def is_ready(self) -> bool:
        head = self.head.is_valid()
        if not self.rows:
            self.head.add_error(None, self.no_rows)
            self.add_row()
            return False
        return all([row.is_ready for row in self.rows]) and head  # noqa: C419 - all are checked

    @property
    def has_warnings(self) -> bool:
        return any(row.has_warnings for row in self.rows)

    @property
    def may_grow(self) -> bool:
        return len(self.rows) < MOST_ROWS

    def add_row(self, initial: Mapping[str, Any] | None = None, *, makeup: MakeUp | None = None) -> None:
        """Another row to be filled in; `makeup` stands first in its measures, where it has its own."""
        if self.may_grow:
            row = RowEntry(
                None, place=len(self.rows), asked=self.asked, library=self.library, initial=initial, makeup=makeup
            )
            self.rows.append(row)

    def answer(self, asked_for: Mapping[str, Any]) -> bool:
        """Another row, one fewer or a whole set, where that was asked for; says whether it was."""
        if "add_row" in asked_for:
            self.add_row()
        elif "fewer_rows" in asked_for:
            del self.rows[max(1, len(self.rows) - 1) :]
        elif asked_for.get("set") in SETS:
            self.fill_set(asked_for["set"])
        else:
            return False
        self.hush()
        return True

    def fill_set(self, name: str) -> None:
        """The rows of a set in place of those there, with make-ups of this carriage where the library has them."""
        self.rows = []
        for where in SETS[name][1]:
            likely = self._likely(where)
            self.add_row({"where": where, "how_many": 1 if where == "loose" else None, "makeup": likely})

    def _likely(self, where: str) -> str | None:
        carriage = str(self.head["carriage"].value() or "").strip().lower()
        of_it = [row for row in self.library if carriage and row.carriage.lower() == carriage]
        there = [row for row in of_it if row.place and where.startswith(row.place)] or of_it
        return str(there[0].pk) if there else None

    def hush(self) -> None:
        """Say nothing yet of what is missing: the person is still filling it in."""
        for form in self.forms:
            form._errors = ErrorDict()  # type: ignore[attr-defined]


def _count(text: Any) -> int:
    written = str(text)
    return min(int(written), MOST_ROWS) if written.isdecimal() and len(written) < 4 else 0
