"""Pay runs: what the next period would pay, closing it once, and what late facts of closed periods still change.

A closed period is reckoned anew by the next run wherever facts were added to it since: it then owes so much, and so
much was paid for it, by its own sheets and by later adjustments; the difference is the next adjustment. So nothing is
paid twice, and nothing is lost. A sheet on which more is owed back than earned pays nothing: an adjustment of its own
run brings it to nothing, and the next run takes that off.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.contrib.auth.models import User
from django.db.models import Max, Min, Sum

from jobs.turns import take_turns
from jobs.writing import writing
from shop.agreements import Agreements
from shop.audit import Kind, note_change
from shop.days import day_in_words
from shop.models import Hand, PayAdjustment, PayRun, PaySheet, Shop
from shop.money import format_pence
from shop.pay.periods import period_after, period_of
from shop.pay.reckoning import Reckoned, as_json
from shop.pay_facts import Scheme
from shop.pay_owed import owed_for
from shop.pay_reckoned import Period, Settings, reckon_period, with_output
from shop.pay_seen import Counts, count_facts, counts_read
from timing.models import Stretch

# Whoever closes a period, and whoever writes down what it rests on, take the same turn.
PAY_RUNS = "pay runs"
PAID = "That day is paid already: dispute it, and the owner puts it right."


class RunRefused(ValueError):
    """What was asked can't be done; the message is one sentence for the person who asked."""


@dataclass(frozen=True, slots=True)
class Late:
    """What a hand is owed, or was paid too much, for an earlier period."""

    run: PayRun
    pence: int
    # What that run's sheet left to be taken off, as a part of it.
    carried_pence: int = 0

    @property
    def name(self) -> str:
        period = period_in_words(self.run.first_on, self.run.last_on)
        if not self.carried_pence:
            return f"Late facts of {period}"
        return f"Owed back from {period}" + ("" if self.pence == -self.carried_pence else ", and its late facts")


@dataclass(frozen=True, slots=True)
class DraftSheet:
    """What one hand would be paid."""

    hand_id: int
    hand: str
    reckoned: Reckoned
    late: tuple[Late, ...] = ()

    @property
    def carried_pence(self) -> int:
        """What is owed back beyond all that was earned: it stays owed, and is taken off the next pay."""
        return max(-self._pence, 0)

    @property
    def gross_pence(self) -> int:
        """What is paid: nothing at the least."""
        return max(self._pence, 0)

    @property
    def _pence(self) -> int:
        return self.reckoned.pence + sum(one.pence for one in self.late)


@dataclass(frozen=True, slots=True)
class Draft:
    """The next period as it would be paid now."""

    period: Period
    sheets: tuple[DraftSheet, ...]
    seen: Mapping[str, list[int]] = field(default_factory=dict)
    # The names of those who worked and for whom no pay is written down.
    without_wage: tuple[str, ...] = ()
    # How many facts of each closed run's period, and of its own, were there when it was reckoned.
    counts: tuple[Counts, ...] = ()

    @property
    def gross_pence(self) -> int:
        return sum(sheet.gross_pence for sheet in self.sheets)

    @property
    def digest(self) -> str:
        """Names what is shown: a run is closed as it was seen, or not at all."""
        told = [
            [sheet.hand_id, as_json(sheet.reckoned)["lines"], [[one.run.pk, one.pence] for one in sheet.late]]
            for sheet in self.sheets
        ]
        whole = [str(self.period.first), str(self.period.last), told]
        return hashlib.sha256(json.dumps(whole).encode()).hexdigest()[:16]


def period_in_words(first: date, last: date) -> str:
    """ "2 to 8 March 2026"."""
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day_in_words(last)}"
    if first.year == last.year:
        return f"{first.day} {first:%B} to {day_in_words(last)}"
    return f"{day_in_words(first)} to {day_in_words(last)}"


def closed_until() -> date | None:
    """The last day that is paid; None before the first run."""
    last: date | None = PayRun.objects.aggregate(last=Max("last_on"))["last"]
    return last


def is_paid(stretch: Stretch, paid_until: date | None) -> bool:
    """Whether a stretch's day is in a period that is closed: from then on the owner alone puts it right."""
    return paid_until is not None and stretch.done_on <= paid_until


def was_paid(stretch: Stretch, *, at: datetime) -> bool:
    """Whether a stretch's day was in a period, or before all periods, that was closed at a moment."""
    run = PayRun.objects.filter(last_on__gte=stretch.done_on).order_by("last_on").first()
    return run is not None and at >= run.closed_at


def next_period(shop: Shop) -> Period:
    """The period after the last run; before any, that of the first day in the settings."""
    told: dict[str, Any] = {"length": shop.pay_period, "first_on": shop.pay_first_on}
    last = closed_until()
    first, end = period_of(shop.pay_first_on, **told) if last is None else period_after(last, **told)
    return Period(first, end, Settings.of(shop))


def pay_begins(shop: Shop) -> date:
    """The first day that is or will be paid: nothing before it is in any period."""
    first: date | None = PayRun.objects.aggregate(first=Min("first_on"))["first"]
    return first or next_period(shop).first


def draft(shop: Shop, *, now: datetime) -> Draft:
    """The next run as it would be, with late facts of the earlier ones. Nothing is saved."""
    period = next_period(shop)
    runs = list(PayRun.objects.all())
    # Counted before anything is read: what comes meanwhile is reckoned again by the next run, and never missed.
    counts = _count(runs, period)
    scheme, agreed = Scheme.load(shop.words), Agreements.load()
    period = with_output(period, scheme, agreed)
    earned = reckon_period(period, shop, now=now, scheme=scheme, agreed=agreed)
    late, recounted = _late(runs, counts, shop, now, scheme, agreed)
    names = dict(Hand.objects.values_list("user_id", "name"))
    sheets = [
        DraftSheet(pk, name, earned.by_hand.get(pk, Reckoned((), ())), tuple(late.get(pk, ())))
        for pk, name in sorted(names.items(), key=lambda item: item[1])
        if pk in earned.by_hand or pk in late
    ]
    seen = {str(pk): list(told) for pk, told in recounted.items()}
    without_wage = tuple(names[pk] for pk in earned.without_wage)
    return Draft(period, tuple(sheets), seen | {"own": list(counts[-1])}, without_wage, tuple(counts))


