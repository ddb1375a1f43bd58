"""What the shop leaves on blanks to be worked off."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.measures import NM_PER_INCH, Unit, exact_length
from shop.forms.measures import LengthField
from shop.forms.seen import Seen
from shop.forms.shop import FormOfShop
from shop.models import Shop
from shop.models.settings import ALLOWANCES

# More was typed in another unit: a strip for bending has the most, and wants half of this.
MOST_NM = 12 * NM_PER_INCH


class AllowanceField(LengthField):
    """A length that may be nothing."""

    def clean(self, value: Any) -> int:
        length: int = super().clean(value)
        if length > MOST_NM:
            raise ValidationError(f"Write {exact_length(MOST_NM, unit=self.unit)} or less.")
        return length


class AllowancesForm(Seen, FormOfShop):
    """A length for each; nothing, where the piece is bought to size."""

    allow_hub_diameter_nm = AllowanceField(label="Hub’s diameter")
    allow_hub_length_nm = AllowanceField(label="Hub’s length")
    allow_spoke_section_nm = AllowanceField(label="Spokes’ width and thickness")
    allow_spoke_length_nm = AllowanceField(label="Spokes’ length")
    allow_felloe_thickness_nm = AllowanceField(label="Thickness")
    allow_felloe_depth_nm = AllowanceField(label="Outside the sole, and inside the belly")
    allow_felloe_end_nm = AllowanceField(label="At each end")
    allow_strip_section_nm = AllowanceField(label="Strips’ width and thickness")
    allow_strip_length_nm = AllowanceField(label="Strips’ length")

    class Meta:
        model = Shop
        fields = list(ALLOWANCES)

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        unit: Unit = "in" if self.instance.units == "in" else "mm"
        for field in self.fields.values():
            if isinstance(field, LengthField):
                field.unit = unit
        hub, felloes = self.instance.word_hub.capitalize(), self.instance.word_felloes.capitalize()
        self.fields["allow_hub_diameter_nm"].label = f"{hub}’s diameter"
        self.fields["allow_hub_length_nm"].label = f"{hub}’s length"
        self.fields["allow_felloe_thickness_nm"].label = f"{felloes}’ thickness"
        self.fields["allow_felloe_depth_nm"].label = f"{felloes}, outside the sole and inside the belly"
        self.fields["allow_felloe_end_nm"].label = f"{felloes}, at each end"

    def of_part(self, part: str) -> list[forms.BoundField]:
        """The fields of one kind of piece."""
        return [self[name] for name in ALLOWANCES if name.startswith(f"allow_{part}_")]

    @property
    def parts(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields by the kind of piece, as the page asks them."""
        felloes = self.instance.word_felloes
        headings = {
            "hub": self.instance.word_hub.capitalize(),
            "spoke": "Spokes",
            "felloe": f"Sawn {felloes}",
            "strip": "Strips for a bent rim",
        }
        return [(heading, self.of_part(part)) for part, heading in headings.items()]
