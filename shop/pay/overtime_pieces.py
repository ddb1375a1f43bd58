"""Which pieces of a workweek were made in its overtime hours, as far as what was told says that. No database.

The fortieth hour is known by coming and going, and a piece by the moment at which it was told done at the bench. Where
either is not known, nobody guesses: `why_not` says what is missing. Moments are of the shop's clock, time is seconds.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, tzinfo

FORTY_HOURS = 40 * 3600
# 29 CFR 785.18: rests of 5 to about 20 minutes are part of the work that they interrupt.
LONGEST_REST_SECONDS = 20 * 60


@dataclass(frozen=True, slots=True)
class Worked:
    """A day: its paid seconds, and the times of them in order where coming and going tell them all (else None)."""

    on: date
    seconds: int
    times: tuple[tuple[datetime, datetime], ...] | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """A stretch that stands. `pieces` are units that are paid, by operation and rate (millipence); none of other work.

    `at_bench`: its moments are those of the taps, not what somebody wrote down later. `made` are its units whether or
    not they are passed yet. `yielded` are the tasks of which it made something, `unfinished` those at which it only
    took time: what comes of that is told by a later stretch.
    """

    on: date
    done_at: datetime
    seconds: int
    started_at: datetime | None = None
    pieces: tuple[tuple[str, int, int], ...] = ()
    at_bench: bool = True
    is_timed: bool = True
    made: int = 0
    yielded: frozenset[int] = frozenset()
    unfinished: frozenset[int] = frozenset()

    @property
    def units(self) -> int:
        return max(self.made, sum(abs(count) for _, _, count in self.pieces))

    @property
    def begun_at(self) -> datetime:
        return self.started_at or self.done_at - timedelta(seconds=self.seconds)


@dataclass(frozen=True, slots=True)
class InOvertime:
    """Units made in the overtime hours, by operation and rate (millipence); or why that is not known."""

    pieces: tuple[tuple[str, int, int], ...] = ()
    why_not: str = ""
    # Of what was found: the moment of the fortieth hour.
    from_at: datetime | None = field(default=None, compare=False)


class _Unknown(Exception):
    """It is not known which pieces they are; the message is the rest of a sentence."""


def in_overtime(week: Sequence[Worked], told: Iterable[Told], *, zone: tzinfo) -> InOvertime:
    """What was made after the fortieth hour of a workweek. A stretch is told as a whole, with all its units.

    `told` may reach further back than the week: for the time that was taken before at what it finished.
    """
    stretches = sorted(told, key=lambda one: one.done_at)
    try:
        day, forty = _fortieth(sorted(week, key=lambda one: one.on))
        _look_at_day(day.on, stretches)
        late = [one for one in stretches if one.on >= day.on and one.done_at > forty]
        for one in late:
            _look_at(one, _begun_at(one, stretches), forty, zone)
        for other in (one for one in week if one.on >= day.on):
            _look_for_other_work(other, forty, late, zone)
    except _Unknown as unknown:
        return InOvertime(why_not=str(unknown))
    units: dict[tuple[str, int], int] = {}
    for name, rate, count in (piece for one in late for piece in one.pieces):
        units[name, rate] = units.get((name, rate), 0) + count
    return InOvertime(tuple((name, rate, count) for (name, rate), count in units.items() if count), from_at=forty)


def _fortieth(week: Iterable[Worked]) -> tuple[Worked, datetime]:
    """The day within which the fortieth hour ends, and its moment."""
    before = 0
    for day in week:
        if before + day.seconds > FORTY_HOURS:
            return day, _moment(day, FORTY_HOURS - before)
        before += day.seconds
    raise _Unknown("no hour is over 40")


def _moment(day: Worked, seconds: int) -> datetime:
    """When so many seconds of a day were worked."""
    left = timedelta(seconds=seconds)
    for begun, done in _times(day):
        if left <= done - begun:
            return begun + left
        left -= done - begun
    raise _Unknown(f"the times of {_day(day.on)} do not come to its hours")


def _times(day: Worked) -> tuple[tuple[datetime, datetime], ...]:
    if day.times is None:
        raise _Unknown(f"coming and going on {_day(day.on)} are not all told")
    return day.times


def _look_at_day(on: date, told: Iterable[Told]) -> None:
    """Raise where pieces of the fortieth hour's day have no moment: they may be of the hours before it, or after."""
    pieces = [one for one in told if one.on == on and one.pieces]
    if not all(one.at_bench for one in pieces):
        raise _Unknown(f"pieces of {_day(on)} were written down later: when they were made is not known")
    untimed = sum(one.units for one in pieces if not one.is_timed)
    if untimed > 1:
        raise _Unknown(f"{untimed} pieces of {_day(on)} were not timed: when they were made is not known")


def _begun_at(one: Told, told: Sequence[Told]) -> datetime:
    """When the work began that a stretch finished: with the time that was taken before at the same, without a piece."""
    begun = one.begun_at
    for task in one.yielded:
        before = [other for other in told if other is not one and other.done_at <= one.done_at]
        for other in reversed(before):
            if task in other.yielded:
                break
            if task in other.unfinished:
                begun = min(begun, other.begun_at)
    return begun


def _look_at(one: Told, begun: datetime, forty: datetime, zone: tzinfo) -> None:
    """Raise where it is not known that what ended after the fortieth hour was made in overtime."""
    units = one.units
    if not one.pieces:
        raise _Unknown(f"there was other work than pieces in the overtime hours ({_clock(one.done_at, zone)})")
    if not one.at_bench:
        raise _Unknown(f"pieces of {_day(one.on)} were written down later: when they were made is not known")
    # A piece is made when it is finished. Of several that are told together, some may have been before.
    if units > 1 and begun < forty:
        raise _Unknown(
            f"{units} pieces were told together at {_clock(one.done_at, zone)}, and the fortieth hour ended at "
            f"{_clock(forty, zone)} within them"
        )


def _look_for_other_work(day: Worked, forty: datetime, late: Sequence[Told], zone: tzinfo) -> None:
    """Raise where more than a rest of the overtime hours of a day belongs to no piece."""
    spans = sorted((one.begun_at, one.done_at) for one in late if one.on == day.on)
    for begun, ended in _times(day):
        at = max(begun, forty)
        for span in [*spans, (ended, ended)]:
            until = min(span[0], ended)
            if until - at > timedelta(seconds=LONGEST_REST_SECONDS):
                raise _Unknown(f"no work at pieces is told from {_clock(at, zone)} to {_clock(until, zone)}")
            at = max(at, min(span[1], ended))


def _day(day: date) -> str:
    return f"{day.day} {day:%B}"


def _clock(at: datetime, zone: tzinfo) -> str:
    local = at.astimezone(zone)
    return f"{local.hour}.{local.minute:02d} of {local.day} {local:%B}"
