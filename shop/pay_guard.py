"""What an entry would lower of days that were worked: looked at before others wait for it, and again if they wrote.

A closed period keeps what it has earned: by what is written down, or, where that is less, by what was when a run last
paid for it. So a raise that no run has paid yet may be put back, and nothing that was paid is ever taken back by a rate
or by terms. Both are reckoned from the facts as they are now: work that was told late counts in either.
"""

import hashlib
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from typing import Any

from shop.agreements import Agreements
from shop.days import day_in_words
from shop.models import Hand, PayRun, PayTerms, Rate, Shop
from shop.money import format_pence
from shop.pay.periods import period_after
from shop.pay.terms import DatedTerms, Terms
from shop.pay_facts import Scheme
from shop.pay_reckoned import Period, Settings, owed, read_for, told_of
from shop.pay_runs import last_seen, next_period, period_in_words
from shop.pay_seen import OF_PAY, Counts, count_facts, of_rates, of_terms
from shop.pay_terms import TERMS
from shop.pay_told import OfPeriod
from shop.rates import OF_A_RATE, RateBook

# Of more hands whose pay would be lowered it is told how many.
MOST_HANDS = 3


@dataclass(frozen=True, slots=True)
class Known:
    """By what pay is reckoned, beside the facts."""

    scheme: Scheme
    agreed: Agreements


Change = Callable[[Known], Known]


def as_it_is(known: Known) -> Known:
    return known


@dataclass(frozen=True, slots=True)
class Entry:
    """What is to be written down: the day from which it counts, what pay is reckoned by with it, and whom it touches.

    `open_than` is what open periods are set against, which earn no less by it; None: nothing is asked of those.
    """

    from_on: date
    change: Change
    whom: Callable[[Known], Collection[int]]
    open_than: Change | None = None


@dataclass(frozen=True, slots=True)
class Lowered:
    """By how much a hand (a user id) would earn less in a period."""

    hand_id: int
    first: date
    last: date
    pence: int


class NeedsTick(ValueError):
    """One sentence of what an entry lowers; a person who has seen it ticks what is `shown`."""

    def __init__(self, sentence: str, shown: str) -> None:
        super().__init__(sentence)
        self.shown = shown


@dataclass(frozen=True, slots=True)
class _Asked:
    """The runs and the open periods that an entry counts in, and how many facts there are of each, in their order."""

    runs: tuple[PayRun, ...]
    open: tuple[Period, ...]
    counts: tuple[Counts, ...]

    @classmethod
    def of(cls, entry: Entry, shop: Shop, now: datetime) -> "_Asked":
        runs = tuple(PayRun.objects.filter(last_on__gte=entry.from_on))
        periods = tuple(_open(shop, entry.from_on, now)) if entry.open_than else ()
        spans = [(run.first_on, run.last_on) for run in runs] + [(one.first, one.last) for one in periods]
        return cls(runs, periods, tuple(count_facts(spans)))


@dataclass(frozen=True, slots=True)
class Looked:
    """What an entry would lower, in closed periods and in open ones, and what it was reckoned from."""

    entry: Entry
    asked: _Asked
    closed: tuple[Lowered, ...] = ()
    open: tuple[Lowered, ...] = ()

    @property
    def shown(self) -> str:
        """A digest of what it lowers in open periods, so that a tick counts for what was shown and nothing else."""
        told = sorted((one.hand_id, one.first.isoformat(), one.last.isoformat(), one.pence) for one in self.open)
        return hashlib.sha256(repr(told).encode()).hexdigest()[:16]

    def again(self, shop: Shop, now: datetime) -> "Looked":
        """The same inside the write: reckoned once more only where others wrote meanwhile."""
        is_still_so = _Asked.of(self.entry, shop, now) == self.asked
        return self if is_still_so else look_at(self.entry, shop, now)


