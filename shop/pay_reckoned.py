"""Pay of a period for every hand, reckoned anew from the facts as they are now: nothing is saved here."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from typing import Any, Self

from shop.agreements import Agreements
from shop.days import day_in_words
from shop.models import Hand, Shop
from shop.pay.attendance import Hours
from shop.pay.output_work import Standing
from shop.pay.overtime_pieces import InOvertime
from shop.pay.reckoning import Reckoned, reckon
from shop.pay.rules import RULES, Rules
from shop.pay.sheet import Day, PieceWork
from shop.pay.terms import DatedTerms, PaysSpoiled
from shop.pay_facts import Made, Scheme, made_of
from shop.pay_person import overtime_of, person_of
from shop.pay_told import OfHand, OfPeriod, Told


@dataclass(frozen=True, slots=True)
class Settings:
    """By what a period is reckoned; a closed one keeps its own."""

    rules: str
    pays: PaysSpoiled
    pays_short_breaks: bool
    # What stood of rated output work when the period was closed; None: what stands now.
    output: Standing | None = None

    @classmethod
    def of(cls, shop: Shop) -> Self:
        return cls(shop.pay_rules, shop.pays_spoiled, shop.pays_rests)

    @classmethod
    def read(cls, told: Mapping[str, Any]) -> Self:
        output = Standing.read(told["output"]) if "output" in told else None
        return cls(told["rules"], PaysSpoiled(frozenset(told["spoiled"])), told["short_breaks"], output)

    def written(self) -> dict[str, Any]:
        spoiled = sorted(self.pays.reasons)
        told = {"rules": self.rules, "spoiled": spoiled, "short_breaks": self.pays_short_breaks}
        return told if self.output is None else told | {"output": self.output.written()}

    @property
    def by_rules(self) -> Rules:
        return RULES[self.rules]


@dataclass(frozen=True, slots=True)
class Period:
    """The first and last day of what is paid, and by what it is reckoned."""

    first: date
    last: date
    settings: Settings


@dataclass(frozen=True, slots=True)
class _Facts:
    """What is known of one hand in a period: what was told of it, and what of that is paid by the piece."""

    told: OfHand
    made: Mapping[date, list[Made]]


@dataclass(frozen=True, slots=True)
class Earned:
    """What each hand earned, by user id, in the order of their names; hands without anything are left out.

    `without_wage` are those who worked, and for whom no pay was ever agreed: a master, a smith who sends bills.
    """

    by_hand: Mapping[int, Reckoned]
    without_wage: tuple[int, ...] = ()


def reckon_period(
    period: Period,
    shop: Shop,
    *,
    now: datetime,
    scheme: Scheme | None = None,
    agreed: Agreements | None = None,
    hand_id: int | None = None,
) -> Earned:
    """Reckon every hand, or with `hand_id` one alone. A constant number of queries."""
    scheme, agreed = scheme or Scheme.load(shop.words), agreed or Agreements.load()
    period = with_output(period, scheme, agreed)
    told = Told.read(period.first, period.last, hand_ids=None if hand_id is None else [hand_id])
    facts = _facts(period, told_of(period, told, shop, now=now), scheme)
    there = [pk for pk in Hand.objects.values_list("user_id", flat=True) if pk in facts]
    paid = [pk for pk in there if _is_paid(pk, facts[pk], period, scheme)]
    by_hand = {pk: _of_hand(pk, facts[pk], period, scheme, agreed, shop.zone) for pk in paid}
    return Earned(by_hand, tuple(pk for pk in there if pk not in by_hand))


def reckon_each(
    periods: Sequence[Period], shop: Shop, *, now: datetime, scheme: Scheme, hand_id: int
) -> list[Reckoned | None]:
    """One hand in many periods, read at once: None where nothing was told. Whether any pay was agreed is not asked."""
    if not periods:
        return []
    agreed = Agreements.load()
    told = read_for(periods, [hand_id])
    found = []
    for one in (with_output(one, scheme, agreed) for one in periods):
        facts = _facts(one, told_of(one, told, shop, now=now), scheme).get(hand_id)
        found.append(_of_hand(hand_id, facts, one, scheme, agreed, shop.zone) if facts else None)
    return found


def read_for(periods: Sequence[Period], hand_ids: Collection[int]) -> Told:
    """What some hands told of the days of some periods, of which there is one at the least."""
    return Told.read(min(one.first for one in periods), max(one.last for one in periods), hand_ids=hand_ids)


def told_of(period: Period, told: Told, shop: Shop, *, now: datetime) -> OfPeriod:
    """A period's part of what was told."""
    breaks = period.settings.pays_short_breaks
    return told.of(period.first, period.last, shop, pays_short_breaks=breaks, now=now)


