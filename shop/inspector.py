"""The records of one hand over some days, for who has a right to see them: pay period by pay period.

National Minimum Wage Regulations 2015, regulation 59 (2): what is kept of a worker for a pay reference period must be
to be had in a single document. A closed period is as it was paid; one that is not closed is reckoned as it stands.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from shop.attendance_page import HandDay, own_days
from shop.models import Hand, PayAdjustment, PaySheet, Shop
from shop.pay.periods import period_after
from shop.pay.reckoning import Reckoned, from_json
from shop.pay.terms import DatedTerms
from shop.pay_facts import Scheme
from shop.pay_reckoned import Period, Settings, reckon_period
from shop.pay_runs import DraftSheet, next_period, period_in_words
from shop.pay_sheet import SheetTold, of_closed, of_draft
from shop.pay_terms import terms_in_words


@dataclass(frozen=True, slots=True)
class PaidLater:
    """What a later run added to a period, or took off it, for facts that came late."""

    first: date
    last: date
    pence: int

    @property
    def name(self) -> str:
        return f"With the pay of {period_in_words(self.first, self.last)}"


@dataclass(frozen=True, slots=True)
class Recorded:
    """What is kept of a hand for one pay period: its sheet, what that rests on, and each day's coming and going.

    `closed_at` is None for a period whose sums may still change.
    """

    sheet: SheetTold
    reckoned: Reckoned
    paid_by: str
    paid_later: tuple[PaidLater, ...] = ()
    closed_at: datetime | None = None
    there: tuple[HandDay, ...] = ()


@dataclass(frozen=True, slots=True)
class Records:
    """All that is kept of a hand over some days, which are widened to whole pay periods."""

    hand: Hand
    first: date
    last: date
    periods: tuple[Recorded, ...]


def records_of(hand: Hand, shop: Shop, *, first: date, last: date, now: datetime) -> Records:
    """The pay periods that hold any of these days, oldest first, but those of which there is nothing."""
    scheme = Scheme.load(shop.words)
    found = [*_closed(hand, scheme, first, last), *_open(hand, shop, scheme, first, last, now)]
    # A run without a sheet of this hand widens nothing.
    begins = min([first, *(one.sheet.first for one in found)])
    ends = max([last, *(one.sheet.last for one in found)])
    there = own_days(hand.user_id, shop, first=begins, last=ends, now=now)[::-1] if found else []
    periods = [
        replace(one, there=tuple(day for day in there if one.sheet.first <= day.on <= one.sheet.last)) for one in found
    ]
    return Records(hand, begins, ends, tuple(periods))


def _closed(hand: Hand, scheme: Scheme, first: date, last: date) -> Iterator[Recorded]:
    """The closed periods in which the hand has a sheet. Three queries."""
    rows = PaySheet.objects.filter(hand=hand.user_id, run__first_on__lte=last, run__last_on__gte=first)
    later = _paid_later(hand, first, last)
    for row in rows.select_related("run").prefetch_related("adjustments__of_run").order_by("run__first_on"):
        yield Recorded(
            of_closed(row),
            from_json(row.told),
            _paid_by(hand, scheme, row.run.last_on),
            tuple(later.get(row.run_id, ())),
            row.run.closed_at,
        )


def _paid_later(hand: Hand, first: date, last: date) -> dict[int, list[PaidLater]]:
    """What later runs paid this hand for the runs of some days, by the id of those: one query."""
    rows = PayAdjustment.objects.filter(
        sheet__hand=hand.user_id, of_run__first_on__lte=last, of_run__last_on__gte=first
    )
    found: dict[int, list[PaidLater]] = {}
    told = ("of_run_id", "sheet__run_id", "sheet__run__first_on", "sheet__run__last_on", "pence")
    for of_run, by_run, begins, ends, pence in rows.order_by("sheet__run__first_on").values_list(*told):
        if by_run != of_run:
            found.setdefault(of_run, []).append(PaidLater(begins, ends, pence))
    return found


def _open(hand: Hand, shop: Shop, scheme: Scheme, first: date, last: date, now: datetime) -> Iterator[Recorded]:
    """The periods after the last closed run, as they are now."""
    period, settings = next_period(shop), Settings.of(shop)
    while period.first <= last:
        if period.last >= first:
            earned = reckon_period(period, shop, now=now, scheme=scheme, hand_id=hand.user_id)
            reckoned = earned.by_hand.get(hand.user_id)
            if reckoned:
                sheet = of_draft(DraftSheet(hand.user_id, hand.name, reckoned), period, shop)
                yield Recorded(sheet, reckoned, _paid_by(hand, scheme, period.last))
        begins, ends = period_after(period.last, length=shop.pay_period, first_on=shop.pay_first_on)
        period = Period(begins, ends, settings)


def _paid_by(hand: Hand, scheme: Scheme, on: date) -> str:
    return terms_in_words(scheme.terms.get(hand.user_id, DatedTerms()).on(on))
