"""What pieces have cost in labour where they were paid by the piece, and not by the hour. Pence, exact.

A hand who is paid by the piece on a day earns its units at the piece rate of the day, and its hours at that work earn
nothing beside. What an hour of it costs the shop beside its wage (holidays, insurance) goes with what it earns in the
same proportion. What makes pieces good to a guarantee or to a law, overtime and bonuses are of a whole period, and in
no piece.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from typing import Self
from uuid import UUID

from django.db.models import Q, QuerySet

from shop.models import Outwork, PayRun
from shop.models.money import STANDING
from shop.pay.terms import DatedTerms, PaysSpoiled
from shop.pay_reckoned import Settings
from shop.pay_terms import all_terms
from shop.rates import RateBook
from timing.models import Stretch, Tally

MILLIPENCE_IN_A_PENNY = 1000


@dataclass(frozen=True, slots=True)
class PieceLabour:
    """Who is paid by the piece, at what rates, and for which spoiled pieces too: as closed runs had it, else as a new
    shop begins, so that no later choice changes what days have cost."""

    terms: Mapping[int, DatedTerms] = field(default_factory=dict)
    book: RateBook = field(default_factory=lambda: RateBook({}))
    closed: tuple[tuple[date, date, PaysSpoiled], ...] = ()
    # The tokens of what came back from outside with a charge that stands, of the tasks that are asked about.
    outside: frozenset[UUID] = frozenset()

    @classmethod
    def load(cls, book: RateBook | None = None) -> Self:
        """One query where nobody is paid by the piece; else two, and one for the rates where they are not given."""
        terms = {hand: dated for hand, dated in all_terms().items() if any(one.by_pieces for one in dated.terms)}
        if not terms:
            return cls()
        runs = PayRun.objects.order_by("first_on").values_list("first_on", "last_on", "settings")
        closed = tuple((first, last, Settings.read(told).pays) for first, last, told in runs)
        return cls(terms, book or RateBook.load(), closed)

    def of_tasks(self, task_ids: Collection[int]) -> Self:
        """The same, knowing what was charged from outside of some tasks: one query, unless there are none."""
        if not task_ids:
            return self
        charged = Outwork.objects.filter(STANDING, task__in=task_ids)
        return replace(self, outside=frozenset(charged.values_list("token", flat=True)))

    def rate(self, hand_id: int, operation_id: int, height_nm: int | None, on: date) -> int | None:
        """Millipence a unit; None where the hand is paid by the hour."""
        terms = self.terms.get(hand_id)
        if terms is None or not terms.on(on).by_pieces:
            return None
        return self.book.piece(operation_id, on, height_nm)

    def pays_on(self, on: date) -> PaysSpoiled:
        return next((pays for first, last, pays in self.closed if first <= on <= last), PaysSpoiled())

    def costs(self, hand_id: int, on: date, *, units: int, rate: int) -> Fraction:
        """Pence that so many units cost in labour on a day, at so many millipence each."""
        earned = Fraction(units * rate, MILLIPENCE_IN_A_PENNY)
        cost, wage = self.book.cost(hand_id, on), self.book.wage(hand_id, on)
        return earned * cost / wage if cost and wage else earned

    def is_bare(self, hand_id: int, on: date) -> bool:
        """Whether pieces of a day cost no more than they earned, for want of a rate."""
        return not (self.book.cost(hand_id, on) and self.book.wage(hand_id, on))

    def units(self, tally: Tally) -> int:
        """Units of one tally, whose stretch was read with it, that earn anything."""
        stretch = tally.stretch
        if self.is_outside(stretch.token, stretch.cancels_token):
            return 0
        counted = self.pays_on(stretch.done_on)
        return counted.paid_units(made=tally.made, spoiled=tally.spoiled, lost=tally.lost, reason=tally.reason)

    def is_outside(self, token: UUID, cancels_token: UUID | None) -> bool:
        """Whether somebody outside did it and charges for it, in whose name here it was told ever."""
        return (cancels_token or token) in self.outside

    def beside_made(self, told: QuerySet[Tally]) -> Mapping[tuple[int, int, int, date], int]:
        """Units that are paid beside those made, or of them are not: of spoiled pieces those that are paid for, and
        less what was done outside; by task, operation, hand and day. Few rows, and none without piecework."""
        found: dict[tuple[int, int, int, date], int] = defaultdict(int)
        if not self.terms:
            return found
        odd = ~Q(spoiled=0)
        if self.outside:
            tokens = list(self.outside)
            of_them = Stretch.objects.filter(Q(token__in=tokens) | Q(cancels_token__in=tokens))
            odd |= Q(stretch__in=list(of_them.values_list("pk", flat=True)))
        for tally in told.filter(odd).select_related("stretch").order_by():
            stretch = tally.stretch
            assert tally.task_id is not None  # noqa: S101 - asked of tasks
            if stretch.operation_id is not None:
                key = (tally.task_id, stretch.operation_id, stretch.hand_id, stretch.done_on)
                found[key] += self.units(tally) - tally.made
        return found
