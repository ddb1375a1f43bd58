"""Coming, going and breaks: kept as they are told, taken back by a fact that names them, and read for pay.

Nothing here touches the job clock: what a hand is at, and whether it is there, are two things.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid5

from jobs.durations import hours_and_minutes
from jobs.turns import take_turns
from jobs.writing import writing
from shop.models import Attendance, Shop
from shop.pay.attendance import KINDS, Clocked, Event, Standing, standing
from timing.facts import CLOCK_SLACK, YEARS, FactRefused, device_error
from timing.models import Helper, Stretch
from timing.models.facts import Kind, Source
from timing.overlaps import Span, find_overlaps
from timing.posted import Posted, read_moment, read_note, read_token
from timing.record import SEEN_WITH_OTHER_CONTENT

# What began on one day may end on the next.
BESIDE = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Told:
    """One touch as it was told. `entered_by_id` is who entered it, where that was not the hand."""

    token: UUID
    hand_id: int
    kind: str
    done_at: datetime
    sent_at: datetime | None = None
    source: str = Attendance.Source.BENCH
    entered_by_id: int | None = None
    note: str = ""

    @property
    def content_hash(self) -> str:
        """Of what was told, not of when it was sent."""
        return _digest(self.kind, self.hand_id, self.done_at.astimezone(UTC).isoformat(), self.note)


def read_told(posted: Posted, *, hand_id: int, now: datetime) -> Told:
    """The touch that a form of the bench tells: `token`, `kind`, `done_at`, `sent_at`, `note`.

    A plain form names no moment: sent once more, it means that of the first time. Raises FactRefused.
    """
    token, done_at = read_token(posted), read_moment(posted, "done_at")
    if done_at is None:
        before = Attendance.objects.filter(token=token, hand_id=hand_id).values_list("done_at", flat=True).first()
        done_at = before or now
    kind = str(posted.get("kind", "")).strip()
    return Told(token, hand_id, kind, done_at, sent_at=read_moment(posted, "sent_at"), note=read_note(posted))


def keep(told: Told, shop: Shop, *, now: datetime) -> Attendance:
    """Save one touch. The same token with the same content adds nothing.

    Raises FactRefused with one sentence for what can't be read, and for other content under the same token.
    """
    row = row_of(told, shop, now)
    with writing():
        take_turns(_turn(told.hand_id))
        saved, is_new = Attendance.objects.get_or_create(
            token=told.token, defaults={name: getattr(row, name) for name in _COLUMNS}
        )
    if not is_new and saved.content_hash != told.content_hash:
        raise FactRefused(SEEN_WITH_OTHER_CONTENT)
    return saved


def take_back(
    original: Attendance, *, token: UUID, by_id: int, now: datetime, source: str = Attendance.Source.DESK
) -> Attendance:
    """Take a touch back by a row that names it, on its day; each is taken back once at most, and both stay readable.

    Raises FactRefused for what takes another back already, or a token seen with other content.
    """
    if original.cancels_token is not None:
        raise FactRefused("That takes another back already: enter it anew instead.")
    content_hash = _digest("cancel", str(original.token))
    with writing():
        take_turns(_turn(original.hand_id))
        done = Attendance.objects.filter(cancels_token=original.token).first()
        if done:
            return done
        if Attendance.objects.filter(token=token).exists():
            raise FactRefused(SEEN_WITH_OTHER_CONTENT)
        return Attendance.objects.create(
            token=token,
            content_hash=content_hash,
            hand_id=original.hand_id,
            kind=original.kind,
            done_at=original.done_at,
            done_on=original.done_on,
            sent_at=original.sent_at,
            received_at=now,
            cancels_token=original.token,
            source=source,
            entered_by_id=by_id if by_id != original.hand_id else None,
        )


def put_right(original: Attendance, told: Told, shop: Shop, *, now: datetime) -> Attendance:
    """Take a touch back and keep another in its place, together or not at all; the same again adds nothing.

    Raises FactRefused where it was taken back already by something else.
    """
    by_id = told.entered_by_id or told.hand_id
    with writing():
        take_turns(_turn(original.hand_id))
        if not Attendance.objects.filter(token=told.token).exists():
            mine = uuid5(told.token, "instead of the touch before")
            if take_back(original, token=mine, by_id=by_id, now=now).token != mine:
                raise FactRefused("That was taken back or put right already: look at it again.")
        return keep(told, shop, now=now)


def events(first: date, last: date, *, hand_ids: Iterable[int] | None = None) -> Mapping[int, list[Event]]:
    """The touches of some days by hand, and those of the day before and after: nights begin and end there.

    One query.
    """
    rows = Attendance.objects.filter(done_on__gte=first - BESIDE, done_on__lte=last + BESIDE)
    if hand_ids is not None:
        rows = rows.filter(hand__in=list(hand_ids))
    found: dict[int, list[Event]] = defaultdict(list)
    for row in rows:
        found[row.hand_id].append(event_of(row))
    return found


def event_of(row: Attendance) -> Event:
    """A row for the sums, its moment by the shop's clock."""
    at = row.done_at + device_error(row.sent_at, row.received_at)
    if row.cancels_token:
        return Event(row.token, row.kind, at, row.done_on, cancels=row.cancels_token)
    return Event(row.token, row.kind, at, row.done_on)


