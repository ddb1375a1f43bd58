"""What pieces have cost in labour where they were paid by the piece, and not by the hour. Pence, exact.

A hand who is paid by the piece on a day earns its units at the piece rate of the day, and its hours at that work earn
nothing beside. What an hour of it costs the shop beside its wage (holidays, insurance) goes with what it earns in the
same proportion. What makes pieces good to a guarantee or to a law, overtime and bonuses are of a whole period, and in
no piece.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Self

from django.db.models import QuerySet

from shop.audit import the_shop
from shop.models import PayRun
from shop.pay.terms import DatedTerms, PaysSpoiled
from shop.pay_reckoned import Settings
from shop.pay_terms import all_terms
from shop.rates import RateBook
from timing.models import Tally

MILLIPENCE_IN_A_PENNY = 1000


@dataclass(frozen=True, slots=True)
class PieceLabour:
    """Who is paid by the piece, at what rates, and for which spoiled pieces too: as closed runs had it, else as now."""

    terms: Mapping[int, DatedTerms] = field(default_factory=dict)
    book: RateBook = field(default_factory=lambda: RateBook({}))
    pays: PaysSpoiled = field(default_factory=PaysSpoiled)
    closed: tuple[tuple[date, date, PaysSpoiled], ...] = ()

    @classmethod
    def load(cls, book: RateBook | None = None) -> Self:
        """One query where nobody is paid by the piece; else three, and one for the rates where they are not given."""
        terms = {hand: dated for hand, dated in all_terms().items() if any(one.by_pieces for one in dated.terms)}
        if not terms:
            return cls()
        runs = PayRun.objects.order_by("first_on").values_list("first_on", "last_on", "settings")
        closed = tuple((first, last, Settings.read(told).pays) for first, last, told in runs)
        return cls(terms, book or RateBook.load(), the_shop().pays_spoiled, closed)

    def rate(self, hand_id: int, operation_id: int, height_nm: int | None, on: date) -> int | None:
        """Millipence a unit; None where the hand is paid by the hour."""
        terms = self.terms.get(hand_id)
        if terms is None or not terms.on(on).by_pieces:
            return None
        return self.book.piece(operation_id, on, height_nm)

    def pays_on(self, on: date) -> PaysSpoiled:
        return next((pays for first, last, pays in self.closed if first <= on <= last), self.pays)

    def costs(self, hand_id: int, on: date, *, units: int, rate: int) -> Fraction:
        """Pence that so many units cost in labour on a day, at so many millipence each."""
        earned = Fraction(units * rate, MILLIPENCE_IN_A_PENNY)
        cost, wage = self.book.cost(hand_id, on), self.book.wage(hand_id, on)
        return earned * cost / wage if cost and wage else earned

    def spoiled_units(self, told: QuerySet[Tally]) -> Mapping[tuple[int, int, date], int]:
        """Units that are paid for of spoiled pieces, by task, hand and day: few rows, and none without piecework."""
        found: dict[tuple[int, int, date], int] = defaultdict(int)
        if not self.terms:
            return found
        rows = told.exclude(spoiled=0).order_by()
        columns = ("task_id", "stretch__hand_id", "stretch__done_on", "spoiled", "lost", "reason")
        for task_id, hand_id, on, spoiled, lost, reason in rows.values_list(*columns):
            units = self.pays_on(on).paid_units(made=0, spoiled=spoiled, lost=lost, reason=reason)
            found[task_id, hand_id, on] += units
        return found
