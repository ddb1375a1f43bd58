"""What was told of some days, read once, and each pay period's part of it: before any rate or term is asked."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from operator import itemgetter
from typing import Any, Generic, Self, TypeVar
from uuid import UUID

from shop.attendance import BESIDE, events, read_clocked, told_twice
from shop.models import Bonus, Shop
from shop.pay.attendance import Attended, Clocked, Event, Hours, attended, days_of_clocked, paid_hours, seconds_by_day
from shop.pay_facts import COLUMNS, DONE_ON, passed_tokens, tallies_of

Row = TypeVar("Row")
TOKEN, CANCELS = COLUMNS.index("stretch__token"), COLUMNS.index("stretch__cancels_token")


class ByDay(Generic[Row]):
    """Rows that are found by their days without looking at the others."""

    def __init__(self, rows: Iterable[Row], day: Callable[[Row], date]) -> None:
        self._rows = sorted(enumerate(rows), key=lambda told: (day(told[1]), told[0]))
        self._days = [day(row) for _, row in self._rows]

    def within(self, first: date, last: date) -> list[Row]:
        """Those of some days, in the order in which they were read."""
        found = self._rows[bisect_left(self._days, first) : bisect_right(self._days, last)]
        return [row for _, row in sorted(found, key=itemgetter(0))]


@dataclass(frozen=True, slots=True)
class OfHand:
    """What was told of one hand in a period, and of the days beside it; paid hours and bonuses of the period alone."""

    hours: Mapping[date, Hours] = field(default_factory=dict)
    bonuses: list[tuple[date, str, int]] = field(default_factory=list)
    there: Mapping[date, Attended] = field(default_factory=dict)
    clocked: list[Clocked] = field(default_factory=list)
    day_of: Mapping[int, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OfPeriod:
    """What was told of a period, by hand; its tallies with those of the days beside it, and the days they belong to."""

    hands: Mapping[int, OfHand]
    tallies: list[tuple[Any, ...]]
    passed: frozenset[UUID]
    belongs: Mapping[tuple[int, int], date]

    def all_passed(self) -> "OfPeriod":
        """As it will be when nothing waits any more: a stretch and what undoes it go by the token of the stretch."""
        return replace(self, passed=frozenset(row[CANCELS] or row[TOKEN] for row in self.tallies))


@dataclass(frozen=True, slots=True)
class Told:
    """What was told of some days, and of the days beside them: a night's work belongs to the day of coming, which may
    lie in the period before."""

    bonuses: ByDay[tuple[int, date, str, int]]
    events: Mapping[int, ByDay[Event]]
    clocked: Mapping[int, ByDay[Clocked]]
    tallies: ByDay[tuple[Any, ...]]
    passed: frozenset[UUID]

    @classmethod
    def read(cls, first: date, last: date, *, hand_ids: Collection[int] | None = None) -> Self:
        """Of every hand, or of some alone. A constant number of queries."""
        around = first - BESIDE, last + BESIDE
        tallies = tallies_of(*around)
        given = Bonus.objects.filter(on__gte=first, on__lte=last, cancels=None, cancelled_by=None)
        if hand_ids is not None:
            tallies, given = tallies.filter(stretch__hand__in=hand_ids), given.filter(hand__in=hand_ids)
        touched = events(first, last, hand_ids=hand_ids)
        clocked = read_clocked(*around, hand_ids=hand_ids)
        return cls(
            ByDay(given.values_list("hand_id", "on", "what", "amount_pence"), lambda row: row[1]),
            {pk: ByDay(told, lambda one: one.on) for pk, told in touched.items()},
            {pk: ByDay(told, lambda one: one.on) for pk, told in clocked.items()},
            ByDay(tallies.values_list(*COLUMNS), lambda row: row[DONE_ON]),
            passed_tokens(*around, hand_ids=hand_ids),
        )

    def of(self, first: date, last: date, shop: Shop, *, pays_short_breaks: bool, now: datetime) -> OfPeriod:
        """A period's part of it, which lies within the days that were read."""
        around = first - BESIDE, last + BESIDE
        bonuses: dict[int, list[tuple[date, str, int]]] = defaultdict(list)
        for pk, on, what, pence in self.bonuses.within(first, last):
            bonuses[pk].append((on, what, pence))
        hands: dict[int, OfHand] = {}
        belongs: dict[tuple[int, int], date] = {}
        for pk in {*bonuses, *self.events, *self.clocked}:
            touches = self.events[pk].within(*around) if pk in self.events else []
            told = self.clocked[pk].within(*around) if pk in self.clocked else []
            if not (touches or told or pk in bonuses):
                continue
            days = attended(touches, zone=shop.zone, pays_short_breaks=pays_short_breaks, now=now)
            day_of = days_of_clocked(days, told)
            belongs |= {(pk, stretch_id): on for stretch_id, on in day_of.items()}
            paid = paid_hours(days, seconds_by_day(told, day_of), told_twice(pk, told, day_of))
            hours = {day.on: day for day in paid if first <= day.on <= last}
            hands[pk] = OfHand(hours, bonuses.get(pk, []), days, told, day_of)
        return OfPeriod(hands, self.tallies.within(*around), self.passed, belongs)