def owed(period: Period, told: OfPeriod, scheme: Scheme, agreed: Agreements, zone: tzinfo) -> dict[int, int]:
    """Pence that the period owes each hand by these rates, terms and agreements; none to who was agreed no pay."""
    period = with_output(period, scheme, agreed)
    facts = _facts(period, told, scheme)
    paid = [pk for pk, known in facts.items() if _is_paid(pk, known, period, scheme)]
    return {pk: _of_hand(pk, facts[pk], period, scheme, agreed, zone).pence for pk in paid}


def with_output(period: Period, scheme: Scheme, agreed: Agreements) -> Period:
    """The period with what stands of rated output work: what it was closed by, or else what stands now."""
    settings = period.settings
    if settings.output is not None or settings.rules != "gb":
        return period
    return replace(period, settings=replace(settings, output=agreed.standing(period.first, period.last, scheme.book)))


def _is_paid(hand_id: int, facts: "_Facts", period: Period, scheme: Scheme) -> bool:
    """Whether a wage or piecework was agreed by the period's end, or a bonus was given."""
    by_pieces = scheme.terms.get(hand_id, DatedTerms()).on(period.last).by_pieces
    return bool(facts.told.bonuses or facts.made or by_pieces or scheme.book.wage(hand_id, period.last) is not None)


def _facts(period: Period, told: OfPeriod, scheme: Scheme) -> dict[int, _Facts]:
    """By hand, of those of whom there is anything."""
    made: dict[int, dict[date, list[Made]]] = defaultdict(lambda: defaultdict(list))
    for one in made_of(told.tallies, scheme, told.passed, told.belongs):
        if period.first <= one.on <= period.last:
            made[one.hand_id][one.on].append(one)
    return {
        pk: _Facts(known, made.get(pk, {}))
        for pk, known in told.hands.items()
        if known.hours or pk in made or known.bonuses
    }


def _of_hand(hand_id: int, facts: _Facts, period: Period, scheme: Scheme, agreed: Agreements, zone: tzinfo) -> Reckoned:
    days = [
        _day(hand_id, on, facts, period, scheme)
        for on in sorted({*facts.told.hours, *facts.made, *(on for on, _, _ in facts.told.bonuses)})
    ]
    there = [day.on for day in days if day.seconds or day.pieces]
    output = period.settings.output or Standing()
    overtime = agreed.overtime.get(hand_id, ())
    person = person_of(hand_id, there, period.first, period.last, scheme, output, overtime)
    if person.agreements and period.settings.rules == "us":
        person = replace(person, in_overtime=_in_overtime(facts, period, zone))
    bonuses = [(f"{what}, {day_in_words(on)}", pence) for on, what, pence in facts.told.bonuses]
    told = reckon(days, bonuses, first=period.first, rules=period.settings.by_rules, person=person)
    said = (
        *_missing(hand_id, days, scheme),
        *_of_hours(facts.told.hours.values()),
        *_of_pieces(facts, period),
        *told.said,
    )
    return Reckoned(told.lines, told.days, said)


