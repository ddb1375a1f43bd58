"""What an hour, a piece or a material costs or earns on a given day.

Rates are added, never edited: the newest of a day stands.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from jobs.measures import exact_length
from jobs.words import in_words
from shop.audit import Kind, a_line
from shop.days import day_in_words
from shop.models import AuditLine, Hand, Rate, Shop
from shop.money import format_millipence

# The columns of a row that a book is made of, in their order.
OF_A_RATE = ("kind", "hand_id", "operation_id", "material_id", "from_height_nm", "from_on", "amount_millipence")
# What a rate is about: its kind, and the id of the user, the operation or the material (None for overhead).
Subject = tuple[str, int | None]


@dataclass(frozen=True, slots=True)
class Dated:
    """The rates of one subject: days in order, and the amount that stands from each, in millipence."""

    days: tuple[date, ...]
    amounts: tuple[int, ...]

    def on(self, day: date) -> int | None:
        """The amount on a day, or None before the first."""
        place = bisect_right(self.days, day)
        return self.amounts[place - 1] if place else None

    def since(self, day: date) -> date | None:
        """From when the amount of a day stands, or None before the first."""
        place = bisect_right(self.days, day)
        return self.days[place - 1] if place else None


@dataclass(frozen=True, slots=True)
class RateBook:
    """Every rate of the shop, read once. Amounts are millipence (thousandths of the minor unit); None where missing."""

    dated: Mapping[Subject, Dated]
    # Piece rates for wheels of so much (nanometres) and higher: by operation, the highest first.
    sized: Mapping[int, tuple[tuple[int, Dated], ...]] = field(default_factory=dict)

    @classmethod
    def load(cls) -> "RateBook":
        """Read the rates: one query."""
        return cls.of_rows(Rate.objects.order_by("id").values_list(*OF_A_RATE))

    @classmethod
    def of_rows(cls, rows: Iterable[tuple[Any, ...]]) -> "RateBook":
        """A book from rows by `OF_A_RATE`, in the order in which they were written down."""
        plain: list[tuple[Subject, date, int]] = []
        sized: list[tuple[int, int, date, int]] = []
        for kind, hand, work, bought, height, day, amount in rows:
            if height is None:
                plain.append(((kind, hand or work or bought), day, amount))
            else:
                sized.append((work, height, day, amount))
        return cls.of(plain, sized)

    @classmethod
    def of(
        cls, rows: Iterable[tuple[Subject, date, int]], sized: Iterable[tuple[int, int, date, int]] = ()
    ) -> "RateBook":
        """A book from rows of subject, day and amount, in the order in which they were written down.

        `sized` are piece rates by the height of the wheel: operation, height from which, day, amount.
        """
        standing: dict[Subject, dict[date, int]] = {}
        for subject, day, amount in rows:
            standing.setdefault(subject, {})[day] = amount
        heights: dict[int, dict[int, dict[date, int]]] = {}
        for operation_id, height, day, amount in sized:
            heights.setdefault(operation_id, {}).setdefault(height, {})[day] = amount
        return cls(
            {subject: _dated(days) for subject, days in standing.items()},
            {
                operation_id: tuple((height, _dated(days)) for height, days in sorted(of.items(), reverse=True))
                for operation_id, of in heights.items()
            },
        )

    def with_rate(
        self, subject: Subject, from_on: date, amount: int, *, from_height_nm: int | None = None
    ) -> "RateBook":
        """The same with one more entry: of a day that has one, the new one stands."""
        if from_height_nm is None:
            return replace(self, dated={**self.dated, subject: _with(self.dated.get(subject), from_on, amount)})
        operation_id = subject[1] or 0
        heights = dict(self.sized.get(operation_id, ()))
        heights[from_height_nm] = _with(heights.get(from_height_nm), from_on, amount)
        return replace(self, sized={**self.sized, operation_id: tuple(sorted(heights.items(), reverse=True))})

    def amount(self, subject: Subject, on: date) -> int | None:
        """The amount of a subject on a day."""
        dated = self.dated.get(subject)
        return dated.on(on) if dated else None

    def cost(self, hand_id: int, on: date) -> int | None:
        """What an hour of a hand (a user id) costs the shop on a day, in millipence."""
        return self.amount((Rate.Kind.COST, hand_id), on)

    def wage(self, hand_id: int, on: date) -> int | None:
        """What a hand (a user id) is paid for an hour on a day, in millipence."""
        return self.amount((Rate.Kind.WAGE, hand_id), on)

    def wage_days(self, hand_id: int) -> tuple[date, ...]:
        """The days from which a hand's (a user id's) wages stand, in order."""
        dated = self.dated.get((Rate.Kind.WAGE, hand_id))
        return dated.days if dated else ()

    def overhead(self, on: date) -> int | None:
        """The overhead of an hour worked on a day, in millipence."""
        return self.amount((Rate.Kind.OVERHEAD, None), on)

    def guarantee(self, hand_id: int, on: date) -> int | None:
        """What an hour at pieces earns a hand (a user id) at the least on a day, in millipence."""
        return self.amount((Rate.Kind.GUARANTEE, hand_id), on)

    def piece(self, operation_id: int, on: date, height_nm: int | None = None) -> int | None:
        """What is paid for a unit of an operation on a day, in millipence: that of the wheel's height where one is.

        Of the rates from a height on, that from the greatest height which the wheel reaches. A rate of nothing ends the
        piecework: None, as where there never was one.
        """
        amount = self.piece_by_height(operation_id, on, height_nm)
        return (self.amount((Rate.Kind.PIECE, operation_id), on) if amount is None else amount) or None

    def piece_by_height(self, operation_id: int, on: date, height_nm: int | None) -> int | None:
        """The rate that goes before the plain one for a wheel so high; None where none does."""
        for height, dated in self.sized.get(operation_id, ()):
            amount = dated.on(on) if height_nm is not None and height <= height_nm else None
            if amount is not None:
                return amount
        return None

    def piece_from(self, operation_id: int, height_nm: int | None, on: date) -> int | None:
        """The rate that was written down from this very height on; None where none is."""
        if height_nm is None:
            return self.amount((Rate.Kind.PIECE, operation_id), on)
        dated = dict(self.sized.get(operation_id, ())).get(height_nm)
        return dated.on(on) if dated else None

    def material(self, material_id: int, on: date) -> int | None:
        """What the unit in which a material is bought costs on a day, in millipence."""
        return self.amount((Rate.Kind.MATERIAL, material_id), on)


def _dated(days: Mapping[date, int]) -> Dated:
    return Dated(*zip(*sorted(days.items()), strict=True))


def _with(dated: Dated | None, day: date, amount: int) -> Dated:
    return _dated({**dict(zip(dated.days, dated.amounts, strict=True)), day: amount} if dated else {day: amount})


def line_of(rate: Rate, before: int | None, shop: Shop) -> AuditLine:
    """Who wrote a rate down, what it is, and what stood on that day before it (millipence)."""
    return a_line(
        Kind.RATE,
        f"{about(rate, shop)}, from {day_in_words(rate.from_on)}",
        by=rate.recorded_by,
        before="" if before is None else format_millipence(before, shop.currency),
        after=format_millipence(rate.amount_millipence, shop.currency),
        at=rate.recorded_at,
    )


def about(rate: Rate, shop: Shop) -> str:
    """What a rate is of, in words: "Osk: wage an hour"."""
    if rate.hand:
        hand = Hand.objects.filter(user=rate.hand).first()
        return f"{hand.name if hand else rate.hand.get_username()}: {rate.get_kind_display()}"
    if rate.operation:
        high = ""
        if rate.from_height_nm is not None:
            high = f", wheels from {exact_length(rate.from_height_nm, unit='in' if shop.units == 'in' else 'mm')}"
        return f"{in_words(rate.operation.name, shop.words)}: {rate.get_kind_display()}{high}"
    if rate.material:
        return f"{rate.material.name}: price {rate.material.per}"
    return str(rate.get_kind_display()).capitalize()
