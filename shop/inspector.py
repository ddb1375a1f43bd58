"""The records of one hand over some days, for who has a right to see them: pay period by pay period.

National Minimum Wage Regulations 2015, regulation 59 (2): what is kept of a worker for a pay reference period must be
to be had in a single document. A closed period is as it was paid, and beside it stands what was told since; one that
is not closed is reckoned as it stands. Periods that were closed without the hand, or that ended before pay began here,
have one too wherever anything is kept of them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from itertools import takewhile

from shop.attendance_page import HandDay, own_days
from shop.models import Attendance, Bonus, Hand, PayAdjustment, PayRun, PaySheet, Shop
from shop.pay.periods import period_after, period_of
from shop.pay.reckoning import Reckoned, from_json
from shop.pay.sheet import PieceWork
from shop.pay.terms import DatedTerms
from shop.pay_facts import Scheme
from shop.pay_reckoned import Period, Settings, reckon_each
from shop.pay_runs import DraftSheet, next_period, pay_begins, period_in_words
from shop.pay_sheet import SheetTold, of_closed, of_draft
from shop.pay_terms import terms_in_words
from timing.models import Helper, Stretch

NOTHING = Reckoned((), ())


class Stands(StrEnum):
    """What became of a pay period, for one hand."""

    CLOSED = "closed"
    CLOSED_WITHOUT = "closed without this hand"
    OPEN = "not closed yet"
    BEFORE = "before pay began here"


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

    `closed_at` is None for a period whose sums may still change. `now` are the facts as they are by now, reckoned by
    the same rules, where they are other than what was paid for.
    """

    sheet: SheetTold
    reckoned: Reckoned
    paid_by: str
    stands: Stands
    now: Reckoned | None = None
    paid_later: tuple[PaidLater, ...] = ()
    closed_at: datetime | None = None
    there: tuple[HandDay, ...] = ()

    @property
    def days(self) -> int:
        """On how many days anything is kept."""
        days = {day.on for day in self.reckoned.days} | {day.on for day in self.there}
        return len(days | {day.on for day in (self.now.days if self.now else ())})


@dataclass(frozen=True, slots=True)
class Records:
    """All that is kept of a hand over some days, which are widened to whole pay periods."""

    hand: Hand
    first: date
    last: date
    periods: tuple[Recorded, ...]


def records_of(hand: Hand, shop: Shop, *, first: date, last: date, now: datetime) -> Records:
    """The pay periods that hold any of these days, oldest first, but those of which there is nothing.

    A constant number of queries, however many periods.
    """
    runs = list(PayRun.objects.filter(first_on__lte=last, last_on__gte=first))
    asked = [
        *((period, None, Stands.BEFORE) for period in _before(hand, shop, first, last)),
        *((Period(run.first_on, run.last_on, Settings.read(run.settings)), run, Stands.CLOSED) for run in runs),
        *((period, None, Stands.OPEN) for period in _open(shop, first, last)),
    ]
    begins = min([first, *(period.first for period, _, _ in asked)])
    ends = max([last, *(period.last for period, _, _ in asked)])
    there = own_days(hand.user_id, shop, first=begins, last=ends, now=now)[::-1]
    kept = {*_days_kept(hand, begins, ends), *(day.on for day in there)}
    scheme = Scheme.load(shop.words)
    reckoned = reckon_each([period for period, _, _ in asked], shop, now=now, scheme=scheme, hand_id=hand.user_id)
    sheets, later = _sheets(hand, first, last), _paid_later(hand, first, last)
    found = []
    for (period, run, stands), facts in zip(asked, reckoned, strict=True):
        sheet = sheets.get(run.pk) if run else None
        if not (sheet or facts or any(period.first <= day <= period.last for day in kept)):
            continue
        told, of_it = _sheet_of(hand, shop, period, sheet, facts, stands)
        found.append(
            Recorded(
                told,
                of_it,
                _paid_by(hand, scheme, period.last),
                Stands.CLOSED_WITHOUT if run and not sheet else stands,
                facts if facts and not _is_the_same(of_it, facts) else None,
                tuple(later.get(run.pk, ())) if run else (),
                run.closed_at if run else None,
                tuple(day for day in there if period.first <= day.on <= period.last),
            )
        )
    # Of what there is nothing of widens nothing.
    begins = min([first, *(one.sheet.first for one in found)])
    ends = max([last, *(one.sheet.last for one in found)])
    return Records(hand, begins, ends, tuple(found))