def _in_overtime(facts: _Facts, period: Period, zone: tzinfo) -> dict[date, InOvertime]:
    made = [one for ones in facts.made.values() for one in ones]
    told = [one for one in facts.told.clocked if period.first <= facts.told.day_of[one.stretch_id] <= period.last]
    days = facts.told.hours.values()
    return overtime_of(days, facts.told.there, told, facts.told.day_of, made, pays=period.settings.pays, zone=zone)


def _day(hand_id: int, on: date, facts: _Facts, period: Period, scheme: Scheme) -> Day:
    by_pieces = scheme.terms.get(hand_id, DatedTerms()).on(on).by_pieces
    return Day(
        on,
        facts.told.hours[on].seconds if on in facts.told.hours else 0,
        scheme.book.wage(hand_id, on) or 0,
        _pieces(facts.made.get(on, ()), period.settings),
        (scheme.book.guarantee(hand_id, on) or 0) if by_pieces else 0,
        sum(pence for day, _, pence in facts.told.bonuses if day == on),
    )


def _pieces(made: Iterable[Made], settings: Settings) -> tuple[PieceWork, ...]:
    """What a hand made on a day, by the work and what it earns."""
    output = settings.output or Standing()
    # Units, units that wait, seconds, and units without a time.
    found: dict[tuple[int, int, bool], list[int]] = {}
    names: dict[int, str] = {}
    for one in made:
        is_as_told = output.is_as_told(one.hand_id, one.operation_id, one.on, one.height_nm)
        sums = found.setdefault((one.operation_id, one.rate, is_as_told), [0, 0, 0, 0])
        # What waits to be passed is paid later, and by the piece: its hours are no hours at the wage.
        units = one.units(settings.pays)
        sums[0 if one.is_passed else 1] += units
        sums[2] += one.seconds or 0
        sums[3] += units if one.seconds is None else 0
        names[one.operation_id] = one.name
    return tuple(
        PieceWork(names[pk], rate, units, seconds, waiting, operation_id=pk, is_as_told=is_as_told, untimed=untimed)
        for (pk, rate, is_as_told), (units, waiting, seconds, untimed) in found.items()
    )


def _missing(hand_id: int, days: Iterable[Day], scheme: Scheme) -> list[str]:
    without = [day.on for day in days if day.other_seconds and scheme.book.wage(hand_id, day.on) is None]
    return [f"No wage is written down for {_days(without)}: those hours are paid nothing."] if without else []


def _of_hours(hours: Iterable[Hours]) -> list[str]:
    told = list(hours)
    said = [f"{day_in_words(day.on)}: {sentence}." for day in told for sentence in day.said]
    by_clock = [day.on for day in told if day.by_clock]
    if by_clock:
        said.append(f"By the job clock, since coming and going were not told: {_days(by_clock)}.")
    return said


def _of_pieces(facts: _Facts, period: Period) -> list[str]:
    waiting: dict[str, int] = defaultdict(int)
    untimed: dict[str, int] = defaultdict(int)
    for one in (one for ones in facts.made.values() for one in ones):
        waiting[one.name] += 0 if one.is_passed else one.units(period.settings.pays)
        untimed[one.name] += one.made if one.seconds is None else 0
    said = [
        f"{name}: {_are(count, 'waits', 'wait')} to be passed, not in the sum."
        for name, count in waiting.items()
        if count
    ]
    return said + [
        f"{name}: {_are(count, 'was', 'were')} not timed: such hours are paid at the wage too."
        for name, count in untimed.items()
        if count
    ]


def _are(count: int, one: str, many: str) -> str:
    return f"{count} {one if abs(count) == 1 else many}"


def _days(days: list[date]) -> str:
    """ "2, 3 and 5 March 2026", or how many of them where they are many."""
    if len(days) > 4:
        return f"{len(days)} days from {day_in_words(days[0])} to {day_in_words(days[-1])}"
    *others, last = days
    same = [str(day.day) if (day.year, day.month) == (last.year, last.month) else day_in_words(day) for day in others]
    return f"{', '.join(same)} and {day_in_words(last)}" if same else day_in_words(last)
