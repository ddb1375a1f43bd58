"""A draft beside the same with some of its measures otherwise: what each part would cost more, or less."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Any

from jobs.durations import hours_and_minutes
from jobs.orders import WheelRow
from shop.asked import Asked
from shop.forms.what_if import WhatIfForm
from shop.models import Revision
from shop.quote_words import about, per_cent
from shop.quoting.actions import as_lot, price_of, wanted_of
from shop.quoting.drafts import rows_of
from shop.quoting.pricing import PriceRefused, margin_of, price_by_margin
from shop.quoting.reckoning import Reckoned, Reckoner, Wanted


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure of both, and their difference in words; `is_whole` stands out as a sum."""

    name: str
    draft: str
    other: str
    difference: str
    is_whole: bool = False


class WhatIf:
    """A form for each lot of a draft, and the comparison once they are valid. One reckoner serves both."""

    def __init__(self, draft: Revision, here: Asked, reckoner: Reckoner, data: Mapping[str, Any]) -> None:
        self.draft, self.here, self.reckoner = draft, here, reckoner
        self.rows: list[WheelRow] = rows_of(draft)
        self.is_asked = "lot-0-spokes" in data
        self.forms = [
            WhatIfForm(
                data if self.is_asked else None,
                like=row,
                words=here.words,
                unit=here.unit,
                prefix=f"lot-{place}",
            )
            for place, row in enumerate(self.rows)
        ]
        self.refused = ""

    @cached_property
    def is_valid(self) -> bool:
        return self.is_asked and all([form.is_valid() for form in self.forms])  # noqa: C419 - all are checked

    @property
    def other_rows(self) -> list[WheelRow]:
        """The wheels as they would be. Call it when it is valid."""
        return [form.row for form in self.forms if form.row is not None]

    @property
    def is_same(self) -> bool:
        return self.other_rows == self.rows

    @cached_property
    def both(self) -> tuple[Reckoned, Reckoned]:
        wanted: Wanted = wanted_of(self.draft)
        other = replace(wanted, lots=[(as_lot(row), len(row.places)) for row in self.other_rows])
        return self.reckoner.reckon(wanted), self.reckoner.reckon(other)

    @property
    def missing(self) -> list[str]:
        """What must be known for the other, and is not wanting for the draft."""
        draft, other = self.both
        return [sentence for sentence in other.missing if sentence not in draft.missing]

    @property
    def notes(self) -> list[str]:
        """What is worth knowing of the other alone."""
        draft, other = self.both
        return [sentence for sentence in other.notes if sentence not in draft.notes]

    @cached_property
    def compared(self) -> list[Compared]:
        """The parts side by side, then cost and price."""
        said = self._money
        return [
            self._row("Hours, likely", lambda one: one.hours.likely, lambda minutes: hours_and_minutes(60 * minutes)),
            self._row("Labour", lambda one: one.labour.likely, said),
            self._row("Overhead", lambda one: one.overhead.likely, said),
            self._row("Timber", lambda one: one.timber_pence, said),
            self._row("Iron", lambda one: one.iron_pence, said),
            self._row("Cost, low", lambda one: one.cost.spread.low, said),
            self._row("Cost, likely", lambda one: one.cost.spread.likely, said, is_whole=True),
            self._row("Cost, high", lambda one: one.cost.spread.high, said),
            *self._price_row(),
        ]

    def _money(self, pence: int) -> str:
        return about(pence, self.here.shop.currency)

    def _row(
        self, name: str, figure: Callable[[Reckoned], int], said: Callable[[int], str], *, is_whole: bool = False
    ) -> Compared:
        draft, other = (figure(one) for one in self.both)
        return _compared(name, draft, other, said, is_whole=is_whole)

    def _price_row(self) -> list[Compared]:
        draft, other = self.both
        try:
            now = price_of(self.draft, draft)
            then = self._price_like(now, draft, other)
        except PriceRefused as refused:
            self.refused = str(refused)
            return []
        return [_compared("Price before tax", now, then, self._money, is_whole=True)]

    def _price_like(self, now: int, draft: Reckoned, other: Reckoned) -> int:
        """As the draft's price is found; a price of one's own would be the same, so that it goes by its margin."""
        margin = _margin(now, draft)
        if self.draft.price_by != Revision.PriceBy.PRICE or margin is None:
            return price_of(self.draft, other)
        return price_by_margin(other.cost.spread.likely, margin)

    @property
    def price_note(self) -> str:
        """How the other price is found, where that is not as the draft says."""
        if self.draft.price_by != Revision.PriceBy.PRICE:
            return ""
        draft, _ = self.both
        margin = _margin(self.draft.price_figure, draft)
        if margin is None:
            return ""
        return f"Your own price has a margin of {per_cent(margin)}: the other price is at the same margin."


def _margin(price: int, draft: Reckoned) -> Fraction | None:
    """None where it is below nothing, or where there is no cost for it to be a margin over."""
    likely = draft.cost.spread.likely
    margin = margin_of(price, likely) if likely > 0 else None
    return None if margin is None or margin < 0 else margin


def _compared(name: str, draft: int, other: int, said: Callable[[int], str], *, is_whole: bool = False) -> Compared:
    difference = other - draft
    words = "the same" if not difference else f"{said(abs(difference))} {'more' if difference > 0 else 'less'}"
    return Compared(name, said(draft), said(other), words, is_whole)