def _before(hand: Hand, shop: Shop, first: date, last: date) -> list[Period]:
    """Such periods as the settings would have had them, of days on which anything was told before pay began."""
    ends = pay_begins(shop)
    days = [day for day in _days_kept(hand, first, last) if day < ends]
    told = sorted({period_of(day, length=shop.pay_period, first_on=shop.pay_first_on) for day in days})
    return [
        Period(begins, min(last_on, date.fromordinal(ends.toordinal() - 1)), Settings.of(shop))
        for begins, last_on in told
    ]


def _open(shop: Shop, first: date, last: date) -> Iterator[Period]:
    """The periods after the last closed run that hold any of some days."""
    return (
        period for period in takewhile(lambda one: one.first <= last, _after_the_last(shop)) if period.last >= first
    )


def _after_the_last(shop: Shop) -> Iterator[Period]:
    period = next_period(shop)
    while True:
        yield period
        begins, ends = period_after(period.last, length=shop.pay_period, first_on=shop.pay_first_on)
        period = Period(begins, ends, period.settings)


def _days_kept(hand: Hand, first: date, last: date) -> set[date]:
    """The days of which anything was told, undone or not: four queries. What an old book tells sets no pay."""
    own = {"hand": hand.user_id}
    return {
        *Attendance.objects.filter(**own, done_on__range=(first, last)).values_list("done_on", flat=True),
        *Bonus.objects.filter(**own, on__range=(first, last)).values_list("on", flat=True),
        *Stretch.objects.of_the_shop().filter(**own, done_on__range=(first, last)).values_list("done_on", flat=True),
        *Helper.objects.filter(**own, stretch__done_on__range=(first, last)).values_list("stretch__done_on", flat=True),
    }


def _sheets(hand: Hand, first: date, last: date) -> Mapping[int, PaySheet]:
    """The hand's closed sheets of some days, by the run: three queries."""
    rows = PaySheet.objects.filter(hand=hand.user_id, run__first_on__lte=last, run__last_on__gte=first)
    return {row.run_id: row for row in rows.select_related("run").prefetch_related("adjustments__of_run")}


def _sheet_of(
    hand: Hand, shop: Shop, period: Period, sheet: PaySheet | None, facts: Reckoned | None, stands: Stands
) -> tuple[SheetTold, Reckoned]:
    """What was paid, or would be, and what that rests on: nothing where a run was closed without the hand."""
    if sheet:
        return of_closed(sheet), from_json(sheet.told)
    reckoned = facts if facts and stands is Stands.OPEN else NOTHING
    return of_draft(DraftSheet(hand.user_id, hand.name, reckoned), period, shop), reckoned


def _is_the_same(paid: Reckoned, now: Reckoned) -> bool:
    """Whether facts come to what was paid, day by day. What an operation is called may have changed since."""

    def figures(one: Reckoned) -> object:
        days = [
            (day.on, day.seconds, day.wage, day.guarantee, day.bonus, sorted(_figures(day.pieces))) for day in one.days
        ]
        return one.pence, days

    return figures(paid) == figures(now)


def _figures(pieces: tuple[PieceWork, ...]) -> list[tuple[int, int, int]]:
    return [(one.rate, one.units, one.seconds) for one in pieces]


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


def _paid_by(hand: Hand, scheme: Scheme, on: date) -> str:
    return terms_in_words(scheme.terms.get(hand.user_id, DatedTerms()).on(on))
