"""Writing down a rate from a day on: never so that a closed pay period earns a hand less."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from django.contrib.auth.models import User

from jobs.models import Operation
from jobs.turns import take_turns
from jobs.writing import writing
from shop.agreements import rates_of
from shop.attendance import BESIDE
from shop.audit import the_shop, write_down
from shop.models import Material, OutputNotice, Rate, Shop
from shop.money import format_pence
from shop.pay.output_work import rate_of
from shop.pay_guard import Entry, Known, Looked, Lowered, NeedsTick, closed_in_words, in_words, look_at
from shop.pay_runs import PAY_RUNS
from shop.pay_seen import OF_PAY
from shop.rates import RateBook, Subject, line_of
from timing.models import Stretch


class RateRefused(ValueError):
    """It can't be written down for that day; the message is one sentence."""


class LowersAllTheSame(NeedsTick, RateRefused):
    """No rate is lowered, and days that were worked and are not paid yet would earn less: a person has to say so."""


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


def record_rate(*, at: datetime, by: User, confirmed: str = "", **columns: Any) -> Rate:
    """Write down a rate from a day on: the columns of `RateTold`. See `write_rate`."""
    return write_rate(RateTold(**columns), at=at, by=by, confirmed=confirmed)


def write_rate(told: RateTold, *, at: datetime, by: User, confirmed: str = "", looked: Looked | None = None) -> Rate:
    """Write down a rate from a day on. The same rate sent twice is one row; another for that day is a correction.

    `looked`: as it was looked at before, if the caller is inside a write already. Raises RateRefused where a closed
    period would earn any hand less by it. LowersAllTheSame: where an open one would by a piece rate that is not
    lowered, and what it lowers is not what was `confirmed`.
    """
    looked = looked or look_at_rate(told, at=at)
    with writing():
        if looked:
            take_turns(PAY_RUNS)
        last = Rate.objects.filter(**told.about, from_on=told.from_on).order_by("-id").first()
        if last and last.amount_millipence == told.amount_millipence:
            return last
        shop = the_shop()
        looked = looked.again(shop, at) if looked else None
        if looked and looked.closed:
            raise RateRefused(closed_in_words(looked.closed, shop))
        lowered = looked.open if looked else ()
        if looked and lowered and confirmed != looked.shown:
            raise LowersAllTheSame(_all_the_same(told, lowered, shop), looked.shown)
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
        line = line_of(rate, before, shop)
        if lowered:
            less = format_pence(sum(one.pence for one in lowered), shop.currency)
            line.after += f", by which days that were worked earn {less} less"
        write_down([line])
        return rate


def _all_the_same(told: RateTold, lowered: Collection[Lowered], shop: Shop) -> str:
    """What a rate lowers that is not put down, and what to do about it: the law may go by what a notice tells."""
    noticed = OutputNotice.objects.filter(mean__operation=told.operation, hand__in=[one.hand_id for one in lowered])
    new = ""
    if shop.pay_rules == "gb" and noticed.exists():
        new = (
            " The pieces count by their mean only at the rate that was told: give a new notice that tells the new rate."
        )
    return (
        f"Though no rate is lowered, days that were worked would earn less by it ({in_words(lowered, shop)}): send it "
        f"again with a tick, if it is right all the same.{new}"
    )


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

    def stood(known: Known) -> Known:
        """As it is, where a piece earns no less by it: a lower rate says for itself what it lowers."""
        operation_id = told.operation.pk if told.operation else 0
        earned = rate_of(rates_of(known.scheme.book, operation_id, told.from_on), told.from_height_nm)
        return change(known) if earned and told.amount_millipence < earned else known

    return Entry(told.from_on, change, whom, stood if told.kind == Rate.Kind.PIECE else None)
