"""Facts as they are told, before they are saved: what may be said, and its one clear refusal.

The form of a fact that a device posts is in `timing.posted`; an import or the desk makes the same values.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from uuid import UUID

from timing.models.facts import Kind, Reason, Source

LONGEST_UNASKED = timedelta(hours=16)
LONGEST = timedelta(days=7)
MOST_UNITS = 999
# The oldest books that may be brought in, and far enough ahead for a device whose clock is quite wrong.
YEARS = range(1800, 2200)
# A device whose clock is a little ahead is no liar.
CLOCK_SLACK = timedelta(minutes=5)


class FactRefused(ValueError):
    """A fact that can't be read; the message is one sentence for the person who sent it."""


class NeedsConfirming(FactRefused):
    """A fact that is likely a slip: the same again, confirmed, is taken."""


@dataclass(frozen=True, slots=True)
class Yield:
    """What a stretch did for one task, which is named by its id, or by its lot or wheel.

    `made` and `lost` are units of the operation, `spoiled` pieces of its part. `seconds` may be left to be
    shared out of the stretch's by units.
    """

    made: int = 0
    spoiled: int = 0
    lost: int = 0
    reason: str = Reason.NONE
    task_id: int | None = None
    lot_id: int | None = None
    wheel_id: int | None = None
    seconds: int | None = None
    old_order: str = ""
    old_wheel: str = ""
    old_diameter_nm: int | None = None


@dataclass(frozen=True, slots=True)
class Fact:
    """One stretch as told. `seconds` None with no `started_at` is work that was counted and not timed."""

    token: UUID
    hand_id: int
    done_at: datetime
    kind: str = Kind.WORK
    operation_id: int | None = None
    started_at: datetime | None = None
    seconds: int | None = None
    yields: tuple[Yield, ...] = ()
    helper_ids: tuple[int, ...] = ()
    sent_at: datetime | None = None
    source: str = Source.BENCH
    note: str = ""
    entered_by_id: int | None = None
    done_on: date | None = None
    confirmed: bool = False
    # Parts of this wheel that are made anew with this fact: a hub split while its spokes were driven.
    renews: tuple[str, ...] = ()
    renews_wheel_id: int | None = None
    # Loose pieces taken out of use at the desk: counted from what is there, and cut again from an earlier operation
    # they lose units without being spoiled.
    sets_aside: bool = False
    # What was told, where the yields were worked out from it: a replay must hash the same later.
    told: str = ""

    @property
    def content_hash(self) -> str:
        """Of what was told, not of when it was sent."""
        what: list[object] = [
            self.kind,
            self.hand_id,
            self.operation_id,
            _moment(self.started_at),
            _moment(self.done_at),
            self.seconds,
            sorted(self.helper_ids),
            self.note,
            self.told or [_yield_content(one) for one in self.yields],
        ]
        return _digest(what)


@dataclass(frozen=True, slots=True)
class Cancel:
    """The wish to undo one stretch, which may not have come yet."""

    token: UUID
    cancels_token: UUID
    hand_id: int
    done_at: datetime
    sent_at: datetime | None = None
    source: str = Source.BENCH
    entered_by_id: int | None = None

    @property
    def content_hash(self) -> str:
        return _digest(["cancel", str(self.cancels_token), self.hand_id, _moment(self.done_at)])


@dataclass(frozen=True, slots=True)
class Settled:
    """A checked fact with what the server adds: its seconds, its day, and each tally's share of the seconds."""

    fact: Fact
    seconds: int | None
    done_on: date
    received_at: datetime
    shares: Sequence[int | None] = field(default=())


def device_error(sent_at: datetime | None, received_at: datetime) -> timedelta:
    """How far the device's clock is behind the server's; nothing where the device did not say when it sent."""
    return received_at - sent_at if sent_at else timedelta()


def settle(fact: Fact, *, received_at: datetime, zone: tzinfo = UTC) -> Settled:
    """Check a fact and work out its seconds and its day.

    Raises FactRefused with one sentence for what can't be read; the state of orders is no ground.
    """
    _check_times(fact, received_at)
    seconds = fact.seconds
    if seconds is None and fact.started_at is not None:
        seconds = round((fact.done_at - fact.started_at).total_seconds())
    # What an old book says in one lump may be weeks of work.
    if fact.source != Source.OLD_BOOK:
        _check_length(seconds, confirmed=fact.confirmed)
    _check_kind(fact)
    for one in fact.yields:
        _check_yield(one, sets_aside=fact.sets_aside)
    corrected = fact.done_at + device_error(fact.sent_at, received_at)
    done_on = fact.done_on or corrected.astimezone(zone).date()
    return Settled(fact, seconds, done_on, received_at, share_seconds(seconds, fact.yields))


