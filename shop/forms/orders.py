"""What is asked about an order and its life: taking it, putting it right, promises, holds, pieces to another lot."""

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, Self

from django import forms

from jobs.models import Hold, Lot, Order, Wheel
from shop.forms.seen import Seen
from shop.widgets import DayField

MOST_SPARES = 200


def words_field(label: str, **others: Any) -> forms.CharField:
    """A few lines of plain words."""
    rows = others.pop("rows", 3)
    return forms.CharField(label=label, widget=forms.Textarea(attrs={"rows": rows}), **others)


class ForWhom(forms.Form):
    """For whom something new is written down, and for which carriage."""

    token = forms.UUIDField(widget=forms.HiddenInput)
    customer = forms.CharField(
        label="Customer",
        max_length=120,
        widget=forms.TextInput(attrs={"list": "customers", "autocomplete": "off"}),
    )
    contact = words_field("How to reach them", required=False, max_length=1000, rows=2)
    carriage = forms.CharField(label="Carriage", max_length=80, help_text="Gig, dog-cart, wagonette.")

    @classmethod
    def fresh(cls, initial: Mapping[str, Any] | None = None) -> Self:
        """A form with its own token, so that it makes one thing however often it is sent."""
        return cls(initial={"token": uuid.uuid4()} | dict(initial or {}))


class OrderForm(ForWhom):
    """The head of a new order."""

    state = forms.ChoiceField(
        label="It is",
        choices=[(Order.State.TAKEN, "taken: to be made"), (Order.State.ENQUIRY, "an enquiry: nothing is made yet")],
        initial=Order.State.TAKEN,
        widget=forms.RadioSelect,
    )
    due_on = DayField(label="Due", required=False)
    note = words_field("Note", required=False, max_length=4000)


class DetailsForm(Seen, forms.Form):
    """For whom an order is, and what is said of it."""

    customer = forms.CharField(
        label="Customer",
        max_length=120,
        widget=forms.TextInput(attrs={"list": "customers", "autocomplete": "off"}),
        help_text="Another name makes it another customer's order.",
    )
    contact = words_field("How to reach them", required=False, max_length=1000, rows=2)
    carriage = forms.CharField(label="Carriage", max_length=80)
    note = words_field("Note", required=False, max_length=4000)


class PromiseForm(Seen, forms.Form):
    """Another day promised, why, and when the customer was told."""

    promised_on = DayField(label="Promise it for", required=False, help_text="Left empty: no day is promised.")
    reason = forms.CharField(label="Why", max_length=200)
    told_on = DayField(label="Customer told", required=False, help_text="Left empty: not told yet.")


class HoldForm(Seen, forms.Form):
    """What an order, a lot or a wheel waits for besides work."""

    kind = forms.ChoiceField(label="Waits for", choices=Hold.Kind.choices, widget=forms.RadioSelect)
    what = forms.CharField(label="What exactly", max_length=200, help_text="Elm for two hubs; the axle boxes.")
    where = forms.ChoiceField(label="Which work waits")
    expected_on = DayField(label="Expected", required=False)

    def __init__(self, *args: Any, lots: Sequence[Lot], wheels: Sequence[Wheel], **others: Any) -> None:
        super().__init__(*args, **others)
        self._places: dict[str, Lot | Wheel | None] = {"order": None}
        names = [("order", "the whole order")]
        for lot in lots:
            self._places[f"lot-{lot.pk}"] = lot
            names.append((f"lot-{lot.pk}", f"the {lot.name}"))
        for wheel in wheels:
            self._places[f"wheel-{wheel.pk}"] = wheel
            names.append((f"wheel-{wheel.pk}", f"the {wheel.label} wheel"))
        where: Any = self.fields["where"]
        where.choices = names

    @property
    def place(self) -> dict[str, Any]:
        """The lot or the wheel that waits, as `place_hold` takes it; neither for the whole order."""
        there = self._places[self.cleaned_data["where"]]
        return {"lot": there if isinstance(there, Lot) else None, "wheel": there if isinstance(there, Wheel) else None}


class LiftForm(forms.Form):
    """What was waited for is here; for a customer's word, what it was."""

    said = forms.CharField(label="What was said, or what came", max_length=200, required=False)


class SparesForm(Seen, forms.Form):
    """Loose pieces made over what the wheels want."""

    spokes = forms.IntegerField(label="Spare spokes", min_value=0, max_value=MOST_SPARES)
    felloes = forms.IntegerField(min_value=0, max_value=MOST_SPARES)

    def __init__(self, *args: Any, felloes: str, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["felloes"].label = f"Spare {felloes}"


class MoveForm(forms.Form):
    """Loose pieces carried to another lot, as far as they have come."""

    token = forms.UUIDField(widget=forms.HiddenInput)
    pieces_from = forms.ChoiceField(label="Which pieces")
    to_lot = forms.ChoiceField(label="To")
    pieces = forms.IntegerField(label="How many", min_value=1, max_value=9_999)
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(
        self, *args: Any, stages: Sequence[tuple[int, str]], lots: Sequence[tuple[int, str]], **others: Any
    ) -> None:
        super().__init__(*args, **others)
        fields: dict[str, Any] = self.fields
        fields["pieces_from"].choices = stages
        fields["to_lot"].choices = [("", "choose one"), *lots]
