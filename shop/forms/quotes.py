"""What is asked of a quotation: for whom, its price, its terms, and what it has beside wheels."""

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from jobs.models.operations import Trade
from shop.forms.charges import MoneyField
from shop.forms.orders import ForWhom, words_field
from shop.forms.people import one_line
from shop.forms.seen import Seen, digest
from shop.models import QuoteItem, Revision
from shop.money import plain_pence
from shop.quoting.rows import MaterialRow

By = Revision.PriceBy
WHOLE = 10_000  # basis points
MOST_PER_CENT = 1000
MOST_DAYS, MOST_WEEKS = 730, 520
MOST_ITEMS, SPARE_ROWS = 30, 2
_NUMBER = re.compile(r"(?P<number>\d{1,6}(?:\.\d{1,6})?)\s*%?", re.ASCII)


class AmountField(MoneyField):
    """An amount that shows what is kept, in minor units, as it is typed."""

    def prepare_value(self, value: Any) -> Any:
        return plain_pence(value, self.currency) if isinstance(value, int) else value


class PerCentField(forms.CharField):
    """A percentage as "20", "17.5" or "20 %"; cleans to basis points, or None where it is left out."""

    def __init__(self, *, below: int | None = None, most: int = MOST_PER_CENT, **others: Any) -> None:
        self.below, self.most = below, most
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(**{"max_length": 12, "widget": widget, **others})

    def prepare_value(self, value: Any) -> Any:
        return f"{Decimal(value) / 100:f}".removesuffix(".00") if isinstance(value, int) else value

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        found = _NUMBER.fullmatch(text.strip())
        if found is None:
            raise ValidationError(f"“{text.strip()}” is not a percentage: write it as 20 or 17.5.")
        basis = Decimal(found["number"]) * 100
        if basis != int(basis):
            raise ValidationError(f"“{text.strip()}” is too fine: two figures after the point will do.")
        if self.below is not None and basis >= self.below * 100:
            raise ValidationError(f"Write less than {self.below} %.")
        if basis > self.most * 100:
            raise ValidationError(f"Write {self.most} % or less.")
        return int(basis)


class QuoteHead(ForWhom):
    """For whom a new quotation is."""

    def clean_carriage(self) -> str:
        return one_line(self.cleaned_data["carriage"])


class DraftHead(Seen, forms.Form):
    """For whom a draft is."""

    customer = forms.CharField(
        label="Customer",
        max_length=120,
        widget=forms.TextInput(attrs={"list": "customers", "autocomplete": "off"}),
        help_text="Another name makes it another customer’s quotation.",
    )
    carriage = forms.CharField(label="Carriage", max_length=80)

    def clean_carriage(self) -> str:
        return one_line(self.cleaned_data["carriage"])


class PriceForm(Seen, forms.Form):
    """How the price is found. The four figures say one price in four ways; the one that is chosen is kept.

    Cleans `by` and `figure`: pence for a price, basis points for the others.
    """

    by = forms.ChoiceField(
        label="The price follows",
        choices=[
            (By.PRICE, "a price of my own"),
            (By.MARGIN, "a margin: profit as a part of the price"),
            (By.MARKUP, "a markup: profit on top of the cost"),
            (By.CHANCE, "a chance that the work costs no more"),
        ],
        widget=forms.RadioSelect,
    )
    price = AmountField(label="Price before tax", required=False)
    margin = PerCentField(label="Margin, %", required=False, below=100)
    markup = PerCentField(label="Markup, %", required=False)
    chance = PerCentField(label="Chance, in 100", required=False, below=100)

    def __init__(self, *args: Any, currency: str, is_replacing: bool = False, **others: Any) -> None:
        super().__init__(*args, **others)
        fields: dict[str, Any] = self.fields
        fields["price"].currency = currency
        if is_replacing:
            # No chance gives a price there: see `shop.quoting.actions.price_of`.
            fields["by"].choices = [choice for choice in fields["by"].choices if choice[0] != By.CHANCE]
            del fields["chance"]

    @property
    def rows(self) -> list[tuple[Any, Any]]:
        """Each choice with the field of its figure."""
        return [(choice, self[str(choice.data["value"])]) for choice in self["by"].subwidgets]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        by = cleaned.get("by")
        if not by or by in self.errors:
            return cleaned
        figure = cleaned.get(by)
        if figure is None or (by == By.CHANCE and not figure):
            self.add_error(by, f"Write the {by} that the price follows.")
            return cleaned
        self._check_the_others(by)
        cleaned["figure"] = figure
        return cleaned

    def _check_the_others(self, by: str) -> None:
        """A figure typed beside another choice was meant: nobody's price is to be set by what he left alone."""
        seen = self._seen()
        changed = [
            str(name)
            for name in ("by", *By.values)
            if name in seen and name in self.cleaned_data and seen[name] != digest(self.cleaned_data[name])
        ]
        if changed and not {"by", by} & set(changed):
            written = changed[0]
            self.add_error("by", f"You wrote a {written}, but the price follows a {by}: choose the {written} too.")


