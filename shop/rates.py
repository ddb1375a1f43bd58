"""What an hour, a piece or a material costs or earns on a given day.

Rates are added, never edited: the newest of a day stands.
"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User

from jobs.models import Operation
from jobs.words import in_words
from jobs.writing import writing
from shop.audit import Kind, a_line, the_shop, write_down
from shop.days import day_in_words
from shop.models import AuditLine, Hand, Material, Rate, Shop
from shop.money import format_millipence

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


@dataclass(frozen=True, slots=True)
class RateBook:
    """Every rate of the shop, read once. Amounts are millipence (thousandths of the minor unit); None where missing."""

    dated: Mapping[Subject, Dated]

    @classmethod
    def load(cls) -> "RateBook":
        """Read the rates: one query."""
        rows = Rate.objects.order_by("id").values_list(
            "kind", "hand_id", "operation_id", "material_id", "from_on", "amount_millipence"
        )
        return cls.of(((kind, hand or work or bought), day, amount) for kind, hand, work, bought, day, amount in rows)

    @classmethod
    def of(cls, rows: Iterable[tuple[Subject, date, int]]) -> "RateBook":
        """A book from rows of subject, day and amount, in the order in which they were written down."""
        standing: dict[Subject, dict[date, int]] = {}
        for subject, day, amount in rows:
            standing.setdefault(subject, {})[day] = amount
        return cls({subject: Dated(*zip(*sorted(days.items()), strict=True)) for subject, days in standing.items()})

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

    def overhead(self, on: date) -> int | None:
        """The overhead of an hour worked on a day, in millipence."""
        return self.amount((Rate.Kind.OVERHEAD, None), on)

    def piece(self, operation_id: int, on: date) -> int | None:
        """What is paid for a unit of an operation on a day, in millipence."""
        return self.amount((Rate.Kind.PIECE, operation_id), on)

    def material(self, material_id: int, on: date) -> int | None:
        """What the unit in which a material is bought costs on a day, in millipence."""
        return self.amount((Rate.Kind.MATERIAL, material_id), on)


def record_rate(
    *,
    kind: str,
    amount_millipence: int,
    from_on: date,
    at: datetime,
    by: User,
    hand: User | None = None,
    operation: Operation | None = None,
    material: Material | None = None,
) -> Rate:
    """Write down a rate from a day on. The same rate sent twice is one row; another for that day is a correction."""
    with writing():
        about = {"kind": kind, "hand": hand, "operation": operation, "material": material}
        last = Rate.objects.filter(**about, from_on=from_on).order_by("-id").first()
        if last and last.amount_millipence == amount_millipence:
            return last
        subject = next((each.pk for each in (hand, operation, material) if each), None)
        before = RateBook.load().amount((kind, subject), from_on)
        rate = Rate.objects.create(
            **about,
            amount_millipence=amount_millipence,
            from_on=from_on,
            recorded_at=at,
            recorded_by=by,
        )
        write_down([line_of(rate, before, the_shop())])
        return rate


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
        return f"{in_words(rate.operation.name, shop.words)}: {rate.get_kind_display()}"
    if rate.material:
        return f"{rate.material.name}: price {rate.material.per}"
    return str(rate.get_kind_display()).capitalize()
