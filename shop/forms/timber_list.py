"""What a cutting list is asked: how many wheels, the saw's cut, and for each timber what it is cut from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.cutting_list import Stock
from jobs.measures import Unit, exact_length
from shop.forms.cutting import MOST_KERF_NM, USUAL_KERF_NM
from shop.forms.measures import LengthField

MOST_WHEELS = 100
SIZES = ("girth", "width", "length")


@dataclass(frozen=True, slots=True)
class Offer:
    """What a group of blanks may be cut from: the best first. `key` begins the names of its fields."""

    key: str
    heading: str
    is_hub: bool
    materials: Sequence[tuple[int, str, Stock]]


class TimberListForm(forms.Form):
    """A question, not an entry: what is left out of the address has its usual answer."""

    wheels = forms.IntegerField(
        label="Wheels",
        min_value=1,
        max_value=MOST_WHEELS,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    kerf = LengthField(label="Width of a cut", required=False)

    def __init__(
        self, asked: Mapping[str, str] | None = None, *, offers: Sequence[Offer], unit: Unit, of_order: bool
    ) -> None:
        super().__init__(asked)
        self.unit, self.offers = unit, offers
        self.fields["kerf"].help_text = f"As usual: {exact_length(USUAL_KERF_NM[unit], unit=unit)}."
        if of_order:
            del self.fields["wheels"]
        for offer in offers:
            self._offer(offer)
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit

    def _offer(self, offer: Offer) -> None:
        if len(offer.materials) > 1:
            choices = [(str(pk), name) for pk, name, _ in offer.materials]
            self.fields[f"{offer.key}-from"] = forms.ChoiceField(label="Cut from", choices=choices, required=False)
        for size in self._sizes(offer):
            self.fields[f"{offer.key}-{size}"] = LengthField(
                label=self._label(offer, size), required=False, help_text=self._stocked(offer, size)
            )

    @staticmethod
    def _sizes(offer: Offer) -> list[str]:
        """A group may be cut from logs, from sawn timber, or from either as it is chosen."""
        logs = {stock.girth_nm is not None for _, _, stock in offer.materials} or {offer.is_hub}
        return [size for size in SIZES if size == "length" or (size == "girth") in logs]

    def _stocked(self, offer: Offer, size: str) -> str:
        """What is taken where the field is left out: the size of the material that is chosen, or else of the best."""
        picked = self.data.get(f"{offer.key}-from", "")
        best = [stock for pk, _, stock in offer.materials if str(pk) == picked] + [one[2] for one in offer.materials]
        length = getattr(best[0], f"{size}_nm") if best else None
        return f"As stocked: {exact_length(length, unit=self.unit)}." if length else ""

    @staticmethod
    def _label(offer: Offer, size: str) -> str:
        stocked = {stock.girth_nm is not None for _, _, stock in offer.materials} or {offer.is_hub}
        if size == "girth":
            return "Girth of a log"
        return f"{size.capitalize()} of a {'log' if stocked == {True} else 'plank'}"

    def clean_kerf(self) -> int:
        kerf: int | None = self.cleaned_data["kerf"]
        if kerf is None:
            return USUAL_KERF_NM[self.unit]
        most = MOST_KERF_NM[self.unit]
        if kerf > most:
            raise ValidationError(f"Write {exact_length(most, unit=self.unit)} or less: no saw cuts so wide.")
        return kerf

    def clean(self) -> dict[str, Any]:
        answers: dict[str, Any] = super().clean() or self.cleaned_data
        for offer in self.offers:
            names = [f"{offer.key}-{size}" for size in self._sizes(offer)]
            for name in names:
                if answers.get(name) == 0:
                    self.add_error(name, "Write a length of more than nothing.")
            given = [name for name in names if answers.get(name)]
            if given and not offer.materials:
                for name in set(names) - set(given) - set(self.errors):
                    self.add_error(name, "Write this too: nothing of that timber is kept.")
        return answers

    def chosen(self, offer: Offer) -> tuple[int | None, Stock | None]:
        """The material that a group is cut from and its size, of a form that is valid: as asked, else as stocked.

        None for the material where none is kept; None for both where nobody told a size either.
        """
        answers = self.cleaned_data
        told = {size: answers.get(f"{offer.key}-{size}") for size in SIZES}
        if not offer.materials:
            if not told["length"]:
                return None, None
            if offer.is_hub:
                return None, Stock(told["length"], girth_nm=told["girth"])
            return None, Stock(told["length"], told["width"] or 0)
        picked = answers.get(f"{offer.key}-from") or str(offer.materials[0][0])
        pk, stock = next((pk, stock) for pk, _, stock in offer.materials if str(pk) == picked)
        length = told["length"] or stock.length_nm
        if stock.girth_nm is not None:
            return pk, Stock(length, girth_nm=told["girth"] or stock.girth_nm)
        return pk, Stock(length, told["width"] or stock.width_nm, stock.thickness_nm)

    def of(self, key: str) -> list[forms.BoundField]:
        """The fields of one group."""
        return [self[name] for name in (f"{key}-{ending}" for ending in ("from", *SIZES)) if name in self.fields]

    def is_asked(self, key: str) -> bool:
        """Whether a size of the group was asked for, and not only found in the list of materials."""
        return any(self.cleaned_data.get(f"{key}-{size}") for size in SIZES)
