"""What is bought, counted, issued from the rack and brought back: how much of a material, and the day."""

import uuid
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.measures import Unit
from jobs.models import Order
from shop.forms.amounts import AmountField
from shop.forms.charges import MoneyField, PlaceField
from shop.forms.cutting import OffcutsField, offcuts_told
from shop.forms.people import one_line
from shop.forms.seen import Seen
from shop.models import Issue, Material
from shop.stores.actions import Much
from shop.stores.amounts import (
    MILLION,
    PIECES,
    UNITS,
    of_pieces,
    piece_millionths,
    pieces_for,
    plain_amount,
    told,
)
from shop.stores.plans import ToIssue
from shop.widgets import DayField, not_to_come

IN_UNIT, IN_PIECES = "unit", "pieces"
MOST_PIECES = 10_000
MOST_PERCENT = 300
# A plan takes so few offcuts that it can be searched; many more may be left of it.
MANY: Mapping[str, int] = {"most": MOST_PIECES, "longest": 20_000}
LONGEST_PLAN = 8000


class _MuchForm(forms.Form):
    """How much, in the unit that the material is bought by or in pieces, and the day."""

    least_is_nothing = False

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    amount = AmountField(label="How much")
    counted_in = forms.ChoiceField(label="Counted in", widget=forms.RadioSelect, initial=IN_PIECES)
    on = DayField(label="Day")

    def __init__(self, *args: Any, material: Material, today: date, **others: Any) -> None:
        super().__init__(*args, **others)
        self.material, self.today = material, today
        self.initial.setdefault("on", today)
        self._offer_units(material)

    def _offer_units(self, material: Material) -> None:
        if material.unit == Material.Unit.EACH:
            del self.fields["counted_in"]
            self.fields["amount"].label = f"How many {PIECES[material.kind][1]}"
            return
        if material.is_goods:
            del self.fields["counted_in"]
            self.fields["amount"].label = f"How much, {UNITS[material.unit][1]}"
            return
        one = told(piece_millionths(material), material.unit)
        field = self.fields["counted_in"]
        field.choices = [  # type: ignore[attr-defined]
            (IN_PIECES, f"{PIECES[material.kind][1]} of the stocked size, {one} each"),
            (IN_UNIT, UNITS[material.unit][1]),
        ]

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        amount = answers.get("amount")
        if amount is not None:
            if not amount and not self.least_is_nothing:
                self.add_error("amount", "Write more than nothing.")
            elif self._in_pieces and amount % MILLION:
                self.add_error("amount", "Write a whole number of pieces.")
            elif self._in_pieces and amount > MOST_PIECES * MILLION:
                self.add_error("amount", f"Write at most {MOST_PIECES:,} pieces.")
        return answers

    @property
    def _in_pieces(self) -> bool:
        if self.material.unit == Material.Unit.EACH:
            return True
        return "counted_in" in self.fields and self.cleaned_data.get("counted_in") == IN_PIECES

    @property
    def much(self) -> Much:
        """Of a form that is valid."""
        amount: int = self.cleaned_data["amount"]
        if not self._in_pieces:
            return Much(self.material, amount)
        pieces = amount // MILLION
        return Much(self.material, of_pieces(self.material, pieces), pieces)


class PurchaseForm(_MuchForm):
    """What came in, and what was paid for all of it."""

    paid = MoneyField(label="Paid for it in all")
    supplier = forms.CharField(label="From whom", max_length=120, required=False)
    felled_on = DayField(label="Felled or sawn on", required=False)
    moisture = forms.DecimalField(
        label="Moisture by the meter, %",
        min_value=0,
        max_value=MOST_PERCENT,
        decimal_places=1,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={"max_decimal_places": "Write at most one figure after the point."},
    )
    field_order = ("token", "amount", "counted_in", "paid", "supplier", "on", "felled_on", "moisture")

    def __init__(self, *args: Any, material: Material, currency: str, **others: Any) -> None:
        super().__init__(*args, material=material, **others)
        paid = self.fields["paid"]
        if isinstance(paid, MoneyField):
            paid.currency = currency
            paid.help_text = f"In {currency}, as 12.50: with carriage, without what is got back of the tax."
        self.fields["on"].help_text = "The day that it came."
        if not material.is_timber:
            del self.fields["felled_on"], self.fields["moisture"]

    def clean_supplier(self) -> str:
        return one_line(self.cleaned_data["supplier"])

    def clean(self) -> dict[str, Any]:
        answers = super().clean()
        felled, on = answers.get("felled_on"), answers.get("on")
        if felled and on and felled > on:
            self.add_error("felled_on", "It can’t have been felled after it came.")
        return answers

    @property
    def about(self) -> dict[str, Any]:
        """What else is told of it, of a form that is valid."""
        told = self.cleaned_data
        moisture = told.get("moisture")
        return {
            "supplier": told["supplier"],
            "felled_on": told.get("felled_on"),
            "moisture_tenths": None if moisture is None else int(moisture * 10),
        }


class CountForm(_MuchForm):
    """What lies there now, or lay there at the end of an earlier day."""

    least_is_nothing = True

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["on"].help_text = (
            "Today: as it lies there now. What is written down later today came or went after it, and what is written "
            "down of today on a later day, before it. An earlier day: as it lay there at its end, after all that came "
            "and went that day."
        )


class FromRackForm(_MuchForm):
    """What is taken from the rack for an order."""

    place = PlaceField(label="On what")
    field_order = ("token", "amount", "counted_in", "place", "on")

    def __init__(self, *args: Any, order: Order, **others: Any) -> None:
        super().__init__(*args, **others)
        place = self.fields["place"]
        if isinstance(place, PlaceField):
            place.offer(order)
        self.initial.setdefault("place", "order")