def where_now(hand_id: int, shop: Shop, *, now: datetime) -> Standing:
    """Where a hand is now, by what was told of yesterday and today."""
    today = now.astimezone(shop.zone).date()
    own = events(today, today, hand_ids=[hand_id]).get(hand_id, [])
    return standing(own, zone=shop.zone, now=now)


def read_clocked(first: date, last: date, *, hand_ids: Collection[int] | None = None) -> Mapping[int, list[Clocked]]:
    """What the job clock told of some days, by hand: all kinds, as hand and as helper. Two queries.

    Undone work comes to nothing: what undoes it has the moment of what it undoes.
    """
    told = Stretch.objects.of_the_shop().filter(done_on__gte=first, done_on__lte=last)
    helped = Helper.objects.filter(stretch__in=told.values("pk"))
    if hand_ids is not None:
        # What undoes a stretch is of the same hand, with the same helpers.
        told, helped = told.filter(hand__in=hand_ids), helped.filter(hand__in=hand_ids)
    rows = list(told.order_by("id").values_list("hand_id", *_OF_STRETCH))
    rows += helped.order_by("id").values_list("hand_id", *(f"stretch__{name}" for name in _OF_STRETCH))
    moments: dict[UUID, tuple[datetime, datetime | None]] = {}
    for _, _, token, _, _, started_at, done_at, sent_at, received_at, *_ in rows:
        error = device_error(sent_at, received_at)
        moments[token] = done_at + error, started_at + error if started_at else None
    undone = {row[3] for row in rows if row[3]}
    found: dict[int, list[Clocked]] = defaultdict(list)
    for hand_id, pk, token, cancels, on, _, _, _, _, seconds, kind, source in rows:
        done_at, started_at = (moments.get(cancels) if cancels else None) or moments[token]
        found[hand_id].append(
            Clocked(
                pk,
                on,
                done_at,
                seconds or 0,
                started_at,
                is_break=kind == Kind.BREAK,
                is_gone=bool(cancels) or token in undone,
                at_bench=source == Source.BENCH,
                is_timed=seconds is not None,
            )
        )
    return found


def told_twice(hand_id: int, clocked: Iterable[Clocked], days: Mapping[int, date]) -> dict[date, str]:
    """What is said of each day of a hand on which two stretches tell the same time, as far as clocks tell when it was.

    The longest time of two stretches is named: where three meet, there is more.
    """
    spans = [
        Span(one.stretch_id, hand_id, one.started_at, one.done_at, one.seconds, is_break=one.is_break)
        for one in clocked
        if one.started_at and not one.is_gone
    ]
    longest: dict[date, int] = defaultdict(int)
    for one in find_overlaps(spans):
        on = days[one.second_id]
        longest[on] = max(longest[on], one.seconds)
    return {
        on: f"the job clock tells at least {hours_and_minutes(seconds)} twice, and that is paid twice until the owner "
        "puts one of the two right"
        for on, seconds in longest.items()
    }


_OF_STRETCH = (
    *("id", "token", "cancels_token", "done_on", "started_at", "done_at", "sent_at", "received_at"),
    *("seconds", "kind", "source"),
)
_COLUMNS = (
    *("content_hash", "hand_id", "kind", "done_at", "done_on", "sent_at", "received_at", "source", "entered_by_id"),
    "note",
)


def row_of(told: Told, shop: Shop, now: datetime) -> Attendance:
    """The unsaved row of a touch, its token with it. Raises FactRefused for what can't be."""
    if told.kind not in KINDS:
        raise FactRefused(
            f"Say whether it is coming, going, a break or back from it: “{told.kind[:40]}” is none (kind)."
        )
    if told.done_at.year not in YEARS:
        raise FactRefused(f"In {told.done_at:%d.%m.}{told.done_at.year} the year can't be right.")
    error = device_error(told.sent_at, now)
    if told.done_at > now - error + CLOCK_SLACK:
        raise FactRefused("That moment has not come yet.")
    return Attendance(
        token=told.token,
        content_hash=told.content_hash,
        hand_id=told.hand_id,
        kind=told.kind,
        done_at=told.done_at,
        done_on=(told.done_at + error).astimezone(shop.zone).date(),
        sent_at=told.sent_at,
        received_at=now,
        source=told.source,
        entered_by_id=told.entered_by_id if told.entered_by_id != told.hand_id else None,
        note=told.note,
    )


def _turn(hand_id: int) -> str:
    return f"attendance of hand {hand_id}"


def _digest(*what: object) -> str:
    return hashlib.sha256(json.dumps(what, separators=(",", ":")).encode()).hexdigest()
