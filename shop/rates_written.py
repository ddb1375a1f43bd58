"""Writing down a rate from a day on: never so that a closed pay period earns a hand less."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User

from jobs.models import Operation
from jobs.turns import take_turns
from jobs.writing import writing
from shop.attendance import BESIDE
from shop.audit import the_shop, write_down
from shop.models import Material, Rate
from shop.pay_guard import Entry, Known, Looked, closed_in_words, look_at
from shop.pay_runs import PAY_RUNS
from shop.pay_seen import OF_PAY
from shop.rates import RateBook, Subject, line_of
from timing.models import Stretch


class RateRefused(ValueError):
    """It can't be written down for that day; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class RateTold:
    """A rate as it is to be written down: what it is about, what it is, and from when it stands."""

    kind: str
    amount_millipence: int
    from_on: date
    hand: User | None = None
    operation: Operation | None = None
    material: Material | None = None
    from_height_nm: int | None = None

    @property
    def about(self) -> dict[str, Any]:
        """The columns that say what it is about."""
        own: dict[str, Any] = {"kind": self.kind, "hand": self.hand, "operation": self.operation}
        return own | {"material": self.material, "from_height_nm": self.from_height_nm}

    @property
    def subject(self) -> Subject:
        return self.kind, next((each.pk for each in (self.hand, self.operation, self.material) if each), None)


def look_at_rate(told: RateTold, *, at: datetime) -> Looked | None:
    """What it would lower, reckoned before the write; None of a rate that is no pay."""
    return look_at(_entry(told), the_shop(), at) if told.kind in OF_PAY else None


def record_rate(*, at: datetime, by: User, looked: Looked | None = None, **columns: Any) -> Rate:
    """Write down a rate from a day on: the columns of `RateTold`. See `write_rate`."""
    return write_rate(RateTold(**columns), at=at, by=by, looked=looked)


def write_rate(told: RateTold, *, at: datetime, by: User, looked: Looked | None = None) -> Rate:
    """Write down a rate from a day on. The same rate sent twice is one row; another for that day is a correction.

    `looked`: as it was looked at before, if the caller is inside a write already. Raises RateRefused where a closed
    period would earn any hand less by it.
    """
    looked = looked or look_at_rate(told, at=at)
    with writing():
        if looked:
            take_turns(PAY_RUNS)
        last = Rate.objects.filter(**told.about, from_on=told.from_on).order_by("-id").first()
        if last and last.amount_millipence == told.amount_millipence:
            return last
        shop = the_shop()
        if looked and (lowered := looked.again(shop, at).closed):
            raise RateRefused(closed_in_words(lowered, shop))
        book = RateBook.load()
        before = book.amount(told.subject, told.from_on)
        if told.operation and told.from_height_nm:
            before = book.piece_from(told.operation.pk, told.from_height_nm, told.from_on)
        rate = Rate.objects.create(
            **told.about,
            amount_millipence=told.amount_millipence,
            from_on=told.from_on,
            recorded_at=at,
            recorded_by=by,
        )
        write_down([line_of(rate, before, shop)])
        return rate


def _entry(told: RateTold) -> Entry:
    def change(known: Known) -> Known:
        height = told.from_height_nm
        book = known.scheme.book.with_rate(told.subject, told.from_on, told.amount_millipence, from_height_nm=height)
        return replace(known, scheme=replace(known.scheme, book=book))

    def whom(known: Known) -> Collection[int]:
        """The hand, or all who did such work since."""
        if told.hand:
            return [told.hand.pk]
        done = Stretch.objects.of_the_shop().filter(operation=told.operation, done_on__gte=told.from_on - BESIDE)
        by_pieces = [pk for pk, dated in known.scheme.terms.items() if any(each.by_pieces for each in dated.terms)]
        return list(done.filter(hand__in=by_pieces).order_by().values_list("hand_id", flat=True).distinct())

    return Entry(told.from_on, change, whom)