class TermsForm(Seen, forms.Form):
    """What goes with the price, and what is done outside."""

    tax = PerCentField(label="Tax, %", most=100, help_text="On the whole price; 0 where you charge none.")
    deposit = PerCentField(label="Deposit, %", most=100, help_text="Of price and tax together, asked beforehand.")
    valid_days = forms.IntegerField(
        label="Holds for, days",
        min_value=1,
        max_value=MOST_DAYS,
        help_text="From the day it is written out. Later it can’t be taken without being renewed.",
    )
    weeks = forms.IntegerField(
        label="Weeks to make it",
        required=False,
        min_value=1,
        max_value=MOST_WEEKS,
        help_text="From the day it is taken. Left empty: no day is promised.",
    )
    boxes = forms.ChoiceField(
        label="Whose boxes are fitted", required=False, choices=Revision.Boxes.choices, help_text="The paper says so."
    )
    excluded = words_field("What is not in it", required=False, max_length=2000, rows=3)
    terms = words_field("Terms", required=False, max_length=4000, rows=4)
    outside = forms.MultipleChoiceField(
        label="Trades whose work is done outside",
        required=False,
        choices=[(Trade.SMITH, "the smith’s"), (Trade.PAINTER, "the painter’s"), (Trade.BENCH, "the bench’s")],
        widget=forms.CheckboxSelectMultiple,
        help_text="Their minutes cost nothing here: put what is paid for them among the outwork.",
    )


class AlterationTermsForm(TermsForm):
    """The same of an alteration, whose order has its day already."""

    weeks = None  # type: ignore[assignment]


def terms_now(draft: Revision) -> dict[str, Any]:
    """What the form of terms would show by now."""
    return {
        "tax": draft.tax_bp,
        "deposit": draft.deposit_bp,
        **{name: getattr(draft, name) for name in ("valid_days", "weeks", "boxes", "excluded", "terms", "outside")},
    }


class FiguresForm(Seen, forms.Form):
    """Figures of one's own for materials, in place of their price on the day."""

    def __init__(self, *args: Any, rows: Sequence[MaterialRow], currency: str, **others: Any) -> None:
        super().__init__(*args, prefix="own", **others)
        self._rows = {row.key: row for row in rows}
        for row in rows:
            self.fields[row.key] = AmountField(label=f"Your figure for {row.name}", required=False, currency=currency)

    def put_into(self, pence: Mapping[str, int], written_for: Mapping[str, str]) -> dict[str, dict[str, Any]]:
        """The columns of a draft with what was answered, and all else as it is; only rows that the person saw count."""
        own, meant = dict(pence), dict(written_for)
        for key in self.shown & set(self._rows):
            answer = self.answers[key]
            if answer is None:
                own.pop(key, None)
                meant.pop(key, None)
            else:
                own[key], meant[key] = answer, self._rows[key].wanted
        return {"own_pence": own, "own_for": meant}


class _ItemForm(forms.Form):
    """One thing beside wheels. A row that is left empty is none."""

    kind = ""
    what = forms.CharField(label="What", max_length=160, required=False)
    amount = AmountField(label="Cost", required=False)

    def __init__(self, *args: Any, currency: str, **others: Any) -> None:
        super().__init__(*args, **others)
        amount: Any = self.fields["amount"]
        amount.currency = currency

    def clean_what(self) -> str:
        return one_line(self.cleaned_data["what"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        what, amount = cleaned.get("what"), cleaned.get("amount")
        if what and amount is None and "amount" not in self.errors:
            self.add_error("amount", f"Write the amount of “{what[:40]}”, or clear its row.")
        if amount is not None and not what and "what" not in self.errors:
            self.add_error("what", "Write what this amount is for, or clear its row.")
        return cleaned

    @property
    def is_told(self) -> bool:
        """Whether a valid row says anything."""
        return bool(self.cleaned_data.get("what"))


class OutworkItemForm(_ItemForm):
    """Work that somebody outside does, at what it costs the shop."""

    kind = QuoteItem.Kind.OUTWORK
    trade = forms.ChoiceField(label="Trade", choices=[("", "another"), *Trade.choices], required=False)
    field_order = ("trade", "what", "amount")


class GoodsItemForm(_ItemForm):
    """Boxes, bolts, paint, carriage: at what they cost the shop."""

    kind = QuoteItem.Kind.GOODS


class RateItemForm(_ItemForm):
    """What the customer is asked for each thing that stripping may find, before tax."""

    kind = QuoteItem.Kind.RATE
    per = forms.ChoiceField(label="For each", choices=QuoteItem.Per.choices)
    field_order = ("what", "per", "amount")

    def __init__(self, *args: Any, **others: Any) -> None:
        super().__init__(*args, **others)
        self.fields["amount"].label = "Asked"
