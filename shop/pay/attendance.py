"""When a hand was there: coming, going and breaks, made into paid seconds a day. No database.

What is missing is told in a sentence and never guessed: a spell that has no end counts nothing until somebody puts it
right. Time from evening to morning belongs to the day of coming. Times are elapsed seconds, whatever the clocks did.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo
from itertools import chain, groupby
from uuid import UUID

from shop.pay.hours import is_worked_break

CAME, WENT, BREAK, BACK = "came", "went", "break", "back"
KINDS = (CAME, WENT, BREAK, BACK)
OUT, HERE, RESTING = "out", "here", "resting"
# Of two that come at one moment, in the order in which a day has them.
ORDER = {kind: place for place, kind in enumerate((CAME, BREAK, BACK, WENT))}
# The same for a hand that is there: it goes, and comes again.
ORDER_THERE = {kind: place for place, kind in enumerate((BREAK, BACK, WENT, CAME))}
# A finger that shakes, or two devices, tell the same once more.
SAME_TOUCH = timedelta(minutes=2)
# Nobody is there for longer without going: the going was not told.
LONGEST = timedelta(hours=16)


@dataclass(frozen=True, slots=True)
class Event:
    """One touch, or the taking back of one (`cancels`): its moment by the shop's clock, and the shop's day of it."""

    token: UUID
    kind: str
    at: datetime
    on: date
    cancels: UUID | None = None


@dataclass(frozen=True, slots=True)
class Attended:
    """A day of a hand's attendance: paid seconds, unpaid seconds of breaks, each spell, and what is incomplete.

    `unpaid` are the breaks that are not paid.
    """

    on: date
    seconds: int
    unpaid_seconds: int = 0
    spells: tuple[tuple[datetime, datetime], ...] = ()
    said: tuple[str, ...] = ()
    unpaid: tuple[tuple[datetime, datetime], ...] = ()

    @property
    def is_whole(self) -> bool:
        return not self.said

    @property
    def paid_times(self) -> tuple[tuple[datetime, datetime], ...]:
        """The times that are paid: each spell without the breaks that are not."""
        times = []
        for begun, ended in self.spells:
            at = begun
            for rest, back in self.unpaid:
                if begun <= rest < ended:
                    times.append((at, rest))
                    at = back
            times.append((at, ended))
        return tuple(times)


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a hand is now: out, here, or resting, since when, and when it came (None while out)."""

    state: str = OUT
    since: datetime | None = None
    came_at: datetime | None = None


@dataclass
class _Day:
    paid: int = 0
    unpaid: int = 0
    spells: list[tuple[datetime, datetime]] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    breaks: list[tuple[datetime, datetime]] = field(default_factory=list)


class _Walk:
    """Goes through the events of one hand in the order of their moments."""

    def __init__(self, zone: tzinfo, *, pays_short_breaks: bool) -> None:
        self.zone = zone
        self.pays_short_breaks = pays_short_breaks
        self.days: dict[date, _Day] = {}
        self.came: Event | None = None
        self.rest: Event | None = None
        self.last: Event | None = None
        self.day_of: dict[UUID, date] = {}
        self.breaks: list[tuple[datetime, datetime]] = []

    def take(self, event: Event) -> None:
        if self.last and self.last.kind == event.kind and event.at - self.last.at <= SAME_TOUCH:
            self.day_of[event.token] = self.day_of[self.last.token]
            return
        self.end_if_too_long(event.at)
        self.last = event
        on = self.came.on if self.came and event.kind != CAME else event.on
        self.day_of[event.token] = on
        self.days.setdefault(on, _Day())
        {CAME: self._come, WENT: self._go, BREAK: self._rest, BACK: self._return}[event.kind](event)

    def end_if_too_long(self, now: datetime) -> None:
        """Give up a spell that nobody ended in time."""
        if self.came and now - self.came.at > LONGEST:
            self._never_went()

    def _come(self, event: Event) -> None:
        if self.came:
            self._never_went()
        self.came, self.rest, self.breaks = event, None, []

    def _go(self, event: Event) -> None:
        if self.came is None:
            self._say(event.on, f"went at {self._clock(event.at)} and never came")
            return
        ended = event.at
        if self.rest:
            # What is sure: until the break. Whether the hand came back from it, somebody must say.
            self._say(self.came.on, f"the break of {self._clock(self.rest.at)} was never ended")
            ended = self.rest.at
        day = self.days[self.came.on]
        breaks = [(begun, done) for begun, done in self.breaks if self._unpaid(begun, done)]
        unpaid = sum(_seconds(begun, done) for begun, done in breaks)
        day.paid += _seconds(self.came.at, ended) - unpaid
        day.unpaid += unpaid
        day.breaks += breaks
        day.spells.append((self.came.at, ended))
        self.came, self.rest, self.breaks = None, None, []

    def _rest(self, event: Event) -> None:
        if self.came is None:
            self._say(event.on, f"a break at {self._clock(event.at)} without having come")
        elif self.rest:
            self._say(self.came.on, f"the break of {self._clock(self.rest.at)} began again at {self._clock(event.at)}")
        else:
            self.rest = event

    def _return(self, event: Event) -> None:
        if self.came is None or self.rest is None:
            day = self.came.on if self.came else event.on
            self._say(day, f"back at {self._clock(event.at)} from no break")
            return
        self.breaks.append((self.rest.at, event.at))
        self.rest = None

    def _never_went(self) -> None:
        assert self.came is not None  # noqa: S101 - asked by who calls it
        self._say(self.came.on, f"came at {self._clock(self.came.at)} and never went")
        self.came, self.rest, self.breaks = None, None, []

    def _unpaid(self, begun: datetime, done: datetime) -> bool:
        return not (self.pays_short_breaks and is_worked_break(_seconds(begun, done), is_free_of_duty=True))

    def _say(self, on: date, sentence: str) -> None:
        self.days.setdefault(on, _Day()).said.append(sentence)

    def _clock(self, at: datetime) -> str:
        local = at.astimezone(self.zone)
        return f"{local.hour}.{local.minute:02d}"


