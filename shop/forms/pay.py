"""How a hand is paid from a day on, and what it is paid beside."""

from datetime import date
from typing import Any

from django import forms

from shop.days import day_in_words
from shop.forms.charges import AmountForm
from shop.forms.people import hands_lately
from shop.forms.seen import Seen
from shop.forms.shown import ShownField
from shop.models import PayTerms
from shop.widgets import DayField

PAID_BY = [("pieces", "Pieces, and the wage for other hours"), ("hours", "The wage for all hours")]
HOURS = [
    ("shop", "The shop sets or checks its hours"),
    ("hand", "It begins and ends when it likes, as long as it likes"),
]


class TermsForm(Seen, forms.Form):
    """By pieces or by hours, and what the law asks at the least.

    Whether what stood was a mistake is asked where it lowers what the law asks of days that were worked.
    """

    paid_by = forms.ChoiceField(label="Paid by", choices=PAID_BY, widget=forms.RadioSelect)
    band = forms.ChoiceField(
        label="The lowest wage that the law asks",
        choices=PayTerms.Band.choices,
        help_text="It is looked at where the pay settings name the law of Great Britain.",
    )
    hours = forms.ChoiceField(
        label="Its hours",
        choices=HOURS,
        widget=forms.RadioSelect,
        help_text="Only the pieces of a hand whose hours the shop neither sets nor checks may count as rated output "
        "work (National Minimum Wage Regulations 2015, regulation 41).",
    )
    was_mistake = ShownField(
        label="What stood until now was a mistake",
        help_text="Which lowest wage is due follows from a hand's real age and apprenticeship, and whose hours count "
        "from how it really works, never from what is ticked here; local rules go before it. That you say so, and the "
        "sum, is kept among who changed what.",
    )
    from_on = DayField(
        label="From",
        error_messages={"required": "Write the day from which it stands: terms without one can't be used."},
    )

    field_order = ("paid_by", "band", "hours", "from_on", "was_mistake")

    def __init__(self, *args: Any, asks_hours: bool = True, **others: Any) -> None:
        """`asks_hours`: whether the law of the shop makes anything of who sets them."""
        super().__init__(*args, **others)
        if not asks_hours:
            del self.fields["hours"]


class BonusForm(AmountForm):
    """A named amount for a hand on a day. `begins` is the first day that is paid at all."""

    hand = forms.TypedChoiceField(label="Who", coerce=int)
    what = forms.CharField(label="What for", max_length=160)
    on = DayField(label="Day", help_text="It is paid with the period of this day.")
    field_order = ("token", "hand", "what", "amount", "on")

    def __init__(self, *args: Any, today: date, begins: date, **others: Any) -> None:
        super().__init__(*args, today=today, **others)
        self.begins = begins
        self.fields["hand"].choices = hands_lately(today)  # type: ignore[attr-defined]

    def clean_amount(self) -> int:
        amount: int = self.cleaned_data["amount"]
        if amount <= 0:
            raise forms.ValidationError("A bonus is more than nothing: take one back by its own row.")
        return amount

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
        if on < self.begins:
            raise forms.ValidationError(
                f"Pay is reckoned here from {day_in_words(self.begins)} on: a bonus of a day before is never paid."
            )
        return super().clean_on()