def look_at(entry: Entry, shop: Shop, now: datetime) -> Looked:
    """What an entry would lower. Nothing is saved."""
    # Counted before anything is read: what comes meanwhile makes them others.
    asked = _Asked.of(entry, shop, now)
    if not (asked.runs or asked.open):
        return Looked(entry, asked)
    known = Known(Scheme.load(shop.words), Agreements.load())
    after, than = entry.change(known), (entry.open_than or as_it_is)(known)
    whom = entry.whom(known)
    runs = [(Period(run.first_on, run.last_on, Settings.read(run.settings)), run) for run in asked.runs]
    unpaid = asked.open if after != than else ()
    periods = [*(one for one, _ in runs), *unpaid]
    if not (periods and whom):
        return Looked(entry, asked)
    told = read_for(periods, whom)
    written, seen = _Written.load(), last_seen(asked.runs)

    def less(period: Period, *others: Known) -> list[Lowered]:
        """By how much each hand earns less than by the least of some, or will once all of it is passed."""
        of_it = told_of(period, told, shop, now=now)
        found: dict[int, Lowered] = {}
        for each in (of_it, of_it.all_passed()) if of_it.hands else ():
            for one in less_of(period, each, *others):
                found[one.hand_id] = max(one, found.get(one.hand_id, one), key=lambda each: each.pence)
        return list(found.values())

    def less_of(period: Period, of_it: OfPeriod, *others: Known) -> Iterator[Lowered]:
        becomes = _owed(period, of_it, after, shop.zone)
        least: dict[int, int] | None = None
        for other in others:
            was = _owed(period, of_it, other, shop.zone)
            least = was if least is None else {pk: min(pence, was.get(pk, 0)) for pk, pence in least.items()}
            if all(becomes.get(pk, 0) >= pence for pk, pence in least.items()):
                return
        for pk, pence in (least or {}).items():
            if becomes.get(pk, 0) < pence:
                yield Lowered(pk, period.first, period.last, pence - becomes.get(pk, 0))

    closed: list[Lowered] = []
    for (period, run), counts in zip(runs, asked.counts, strict=False):
        paid_by = written.when(seen[run.pk], period.last, known) if seen[run.pk] != counts else known
        closed += less(period, known, *([paid_by] if paid_by is not known else []))
    return Looked(entry, asked, tuple(closed), tuple(one for each in unpaid for one in less(each, than)))


def _owed(period: Period, told: OfPeriod, known: Known, zone: tzinfo) -> dict[int, int]:
    return owed(period, told, known.scheme, known.agreed, zone)


@dataclass(frozen=True, slots=True)
class _Written:
    """Every rate and all terms of pay, in the order in which they were written down."""

    rates: Sequence[tuple[Any, ...]]
    terms: Sequence[tuple[Any, ...]]

    @classmethod
    def load(cls) -> "_Written":
        """Two queries."""
        rates = Rate.objects.filter(kind__in=OF_PAY).order_by("id").values_list("from_on", *OF_A_RATE)
        terms = PayTerms.objects.order_by("id").values_list("from_on", "hand_id", *TERMS)
        return cls(list(rates), list(terms))

    def when(self, seen: Counts, last: date, known: Known) -> Known:
        """What stood when a period that ends on a day was last reckoned by a run: rows are only added."""
        rates = [row[1:] for row in self.rates if row[0] <= last][: of_rates(seen)]
        terms: dict[int, list[tuple[date, Terms]]] = {}
        for on, hand_id, *told in [row for row in self.terms if row[0] <= last][: of_terms(seen)]:
            terms.setdefault(hand_id, []).append((on, Terms(*told)))
        dated = {pk: DatedTerms.of(rows) for pk, rows in terms.items()}
        return replace(known, scheme=replace(known.scheme, book=RateBook.of_rows(rates), terms=dated))


def _open(shop: Shop, from_on: date, now: datetime) -> Iterator[Period]:
    """The periods until today that are not closed, and end on a day or after it."""
    period = next_period(shop)
    while period.first <= now.astimezone(shop.zone).date():
        if period.last >= from_on:
            yield period
        first, last = period_after(period.last, length=shop.pay_period, first_on=shop.pay_first_on)
        period = replace(period, first=first, last=last)


def closed_in_words(lowered: Iterable[Lowered], shop: Shop) -> str:
    """Why an entry is refused that would lower what closed periods have earned, and how to do it instead."""
    told, begins = in_words(lowered, shop), day_in_words(next_period(shop).first)
    return f"That would lower what is paid ({told}): write it from {begins} on, the first day that is not paid."


def in_words(lowered: Iterable[Lowered], shop: Shop) -> str:
    """ "Osk, 2 to 8 March 2026, by £39.07, and 2 later periods, by £50.00": by hand the first, and how many more; after
    some hands, how many more there are."""
    names = dict(Hand.objects.values_list("user_id", "name"))
    by_hand: dict[int, list[Lowered]] = {}
    for one in lowered:
        by_hand.setdefault(one.hand_id, []).append(one)
    told = []
    by_name = sorted(by_hand.items(), key=lambda item: names[item[0]])
    for pk, (first, *others) in by_name[:MOST_HANDS]:
        told.append(f"{names[pk]}, {period_in_words(first.first, first.last)}, by {_sum([first], shop)}")
        if others:
            periods = f"{len(others)} later period{'' if len(others) == 1 else 's'}"
            told[-1] += f", and {periods}, by {_sum(others, shop)}"
    if rest := by_name[MOST_HANDS:]:
        whole = _sum([one for _, theirs in rest for one in theirs], shop)
        told.append(f"{len(rest)} more hand{'' if len(rest) == 1 else 's'}, by {whole}")
    return "; ".join(told)


def _sum(lowered: Iterable[Lowered], shop: Shop) -> str:
    return format_pence(sum(one.pence for one in lowered), shop.currency)
