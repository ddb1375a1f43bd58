"""Pay of a period for every hand, reckoned anew from the facts as they are now: nothing is saved here."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, tzinfo
from typing import Any, Self
from uuid import UUID

from shop.agreements import Agreements
from shop.attendance import BESIDE, events, read_clocked, told_twice
from shop.days import day_in_words
from shop.models import Bonus, Hand, Shop
from shop.pay.attendance import Attended, Clocked, Event, Hours, attended, days_of_clocked, paid_hours, seconds_by_day
from shop.pay.output_work import Standing
from shop.pay.overtime_pieces import InOvertime
from shop.pay.reckoning import Reckoned, reckon
from shop.pay.rules import RULES, Rules
from shop.pay.sheet import Day, PieceWork
from shop.pay.terms import DatedTerms, PaysSpoiled
from shop.pay_facts import COLUMNS, DONE_ON, Made, Scheme, made_of, passed_tokens, tallies_of
from shop.pay_person import overtime_of, person_of


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
    """What is known of one hand in a period, and of the days beside it."""

    hours: Mapping[date, Hours]
    made: Mapping[date, list[Made]]
    bonuses: list[tuple[date, str, int]]
    there: Mapping[date, Attended]
    clocked: list[Clocked]
    day_of: Mapping[int, date]


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
    facts = _read(period, _Told.of(period.first, period.last, hand_id), shop, scheme, now, hand_id)
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
    periods = [with_output(one, scheme, agreed) for one in periods]
    told = _Told.of(min(one.first for one in periods), max(one.last for one in periods), hand_id)
    found = [(one, _read(one, told, shop, scheme, now, hand_id).get(hand_id)) for one in periods]
    return [_of_hand(hand_id, facts, one, scheme, agreed, shop.zone) if facts else None for one, facts in found]


def with_output(period: Period, scheme: Scheme, agreed: Agreements) -> Period:
    """The period with what stands of rated output work: what it was closed by, or else what stands now."""
    settings = period.settings
    if settings.output is not None or settings.rules != "gb":
        return period
    return replace(period, settings=replace(settings, output=agreed.standing(period.first, period.last, scheme.book)))


def _is_paid(hand_id: int, facts: "_Facts", period: Period, scheme: Scheme) -> bool:
    """Whether a wage or piecework was agreed by the period's end, or a bonus was given."""
    by_pieces = scheme.terms.get(hand_id, DatedTerms()).on(period.last).by_pieces
    return bool(facts.bonuses or facts.made or by_pieces or scheme.book.wage(hand_id, period.last) is not None)


@dataclass(frozen=True, slots=True)
class _Told:
    """What was told of some days, and of the days beside them: a night's work belongs to the day of coming, which may
    lie in the period before."""

    bonuses: Sequence[tuple[int, date, str, int]]
    events: Mapping[int, list[Event]]
    clocked: Mapping[int, list[Clocked]]
    tallies: Sequence[tuple[Any, ...]]
    passed: frozenset[UUID]

    @classmethod
    def of(cls, first: date, last: date, hand_id: int | None) -> Self:
        around = first - BESIDE, last + BESIDE
        tallies = tallies_of(*around)
        given = Bonus.objects.filter(on__gte=first, on__lte=last, cancels=None, cancelled_by=None)
        if hand_id is not None:
            tallies, given = tallies.filter(stretch__hand=hand_id), given.filter(hand=hand_id)
        clocked = read_clocked(*around)
        return cls(
            list(given.values_list("hand_id", "on", "what", "amount_pence")),
            events(first, last, hand_ids=None if hand_id is None else [hand_id]),
            clocked if hand_id is None else {hand_id: clocked.get(hand_id, [])},
            list(tallies.values_list(*COLUMNS)),
            passed_tokens(*around),
        )

    def within(self, first: date, last: date) -> Self:
        """What was told of a part of these days, with the days beside them."""
        begins, ends = first - BESIDE, last + BESIDE
        return replace(
            self,
            bonuses=[row for row in self.bonuses if first <= row[1] <= last],
            events={pk: [one for one in told if begins <= one.on <= ends] for pk, told in self.events.items()},
            clocked={pk: [one for one in told if begins <= one.on <= ends] for pk, told in self.clocked.items()},
            tallies=[row for row in self.tallies if begins <= row[DONE_ON] <= ends],
        )