def attended(
    events: Iterable[Event], *, zone: tzinfo, pays_short_breaks: bool, now: datetime | None = None
) -> dict[date, Attended]:
    """The days of one hand's events, which may come in any order and more than once.

    `pays_short_breaks`: a break too short for a meal is paid. A spell that still runs at `now` says nothing and counts
    nothing yet; without `now` all is over.
    """
    walk = _walked(events, zone, pays_short_breaks=pays_short_breaks, now=now)
    if walk.came and now is None:
        walk._never_went()
    return {
        on: Attended(on, day.paid, day.unpaid, tuple(day.spells), tuple(day.said), tuple(day.breaks))
        for on, day in sorted(walk.days.items())
    }


def days_of_touches(events: Iterable[Event], *, zone: tzinfo) -> dict[UUID, date]:
    """The day that each touch belongs to, by token: that of coming, also for a going in the morning after.

    What was taken back is left out.
    """
    return _walked(events, zone, pays_short_breaks=True, now=None).day_of


def standing(events: Iterable[Event], *, zone: tzinfo, now: datetime) -> Standing:
    """Where the hand of these events is now. What it is told for later than now is not yet so."""
    walk = _walked((event for event in events if event.at <= now), zone, pays_short_breaks=True, now=now)
    if walk.came is None:
        return Standing(OUT, walk.last.at if walk.last else None)
    if walk.rest:
        return Standing(RESTING, walk.rest.at, walk.came.at)
    return Standing(HERE, walk.came.at, walk.came.at)


def in_order(events: Iterable[Event]) -> list[Event]:
    """What stands of some events: each once, less those taken back, in the order of their moments."""
    by_token = {event.token: event for event in events}
    gone = {event.cancels for event in by_token.values() if event.cancels}
    there = (event for event in by_token.values() if event.cancels is None and event.token not in gone)
    return sorted(there, key=lambda event: (event.at, ORDER[event.kind], event.token))


def _walked(events: Iterable[Event], zone: tzinfo, *, pays_short_breaks: bool, now: datetime | None) -> _Walk:
    walk = _Walk(zone, pays_short_breaks=pays_short_breaks)
    for at, together in groupby(in_order(events), key=lambda event: event.at):
        walk.end_if_too_long(at)
        order = ORDER_THERE if walk.came else ORDER
        for event in sorted(together, key=lambda event: order[event.kind]):
            walk.take(event)
    if now is not None:
        walk.end_if_too_long(now)
    return walk


def _seconds(begun: datetime, done: datetime) -> int:
    return round((done - begun).total_seconds())


@dataclass(frozen=True, slots=True)
class Clocked:
    """A hand's time in one stretch on the job clock, or the undoing of one: negated, and with the moment of that one.

    `on` is the day on which it was done, `done_at` the moment by the shop's clock; `started_at` where it was told.
    """

    stretch_id: int
    on: date
    done_at: datetime
    seconds: int
    started_at: datetime | None = None
    is_break: bool = False
    # It was undone, or undoes another.
    is_gone: bool = False
    # Tapped at the bench, not written down afterwards.
    at_bench: bool = False
    # Its time was told, if only as none.
    is_timed: bool = True


def days_of_clocked(there: Mapping[date, Attended], clocked: Iterable[Clocked]) -> dict[int, date]:
    """The day to which each stretch belongs, by its id: that of the spell in which it ends, or else begins.

    A night is a spell of the day of coming, and so is all work in it; what no spell holds stays on its own day.
    """
    spells = [(begun, ended, day.on) for day in there.values() for begun, ended in day.spells]
    days = {}
    for one in clocked:
        begun_at = one.done_at - timedelta(seconds=abs(one.seconds))
        holds = chain(
            (on for begun, ended, on in spells if begun < one.done_at <= ended),
            (on for begun, ended, on in spells if begun <= begun_at < ended),
        )
        days[one.stretch_id] = next(holds, one.on)
    return days


def seconds_by_day(clocked: Iterable[Clocked], days: Mapping[int, date]) -> dict[date, int]:
    """Seconds of the job clock on each day, by the days of the stretches, breaks left out."""
    found: dict[date, int] = defaultdict(int)
    for one in clocked:
        if not one.is_break:
            found[days[one.stretch_id]] += one.seconds
    return found


@dataclass(frozen=True, slots=True)
class Hours:
    """A day's paid seconds; `by_clock`: nothing was told of coming and going, and the job clock stands in."""

    on: date
    seconds: int
    by_clock: bool = False
    said: tuple[str, ...] = ()


def paid_hours(
    there: Mapping[date, Attended], clocked: Mapping[date, int], twice: Mapping[date, str] | None = None
) -> list[Hours]:
    """The days of a hand in order: its attendance, and where there is none what the job clock told, breaks left out.

    Nothing less than no time is paid: undone work may leave such a day. `twice` is what is said of days whose time the
    job clock tells twice; it is paid as it is told, until somebody who knows puts it right.
    """
    days = [Hours(on, one.seconds, said=one.said) for on, one in there.items()]
    days += [
        Hours(on, seconds, by_clock=True, said=(twice[on],) if twice and on in twice else ())
        for on, seconds in clocked.items()
        if on not in there and seconds > 0
    ]
    return sorted(days, key=lambda day: day.on)
