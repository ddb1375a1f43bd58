"""What records of work and pay the shop holds, and until when each must be kept: by the rules chosen, and its own."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth.models import User
from django.db.models import Max, Min, QuerySet

from jobs.models import Order
from jobs.writing import writing
from shop.audit import Kind, note_differences
from shop.models import (
    Attendance,
    Bonus,
    Hand,
    OutputMean,
    OutputNotice,
    OvertimeAgreement,
    PayRun,
    PayTerms,
    Purchase,
    Rate,
    RulesBefore,
    Shop,
    StockCount,
)
from shop.pay.periods import period_after, period_of
from shop.pay.retention import OWN_RULE, Entry, Kept, Record, kept_until, term_of
from shop.pay_seen import OF_PAY
from timing.models import Stretch

EVER = (date.min, date.max)
Days = tuple[date, date]


@dataclass(frozen=True, slots=True)
class Run:
    """A closed pay run, as far as terms go."""

    first: date
    last: date
    rules: str


@dataclass(frozen=True, slots=True)
class Keeping:
    """By what this shop keeps its records: the rules of today, all that bound a day, and years of its own.

    `bound` has the days that each rules bind, oldest first: today's all days, those of a closed run its own, and those
    that the shop gave up all days until the end of the period in which it did, for the law stood then.
    """

    rules: str
    own_years: int
    pay_period: str
    pay_first_on: date
    runs: tuple[Run, ...] = ()
    bound: Mapping[str, tuple[Days, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, shop: Shop) -> "Keeping":
        """Two queries."""
        rows = PayRun.objects.values_list("first_on", "last_on", "settings")
        runs = tuple(Run(first, last, told["rules"]) for first, last, told in rows)
        given_up = RulesBefore.objects.order_by().values_list("rules").annotate(Max("last_on"))
        unbound = cls(shop.pay_rules, shop.records_years, shop.pay_period, shop.pay_first_on, runs)
        return replace(unbound, bound=unbound._bound(dict(given_up)))

    def _bound(self, given_up: Mapping[str, date]) -> dict[str, tuple[Days, ...]]:
        found: dict[str, list[Days]] = {rules: [(date.min, self._period_ends(on))] for rules, on in given_up.items()}
        for run in self.runs:
            days = found.setdefault(run.rules, [])
            if days and run.first <= days[-1][1] + timedelta(days=1):
                days[-1] = (days[-1][0], max(days[-1][1], run.last))
            else:
                days.append((run.first, run.last))
        return {rules: tuple(days) for rules, days in found.items()} | {self.rules: (EVER,)}

    def until(self, record: Record, on: date, *, last_entry_on: date | None = None) -> Kept:
        """Until when a record of a day is kept; `last_entry_on`: where something was written into it after that day."""
        rules = {key for key, bound in self.bound.items() if any(first <= on <= last for first, last in bound)}
        entry = Entry(max(on, last_entry_on or on), self._next_period_ends(on))
        return kept_until(record, entry, rules=rules | {self.rules}, own_years=self.own_years)

    def _run_of(self, on: date) -> int | None:
        at = bisect_right(self.runs, on, key=lambda run: run.first) - 1
        return at if at >= 0 and on <= self.runs[at].last else None

    def _period_ends(self, on: date) -> date:
        """The last day of the pay period of a day: of the run, or as the settings would have it."""
        at = self._run_of(on)
        return (
            period_of(on, length=self.pay_period, first_on=self.pay_first_on)[1] if at is None else self.runs[at].last
        )

    def _next_period_ends(self, on: date) -> date:
        """The last day of the pay period after that of a day."""
        at = self._run_of(on)
        if at is not None and at + 1 < len(self.runs):
            return self.runs[at + 1].last
        return period_after(self._period_ends(on), length=self.pay_period, first_on=self.pay_first_on)[1]


@dataclass(frozen=True, slots=True)
class Oldest:
    """The oldest record of a kind: its day, and until when it is kept. Neither where there is none.

    `stands`: it is a rate that is still in force, whose years have not begun.
    """

    record: Record
    on: date | None = None
    kept: Kept | None = None
    stands: bool = False


def oldest_records(shop: Shop, keeping: Keeping) -> list[Oldest]:
    """The oldest of each kind, as a constant number of queries tells."""
    zone = shop.zone

    def oldest(record: Record, on: date | None, entered_at: datetime | None = None) -> Oldest:
        if on is None:
            return Oldest(record)
        entered_on = entered_at.astimezone(zone).date() if entered_at else None
        return Oldest(record, on, keeping.until(record, on, last_entry_on=entered_on))

    run = PayRun.objects.order_by("first_on").values_list("first_on", "last_on", "closed_at").first()
    sheets = Oldest(Record.SHEETS)
    if run:
        sheets = Oldest(Record.SHEETS, run[0], oldest(Record.SHEETS, run[1], run[2]).kept)
    told = ("done_on", "received_at")
    came = Attendance.objects.order_by("done_on", "id").values_list(*told).first()
    worked = Stretch.objects.of_the_shop().order_by("done_on", "id").values_list(*told).first()
    bonus = Bonus.objects.order_by("on", "id").values_list("on", "recorded_at").first()
    ended = Order.objects.closed().aggregate(first=Min("ended_on"))["first"]
    bought = Purchase.objects.order_by("on", "id").values_list("on", "recorded_at").first()
    counted = StockCount.objects.order_by("on", "id").values_list("on", "recorded_at").first()
    stores = min((row for row in (bought, counted) if row), default=(None,))
    return [
        sheets,
        oldest(Record.ATTENDANCE, *(came or (None,))),
        oldest(Record.PIECES, *(worked or (None,))),
        oldest(Record.BONUSES, *(bonus or (None,))),
        _oldest_standing(Record.RATES, _rates(), keeping),
        _oldest_standing(Record.AGREEMENTS, _agreements(), keeping),
        oldest(Record.ORDERS, ended),
        oldest(Record.STORES, *stores),
    ]


# What stands from a day on: that day, and how the last day on which it stood is found (None while it stands).
Standing = tuple[date, Callable[[], date | None]]


def _oldest_standing(record: Record, found: Iterable[Standing], keeping: Keeping) -> Oldest:
    """What was written down for the earliest day. Its years begin once it has ended."""
    oldest = min(found, key=lambda one: one[0], default=None)
    if oldest is None:
        return Oldest(record)
    since, find_end = oldest
    ended = find_end()
    if ended is None:
        return Oldest(record, since, stands=True)
    return Oldest(record, since, keeping.until(record, max(since, ended)))


def _rates() -> Iterator[Standing]:
    """The earliest rate, and the earliest terms of pay."""
    rate = Rate.objects.filter(kind__in=OF_PAY).order_by("from_on", "id").first()
    if rate:
        same = {name: getattr(rate, name) for name in ("kind", "hand_id", "operation_id", "from_height_nm")}
        later = Rate.objects.filter(**same, from_on__gt=rate.from_on)
        yield rate.from_on, lambda: _day_before(later, "from_on") or _left_on(rate.hand_id)
    terms = PayTerms.objects.order_by("from_on", "id").first()
    if terms:
        after = PayTerms.objects.filter(hand=terms.hand_id, from_on__gt=terms.from_on)
        yield terms.from_on, lambda: _day_before(after, "from_on") or _left_on(terms.hand_id)


def _agreements() -> Iterator[Standing]:
    """The earliest mean output, notice of one, and agreement on overtime."""
    mean = OutputMean.objects.order_by("from_on", "id").first()
    if mean:
        later = OutputMean.objects.filter(operation=mean.operation_id, from_on__gt=mean.from_on)
        yield mean.from_on, lambda: _day_before(later, "from_on")
    notice = OutputNotice.objects.select_related("mean").order_by("given_on", "id").first()
    if notice:
        same = OutputNotice.objects.filter(hand=notice.hand_id, mean__operation=notice.mean.operation_id)
        after = same.filter(given_on__gt=notice.given_on)
        yield notice.given_on, lambda: _day_before(after, "given_on") or _left_on(notice.hand_id)
    agreed = OvertimeAgreement.objects.order_by("begins_on", "id").first()
    if agreed:
        yield agreed.begins_on, lambda: agreed.ends_on or _left_on(agreed.hand_id)


def _day_before(later: "QuerySet[Any]", column: str) -> date | None:
    """The day before the next of its kind begins."""
    first: date | None = later.aggregate(first=Min(column))["first"]
    return first - timedelta(days=1) if first else None


def _left_on(hand_id: int | None) -> date | None:
    left: date | None = Hand.objects.filter(user=hand_id).values_list("left_on", flat=True).first()
    return left


def told_term(record: Record, keeping: Keeping) -> str:
    """What is kept for how long, by what, in a sentence or two."""
    term, own = term_of(record, keeping.rules), keeping.own_years
    years = f"{own} year{'' if own == 1 else 's'}"
    if term is None:
        return f"{years} from the last entry: {OWN_RULE}."
    by_law = f"{term.years} years from {term.counts_from}: {term.source}."
    return by_law if own <= term.years else f"{by_law} The shop’s own rule is {years}."


def set_own_years(shop: Shop, years: int, *, by: User) -> None:
    """Keep for how many years the shop keeps its records."""
    with writing():
        was = Shop.objects.select_for_update().get(pk=shop.pk)
        before, after = _in_words(was.records_years), _in_words(years)
        Shop.objects.filter(pk=shop.pk).update(records_years=years)
        note_differences(Kind.SHOP, was.name, before, after, by=by)


def _in_words(years: int) -> Mapping[str, str]:
    return {"records are kept for": f"{years} year{'' if years == 1 else 's'}"}


def latest(kept: Iterable[Kept]) -> Kept:
    """The one that ends last; of two that end on one day that of a law. ValueError where there is none."""
    return max(kept, key=lambda one: (one.until, one.source != OWN_RULE))
