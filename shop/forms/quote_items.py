"""What a quotation has beside wheels, entered together: outwork, goods, and rates for what may be found."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import forms

from shop.forms.quotes import (
    MOST_ITEMS,
    SPARE_ROWS,
    GoodsItemForm,
    OutworkItemForm,
    RateItemForm,
)
from shop.models import QuoteItem
from shop.quoting.actions import Item

ItemForm = OutworkItemForm | GoodsItemForm | RateItemForm
FORMS: tuple[type[ItemForm], ...] = (OutworkItemForm, GoodsItemForm, RateItemForm)


class ItemsEntry:
    """All rows by their kind, with a few empty ones after those that are there."""

    def __init__(
        self,
        data: Mapping[str, Any] | None,
        *,
        items: Iterable[QuoteItem | Item],
        currency: str,
    ) -> None:
        kept, self.currency = list(items), currency
        self.rows: dict[str, list[ItemForm]] = {
            form.kind: self._rows(form, data, [item for item in kept if item.kind == form.kind], currency)
            for form in FORMS
        }

    def _rows(
        self, form: type[ItemForm], data: Mapping[str, Any] | None, kept: Sequence[QuoteItem | Item], currency: str
    ) -> list[ItemForm]:
        if data is not None:
            count = _count(data.get(f"{form.kind}-rows"))
            return [form(data, prefix=f"{form.kind}-{place}", currency=currency) for place in range(count)]
        told: list[dict[str, Any]] = [
            {"what": one.what, "amount": one.amount_pence, "trade": one.trade, "per": one.per} for one in kept
        ]
        told += [{}] * min(SPARE_ROWS, MOST_ITEMS - len(told))
        return [form(prefix=f"{form.kind}-{place}", initial=one, currency=currency) for place, one in enumerate(told)]

    def add(self, items: Iterable[Item]) -> None:
        """Put items after what was written, to be looked at before they are kept; empty rows make room for them."""
        for item in items:
            told = {"what": item.what, "amount": item.amount_pence, "trade": item.trade, "per": item.per}
            form = next(form for form in FORMS if form.kind == item.kind)
            written = [one for one in self.rows[item.kind] if one["what"].value() or one["amount"].value()]
            if len(written) == MOST_ITEMS or any(one["what"].value() == item.what for one in written):
                continue
            self.rows[item.kind] = [
                *written,
                form(prefix=f"{item.kind}-new-{len(written)}", initial=told, currency=self.currency),
            ]
        self._number()

    def _number(self) -> None:
        """Rows by their places, as they are sent back."""
        for kind, rows in self.rows.items():
            for place, form in enumerate(rows):
                told = {name: form[name].value() for name in form.fields}
                self.rows[kind][place] = type(form)(prefix=f"{kind}-{place}", initial=told, currency=self.currency)

    @property
    def forms(self) -> list[forms.Form]:
        return [form for rows in self.rows.values() for form in rows]

    @property
    def outwork(self) -> list[ItemForm]:
        return self.rows[QuoteItem.Kind.OUTWORK]

    @property
    def goods(self) -> list[ItemForm]:
        return self.rows[QuoteItem.Kind.GOODS]

    @property
    def rates(self) -> list[ItemForm]:
        return self.rows[QuoteItem.Kind.RATE]

    def is_valid(self) -> bool:
        return all([form.is_valid() for form in self.forms])  # noqa: C419 - all are checked

    @property
    def items(self) -> list[Item]:
        """What the valid rows say, without those that were left empty."""
        return [
            Item(
                kind=form.kind,
                what=form.cleaned_data["what"],
                amount_pence=form.cleaned_data["amount"],
                trade=form.cleaned_data.get("trade", ""),
                per=form.cleaned_data.get("per", ""),
            )
            for form in self.forms
            if isinstance(form, FORMS) and form.is_told
        ]


def _count(text: Any) -> int:
    written = str(text)
    return min(int(written), MOST_ITEMS) if written.isdecimal() and len(written) < 4 else 0