def _count(runs: Iterable[PayRun], period: Period) -> list[Counts]:
    return count_facts([(run.first_on, run.last_on) for run in runs] + [(period.first, period.last)])


def _late(
    runs: list[PayRun], counts: list[Counts], shop: Shop, now: datetime, scheme: Scheme, agreed: Agreements
) -> tuple[dict[int, list[Late]], dict[int, Counts]]:
    """What late facts change, by hand; and the counts of the runs that were reckoned anew."""
    known = last_seen(runs)
    carried = _carried(runs[-1]) if runs else {}
    stale = {
        run.pk: told
        for run, told in zip(runs, counts, strict=False)
        if known[run.pk] != told or (carried and run == runs[-1])
    }
    found: dict[int, list[Late]] = defaultdict(list)
    all_paid = paid_for(stale)
    for run in runs:
        if run.pk not in stale:
            continue
        owed = owed_for(run, stale[run.pk], shop, now=now, scheme=scheme, agreed=agreed)
        paid = all_paid[run.pk]
        for hand_id in sorted({*owed, *paid}):
            difference = owed.get(hand_id, 0) - paid.get(hand_id, 0)
            if difference:
                left = carried.get(hand_id, 0) if run == runs[-1] else 0
                found[hand_id].append(Late(run, difference, left))
    return found, stale


def _carried(run: PayRun) -> dict[int, int]:
    """What is still owed back of a run's sheets, by hand. The run after it takes all of that off, or carries it."""
    own = PayAdjustment.objects.filter(of_run=run, sheet__run=run)
    return dict(own.values_list("sheet__hand_id", "pence"))


def last_seen(runs: Iterable[PayRun]) -> dict[int, Counts]:
    """How many facts of each run's period were there when it was last reckoned."""
    known: dict[int, Counts] = {}
    for run in runs:
        for key, told in run.seen.items():
            known[run.pk if key == "own" else int(key)] = counts_read(told)
    return known


def paid_for(runs: Collection[int]) -> Mapping[int, Mapping[int, int]]:
    """Pence paid for the periods of some runs (ids), by run and hand: their own sheets and all adjustments since."""
    paid: dict[int, dict[int, int]] = {pk: defaultdict(int) for pk in runs}
    for run_id, hand_id, pence in PaySheet.objects.filter(run__in=runs).values_list("run", "hand", "own_pence"):
        paid[run_id][hand_id] += pence
    since = PayAdjustment.objects.filter(of_run__in=runs).order_by().values_list("of_run", "sheet__hand")
    for run_id, hand_id, pence in since.annotate(Sum("pence")):
        paid[run_id][hand_id] += pence
    return paid


def close_run(*, token: UUID, digest: str, shop: Shop, by: User, now: datetime) -> PayRun:
    """Close the next period as it was seen: one sheet a hand, for ever. The same again answers with the same run.

    Raises RunRefused where the period has not ended, or where what it pays is not what was seen.
    """
    # Reckoned before the turn is taken: others write meanwhile, and only if they did it is reckoned once more.
    found = draft(shop, now=now)
    with writing():
        take_turns(PAY_RUNS)
        before = PayRun.objects.filter(token=token).first()
        if before:
            return before
        if found.counts != tuple(_count(PayRun.objects.all(), next_period(shop))):
            found = draft(shop, now=now)
        period = found.period
        if period.last >= now.astimezone(shop.zone).date():
            raise RunRefused(f"The period ends on {day_in_words(period.last)}: close it after that day.")
        if found.digest != digest:
            raise RunRefused("Facts came in while you had this open, or another closed it: look at the sums again.")
        run = PayRun.objects.create(
            token=token,
            first_on=period.first,
            last_on=period.last,
            closed_at=now,
            closed_by=by,
            settings=period.settings.written(),
            seen=found.seen,
        )
        for sheet in found.sheets:
            _freeze(run, sheet, period, shop)
        words = period_in_words(period.first, period.last)
        gross = format_pence(found.gross_pence, shop.currency)
        count = len(found.sheets)
        after = f"closed: {gross} for {count} hand{'' if count == 1 else 's'}"
        note_change(Kind.PAY, f"Pay of {words}", by=by, after=after, at=now)
    return run


def _freeze(run: PayRun, sheet: DraftSheet, period: Period, shop: Shop) -> None:
    rules = period.settings.by_rules
    told = as_json(sheet.reckoned) | {
        "hand": sheet.hand,
        "shop": shop.name,
        "currency": shop.currency,
        "rules": rules.name,
        "caution": rules.caution,
        "carried": {str(one.run.pk): one.carried_pence for one in sheet.late if one.carried_pence},
    }
    row = PaySheet.objects.create(
        run=run,
        hand_id=sheet.hand_id,
        own_pence=sheet.reckoned.pence,
        gross_pence=sheet.gross_pence,
        told=told,
    )
    later = [PayAdjustment(sheet=row, of_run=one.run, pence=one.pence) for one in sheet.late]
    if sheet.carried_pence:
        later.append(PayAdjustment(sheet=row, of_run=run, pence=sheet.carried_pence))
    PayAdjustment.objects.bulk_create(later)