def share_seconds(seconds: int | None, yields: Sequence[Yield]) -> list[int | None]:
    """Whole seconds for each tally that sum to the stretch's: as told, else in proportion to units worked."""
    if any(one.seconds is not None for one in yields):
        told = [one.seconds for one in yields]
        if seconds is None or sum(one or 0 for one in told) != seconds:
            raise FactRefused("The seconds of the tallies don't add up to the seconds of the stretch.")
        return told
    if seconds is None:
        return [None for _ in yields]
    weights = [one.made + one.spoiled for one in yields]
    if not any(weights):
        weights = [1 for _ in yields]
    shares: list[int | None] = []
    behind = given = 0
    for weight in weights:
        behind += weight
        upto = seconds * behind // sum(weights)
        shares.append(upto - given)
        given = upto
    return shares


def _check_times(fact: Fact, received_at: datetime) -> None:
    for moment in (fact.started_at, fact.done_at, fact.sent_at):
        if moment is not None and moment.tzinfo is None:
            raise FactRefused("Moments need their offset from UTC, as in 2026-03-02T10:41:00+00:00.")
        if moment is not None and moment.year not in YEARS:
            raise FactRefused(f"The stretch is dated {moment:%d.%m.}{moment.year}, and that year can't be right.")
    if fact.started_at and fact.started_at > fact.done_at:
        raise FactRefused("The stretch ends before it begins.")
    latest = received_at - device_error(fact.sent_at, received_at) + CLOCK_SLACK
    if fact.done_at > latest:
        raise FactRefused("The stretch ends in the future.")


def _check_length(seconds: int | None, *, confirmed: bool) -> None:
    if seconds is None:
        return
    if seconds < 0:
        raise FactRefused("A stretch can't have less than no time.")
    if seconds > LONGEST.total_seconds():
        raise FactRefused("A stretch can't be longer than seven days.")
    if seconds > LONGEST_UNASKED.total_seconds() and not confirmed:
        raise NeedsConfirming("That is more than 16 hours in one stretch: say again that it is right.")


def _check_kind(fact: Fact) -> None:
    if fact.kind not in Kind.values:
        raise FactRefused(f"There is no kind of stretch called “{fact.kind}”.")
    if fact.kind == Kind.WORK and (fact.operation_id is None or not fact.yields):
        raise FactRefused("Work needs its operation, and what it was done on.")
    if fact.kind != Kind.WORK and (fact.operation_id is not None or fact.yields):
        raise FactRefused("Only work has an operation and makes anything.")
    if fact.hand_id in fact.helper_ids or len(set(fact.helper_ids)) != len(fact.helper_ids):
        raise FactRefused("A helper is another hand, named once.")


def _check_yield(one: Yield, *, sets_aside: bool) -> None:
    if min(one.made, one.spoiled, one.lost) < 0:
        raise FactRefused("Made and spoiled are counted from 0 up.")
    if max(one.made, one.spoiled, one.lost) > MOST_UNITS and not (sets_aside or one.old_order):
        raise FactRefused(f"More than {MOST_UNITS} at once can't be right: count again.")
    if (one.spoiled or one.lost) and one.reason not in Reason.values[1:]:
        raise FactRefused("Say why it was spoiled: the timber, the work or something else.")
    if one.lost and not one.spoiled and not sets_aside:
        raise FactRefused("Units are lost only with a spoiled piece.")


def _yield_content(one: Yield) -> list[object]:
    where = ["task", one.task_id] if one.task_id else ["at", one.lot_id, one.wheel_id]
    if one.old_order:
        where = ["old", one.old_order, one.old_wheel, one.old_diameter_nm]
    return [*where, one.made, one.spoiled, one.lost, one.reason, one.seconds]


def _moment(moment: datetime | None) -> str | None:
    return moment.astimezone(UTC).isoformat() if moment else None


def _digest(what: list[object]) -> str:
    return hashlib.sha256(json.dumps(what, separators=(",", ":")).encode()).hexdigest()
