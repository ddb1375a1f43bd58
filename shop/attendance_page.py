"""Attendance as pages show it: each day of a hand with its touches, its paid time and what is missing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import Self
from uuid import UUID, uuid4

from shop.attendance import BESIDE, event_of, read_clocked, where_now
from shop.models import Attendance, Hand, Shop
from shop.pay.attendance import (
    OUT,
    RESTING,
    Attended,
    Clocked,
    Standing,
    attended,
    days_of_clocked,
    days_of_touches,
    seconds_by_day,
)


@dataclass(frozen=True, slots=True)
class Here:
    """Where a hand is now, for the touches at the bench."""

    standing: Standing

    @classmethod
    def of(cls, hand_id: int, shop: Shop, *, now: datetime) -> Self:
        return cls(where_now(hand_id, shop, now=now))

    @property
    def state(self) -> str:
        return self.standing.state

    @property
    def since(self) -> datetime | None:
        return self.standing.since

    @property
    def is_away(self) -> bool:
        """Gone, or on a break; not where nothing was told at all."""
        return self.state == RESTING or (self.state == OUT and self.since is not None)

    @property
    def new_token(self) -> UUID:
        """Each form has its own: a page that is gone back to may be sent from again."""
        return uuid4()


@dataclass(frozen=True, slots=True)
class Touch:
    """One touch in words: "came 8.02"."""

    row: Attendance
    words: str
    clock: str
    is_undone: bool
    entered_by: str


@dataclass(frozen=True, slots=True)
class HandDay:
    """One day of one hand. `seconds` is None while the hand is still there and nothing else is told."""

    hand: str
    hand_id: int
    on: date
    touches: list[Touch]
    seconds: int | None
    unpaid_seconds: int
    clocked: int
    said: tuple[str, ...]

    @property
    def by_clock(self) -> bool:
        """Nothing was told of coming and going: the job clock stands in."""
        return not any(not touch.is_undone for touch in self.touches)


def hand_days(shop: Shop, *, first: date, last: date, now: datetime, hand_id: int | None = None) -> list[HandDay]:
    """Every hand's days in a period that have touches or time on the job clock, newest first, by name. Four queries."""
    hands = list(Hand.objects.filter(user_id=hand_id) if hand_id else Hand.objects.all())
    rows = _rows(first, last, [hand.user_id for hand in hands])
    clocked = read_clocked(first - BESIDE, last + BESIDE, hand_ids=None if hand_id is None else [hand_id])
    names = dict(Hand.objects.values_list("user_id", "name"))
    days = [
        day
        for hand in hands
        for day in _days_of(hand, rows.get(hand.user_id, []), clocked.get(hand.user_id, []), shop, names, now)
        if first <= day.on <= last
    ]
    return sorted(days, key=lambda day: (-day.on.toordinal(), day.hand))


def own_days(hand_id: int, shop: Shop, *, first: date, last: date, now: datetime) -> list[HandDay]:
    """The days of one hand, newest first."""
    return hand_days(shop, first=first, last=last, now=now, hand_id=hand_id)


def _rows(first: date, last: date, hand_ids: Iterable[int]) -> Mapping[int, list[Attendance]]:
    found: dict[int, list[Attendance]] = {}
    rows = Attendance.objects.filter(done_on__gte=first - BESIDE, done_on__lte=last + BESIDE, hand__in=list(hand_ids))
    for row in rows:
        found.setdefault(row.hand_id, []).append(row)
    return found


def _days_of(
    hand: Hand,
    rows: list[Attendance],
    told: list[Clocked],
    shop: Shop,
    names: Mapping[int, str],
    now: datetime,
) -> list[HandDay]:
    events = [event_of(row) for row in rows]
    there = attended(events, zone=shop.zone, pays_short_breaks=shop.pays_rests, now=now)
    day_of = days_of_touches(events, zone=shop.zone)
    clocked = seconds_by_day(told, days_of_clocked(there, told))
    touches: dict[date, list[Touch]] = {}
    gone = {row.cancels_token for row in rows if row.cancels_token}
    for row in sorted(rows, key=lambda row: (event_of(row).at, row.pk)):
        if row.cancels_token is None:
            touch = _touch(row, names, shop.zone, is_undone=row.token in gone)
            touches.setdefault(day_of.get(row.token, row.done_on), []).append(touch)
    days = sorted({*there, *touches, *(day for day, seconds in clocked.items() if seconds > 0)})
    return [_day(hand, on, touches.get(on, []), there.get(on), clocked.get(on, 0)) for on in days]


def _day(hand: Hand, on: date, touches: list[Touch], there: Attended | None, clocked: int) -> HandDay:
    stands = any(not touch.is_undone for touch in touches)
    seconds = max(clocked, 0) if not stands else there.seconds if there and (there.spells or there.said) else None
    return HandDay(
        hand=hand.name,
        hand_id=hand.user_id,
        on=on,
        touches=touches,
        seconds=seconds,
        unpaid_seconds=there.unpaid_seconds if there else 0,
        clocked=max(clocked, 0),
        said=there.said if there else (),
    )


def _touch(row: Attendance, names: Mapping[int, str], zone: tzinfo, *, is_undone: bool) -> Touch:
    at = event_of(row).at.astimezone(zone)
    by = names.get(row.entered_by_id, "another") if row.entered_by_id else ""
    return Touch(row, row.get_kind_display(), f"{at.hour}.{at.minute:02d}", is_undone, by)