def _read(
    period: Period, told_of_all: _Told, shop: Shop, scheme: Scheme, now: datetime, hand_id: int | None
) -> dict[int, _Facts]:
    first, last = period.first, period.last
    all_told = told_of_all.within(first, last)
    bonuses: dict[int, list[tuple[date, str, int]]] = defaultdict(list)
    for pk, on, what, pence in all_told.bonuses:
        bonuses[pk].append((on, what, pence))
    there, clocked = all_told.events, all_told.clocked
    wanted = {*bonuses, *there, *clocked} if hand_id is None else {hand_id}
    hours: dict[int, dict[date, Hours]] = {}
    attendance: dict[int, tuple[dict[date, Attended], dict[int, date]]] = {}
    belongs: dict[tuple[int, int], date] = {}
    for pk in wanted:
        told = clocked.get(pk, [])
        days = attended(there.get(pk, []), zone=shop.zone, pays_short_breaks=period.settings.pays_short_breaks, now=now)
        day_of = days_of_clocked(days, told)
        belongs |= {(pk, stretch_id): on for stretch_id, on in day_of.items()}
        paid = paid_hours(days, seconds_by_day(told, day_of), told_twice(pk, told, day_of))
        hours[pk] = {day.on: day for day in paid if first <= day.on <= last}
        attendance[pk] = days, day_of
    made: dict[int, dict[date, list[Made]]] = defaultdict(lambda: defaultdict(list))
    for one in made_of(all_told.tallies, scheme, all_told.passed, belongs):
        if first <= one.on <= last:
            made[one.hand_id][one.on].append(one)
    return {
        pk: _Facts(
            hours[pk], made.get(pk, {}), bonuses.get(pk, []), attendance[pk][0], clocked.get(pk, []), attendance[pk][1]
        )
        for pk in wanted
        if hours[pk] or pk in made or pk in bonuses
    }


def _of_hand(hand_id: int, facts: _Facts, period: Period, scheme: Scheme, agreed: Agreements, zone: tzinfo) -> Reckoned:
    days = [
        _day(hand_id, on, facts, period, scheme)
        for on in sorted({*facts.hours, *facts.made, *(on for on, _, _ in facts.bonuses)})
    ]
    there = [day.on for day in days if day.seconds or day.pieces]
    output = period.settings.output or Standing()
    overtime = agreed.overtime.get(hand_id, ())
    person = person_of(hand_id, there, period.first, period.last, scheme, output, overtime)
    if person.agreements and period.settings.rules == "us":
        person = replace(person, in_overtime=_in_overtime(facts, period, zone))
    bonuses = [(f"{what}, {day_in_words(on)}", pence) for on, what, pence in facts.bonuses]
    told = reckon(days, bonuses, first=period.first, rules=period.settings.by_rules, person=person)
    said = (*_missing(hand_id, days, scheme), *_of_hours(facts.hours.values()), *_of_pieces(facts, period), *told.said)
    return Reckoned(told.lines, told.days, said)


def _in_overtime(facts: _Facts, period: Period, zone: tzinfo) -> dict[date, InOvertime]:
    made = [one for ones in facts.made.values() for one in ones]
    told = [one for one in facts.clocked if period.first <= facts.day_of[one.stretch_id] <= period.last]
    days = facts.hours.values()
    return overtime_of(days, facts.there, told, facts.day_of, made, pays=period.settings.pays, zone=zone)


def _day(hand_id: int, on: date, facts: _Facts, period: Period, scheme: Scheme) -> Day:
    by_pieces = scheme.terms.get(hand_id, DatedTerms()).on(on).by_pieces
    return Day(
        on,
        facts.hours[on].seconds if on in facts.hours else 0,
        scheme.book.wage(hand_id, on) or 0,
        _pieces(facts.made.get(on, ()), period.settings),
        (scheme.book.guarantee(hand_id, on) or 0) if by_pieces else 0,
        sum(pence for day, _, pence in facts.bonuses if day == on),
    )


def _pieces(made: Iterable[Made], settings: Settings) -> tuple[PieceWork, ...]:
    """What a hand made on a day, by the work and what it earns."""
    output = settings.output or Standing()
    found: dict[tuple[int, int, bool], PieceWork] = {}
    for one in made:
        is_as_told = output.is_as_told(one.hand_id, one.operation_id, one.on, one.height_nm)
        key = one.operation_id, one.rate, is_as_told
        none = PieceWork(one.name, one.rate, 0, operation_id=one.operation_id, is_as_told=is_as_told)
        before, units = found.get(key, none), one.units(settings.pays)
        # What waits to be passed is paid later, and by the piece: its hours are no hours at the wage.
        found[key] = replace(
            before,
            units=before.units + (units if one.is_passed else 0),
            waiting=before.waiting + (0 if one.is_passed else units),
            seconds=before.seconds + (one.seconds or 0),
            untimed=before.untimed + (units if one.seconds is None else 0),
        )
    return tuple(found.values())


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