class BackToRackForm(_MuchForm):
    """What was not needed of it."""


class IssuePlanForm(forms.Form):
    """What a plan takes of each material, once: of timber in pieces, of bars as they are bought, with their offcuts."""

    token = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    # What the plan rested on when it was shown, and where it stands.
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=80)
    plan = forms.CharField(widget=forms.HiddenInput, required=False, max_length=LONGEST_PLAN)
    place = PlaceField(label="On what", initial="order")
    on = DayField(label="Day")

    def __init__(self, *args: Any, order: Order, materials: Sequence[Material], today: date, unit: Unit, **others: Any):
        super().__init__(*args, **others)
        self.materials, self.today = materials, today
        self.initial.setdefault("on", today)
        place = self.fields["place"]
        if isinstance(place, PlaceField):
            place.offer(order)
        for one in materials:
            self.fields[f"much-{one.pk}"] = AmountField(label=f"{one.name}, {self._unit_of(one)}", required=False)
            if one.is_bar:
                about = f"{one.name[:1].lower()}{one.name[1:]}"
                self.fields[f"left-{one.pk}"] = OffcutsField(unit=unit, label=f"Offcuts kept of {about}", **MANY)
                used = OffcutsField(unit=unit, label=f"Offcuts used of {about}", widget=forms.HiddenInput, **MANY)
                self.fields[f"used-{one.pk}"] = used
        self.order_fields([name for name in self.fields if name not in ("place", "on")])

    @staticmethod
    def _unit_of(material: Material) -> str:
        in_unit = material.is_bar and material.unit != Material.Unit.EACH
        return UNITS[material.unit][1] if in_unit else PIECES[material.kind][1]

    def clean_on(self) -> date:
        return not_to_come(self.cleaned_data["on"], self.today)

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        for one in self.materials:
            amount = answers.get(f"much-{one.pk}") or 0
            whole = not one.is_bar or one.unit == Material.Unit.EACH
            if whole and (amount % MILLION or amount > MOST_PIECES * MILLION):
                self.add_error(f"much-{one.pk}", f"Write a whole number of pieces, at most {MOST_PIECES:,}.")
        if not self.errors and not self.these:
            raise ValidationError("Nothing is to be issued: write how much of at least one material.")
        return answers

    @property
    def these(self) -> list[Much]:
        """How much of each material, of a form that is valid."""
        told = [(one, self.cleaned_data.get(f"much-{one.pk}") or 0) for one in self.materials]
        return [self._much(one, amount) for one, amount in told if amount]

    @staticmethod
    def _much(material: Material, amount: int) -> Much:
        if material.is_bar and material.unit != Material.Unit.EACH:
            return Much(material, amount)
        return Much(material, of_pieces(material, amount // MILLION), amount // MILLION)

    def noted_with(self, rows: Sequence[Issue]) -> list[tuple[Material, Issue]]:
        """Each bar with the issue that its offcuts are noted with: its own, or one of its section where
        whole bars are bought and nothing more is charged for an offcut."""
        found = []
        for bar in (one for one in self.materials if one.is_bar):
            whole = bar.unit == Material.Unit.EACH
            alike = [row for row in rows if row.material == bar]
            alike += [row for row in rows if whole and row.material and row.material.section_nm == bar.section_nm]
            found += [(bar, row) for row in alike[:1]]
        return found

    def offcuts(self, material: Material, what: str) -> Counter[int]:
        """Lengths in nanometres that are "left" of a bar, or "used" up."""
        found: Counter[int] = Counter()
        for each in self.cleaned_data.get(f"{what}-{material.pk}") or []:
            found[each.length_nm] += each.count or 0
        return found


def plan_answers(rows: Sequence[ToIssue], *, unit: Unit) -> dict[str, Any]:
    """What the form of a plan shows at first."""
    shown: dict[str, Any] = {}
    for row in rows:
        one = row.planned.material
        in_unit = one.is_bar and one.unit != Material.Unit.EACH
        shown[f"much-{one.pk}"] = plain_amount(row.amount) if in_unit else str(pieces_for(one, row.amount))
        shown[f"left-{one.pk}"] = offcuts_told(row.planned.left, unit=unit)
        shown[f"used-{one.pk}"] = offcuts_told(row.planned.used, unit=unit)
    return shown


class OffcutsKeptForm(Seen, forms.Form):
    """The offcuts of one bar that are kept, all of them."""

    def __init__(self, *args: Any, unit: Unit, kept: Mapping[int, int], **others: Any) -> None:
        super().__init__(*args, **{"initial": offcuts_now(kept, unit), **others})
        hint = "Lengths with semicolons between, and a number where there are several, as “1200 mm × 2; 3 ft 10 in”."
        self.fields["lengths"] = OffcutsField(
            unit=unit, label="Offcuts that lie there", help_text=hint, widget=forms.Textarea(attrs={"rows": 4}), **MANY
        )
        self.unit: Unit = unit

    def clean_lengths(self) -> str:
        """As they are told, so that the same lengths are the same however they are written."""
        found: Counter[int] = Counter()
        for each in self.cleaned_data["lengths"]:
            found[each.length_nm] += each.count or 0
        self.found = found
        return offcuts_told(found, unit=self.unit)


def offcuts_now(kept: Mapping[int, int], unit: Unit) -> dict[str, Any]:
    """What the form of kept offcuts would show by now."""
    return {"lengths": offcuts_told(kept, unit=unit)}


class WhichMaterialForm(forms.Form):
    """Which material is issued: asked by plain GET."""

    material = forms.TypedChoiceField(label="Material", coerce=int)

    def __init__(self, *args: Any, offers: Sequence[tuple[int, str]], **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["material"].choices = offers  # type: ignore[attr-defined]
