"""The one form of fact that a bench posts, as fields of a form. A queue may keep it and send it later as it is.

    token        UUID, made on the device, one for each touch
    kind         work (default), shop, waiting, training or break
    operation    id of the operation, for work
    lot | wheel  id of the lot (loose pieces) or of the wheel that was worked on
    made         units done, 0 for unfinished time (default 0)
    spoiled      pieces spoiled (default 0); with `reason`: timber, work or other
    lost         units of this operation that went with the spoiled pieces (default 0)
    started_at   ISO 8601 with offset; without it, and without `seconds`, the work is counted and not timed
    done_at      ISO 8601 with offset; the server's clock where it is missing (a plain form)
    sent_at      ISO 8601 with offset, fresh at each sending: tells the device's error
    seconds      instead of the time between the two moments: dinner taken off, "12 in 2 h 10"
    minutes      the same as a person writes it: "130", "2 h 10", "2:10"; goes before `seconds`. The bench reads it, and
                 answers 422 where it can't
    helper       id of another hand, any number of times
    note         a few words, at most 200 letters
    confirmed    1: more than 16 hours is meant
    confirmed_spoiled   1: more spoiled pieces than are wanted and were made are meant
    hand         id of the user who tapped: the bench answers 403 where another is signed in. It gives no one
                 else's name to a fact: the hand is who is signed in
    break_from, break_to   moments of a break inside the stretch, which `seconds` leaves out: it is kept as a stretch
                 of its own

Fields of other names are let be. Answers: 200 once it is saved, the same for a replay; 422 with one sentence or with a
question, whose answers are this form again; 403 or a sign-in page for another hand or none.

A cancel is `token`, `cancels` (the token of the stretch to undo), `done_at` and `sent_at`.

The time so far, told when a hand turns to another job or stops, is a fact with `made` 0, `started_at`, `done_at`. Of it
only what the hand has not told already is kept: see `timing.untold`.
"""

from datetime import UTC, datetime
from typing import Protocol
from uuid import UUID, uuid5

from timing.facts import YEARS, Cancel, Fact, FactRefused, Yield
from timing.models.facts import Kind, Reason, Source

LONGEST_NOTE = 200
# Far more than any count, second or id has, and few enough for every database.
MOST_FIGURES = 15


class Posted(Protocol):
    """What a form posts: Django's QueryDict, or its like."""

    def get(self, key: str, default: str, /) -> object: ...
    def getlist(self, name: str, /) -> list[str]: ...


def read_fact(posted: Posted, *, hand_id: int, now: datetime, source: str = Source.BENCH) -> Fact:
    """The fact that a form tells of one hand. Raises FactRefused with one sentence naming the field."""
    kind = _text(posted, "kind") or Kind.WORK
    done_at = read_moment(posted, "done_at") or now
    return Fact(
        token=read_token(posted, "token"),
        hand_id=hand_id,
        kind=kind,
        operation_id=_number(posted, "operation") if kind == Kind.WORK else None,
        started_at=read_moment(posted, "started_at"),
        done_at=done_at,
        sent_at=read_moment(posted, "sent_at"),
        seconds=_number(posted, "seconds"),
        yields=(_yield(posted),) if kind == Kind.WORK else (),
        helper_ids=tuple(sorted({_whole(text, "helper") for text in posted.getlist("helper") if text})),
        source=source,
        note=read_note(posted),
        confirmed=_text(posted, "confirmed") == "1",
    )


def read_cancel(posted: Posted, *, hand_id: int, now: datetime, source: str = Source.BENCH) -> Cancel:
    """The cancel that a form tells. Raises FactRefused with one sentence naming the field."""
    return Cancel(
        token=read_token(posted, "token"),
        cancels_token=read_token(posted, "cancels"),
        hand_id=hand_id,
        done_at=read_moment(posted, "done_at") or now,
        sent_at=read_moment(posted, "sent_at"),
        source=source,
    )


def read_break(posted: Posted, *, of: Fact) -> Fact | None:
    """The break that was taken inside a stretch, where the form tells of one: the same each time it is sent."""
    begun, ended = read_moment(posted, "break_from"), read_moment(posted, "break_to")
    if begun is None or ended is None:
        return None
    if of.started_at is None or not of.started_at <= begun <= ended <= of.done_at:
        raise FactRefused("The break is not inside the stretch (break_from, break_to).")
    return Fact(
        token=uuid5(of.token, "break"),
        hand_id=of.hand_id,
        kind=Kind.BREAK,
        started_at=begun,
        done_at=ended,
        sent_at=of.sent_at,
        source=of.source,
    )


def read_note(posted: Posted) -> str:
    """The few words of a note. Raises FactRefused rather than lose the end of them."""
    note = _text(posted, "note")
    if len(note) > LONGEST_NOTE:
        raise FactRefused(f"The note has {len(note)} letters, and {LONGEST_NOTE} can be kept: shorten it.")
    return note


def _yield(posted: Posted) -> Yield:
    lot_id, wheel_id = _number(posted, "lot"), _number(posted, "wheel")
    if lot_id is None and wheel_id is None:
        raise FactRefused("Say on which lot or wheel it was done.")
    return Yield(
        made=_number(posted, "made") or 0,
        spoiled=_number(posted, "spoiled") or 0,
        lost=_number(posted, "lost") or 0,
        reason=_text(posted, "reason") or Reason.NONE,
        lot_id=None if wheel_id else lot_id,
        wheel_id=wheel_id,
    )


def _text(posted: Posted, name: str) -> str:
    text = str(posted.get(name, "")).strip()
    if "\0" in text:
        # PostgreSQL keeps no such character in a text.
        raise FactRefused(f"The {name} holds a character that can't be kept.")
    return text


def _number(posted: Posted, name: str) -> int | None:
    text = _text(posted, name)
    return _whole(text, name) if text else None


def _whole(text: str, name: str) -> int:
    digits = text.removeprefix("-")
    if not (digits.isascii() and digits.isdigit()):
        raise FactRefused(f"“{text[:40]}” is no whole number ({name}).")
    if len(digits) > MOST_FIGURES:
        raise FactRefused(f"The number has {len(digits)} figures, and can't be right: write it again ({name}).")
    return int(text)


def read_token(posted: Posted, name: str = "token") -> UUID:
    """The UUID in a field. Raises FactRefused."""
    try:
        return UUID(_text(posted, name))
    except ValueError:
        raise FactRefused(f"The {name} is missing or is no UUID.") from None


def read_moment(posted: Posted, name: str) -> datetime | None:
    """The moment in a field, None where it is empty. Raises FactRefused."""
    text = _text(posted, name)
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise FactRefused(f"“{text[:40]}” is no moment ({name}): write it as 2026-03-02T10:41:00+00:00.") from None
    if moment.tzinfo is None:
        raise FactRefused(f"The moment {text[:40]} ({name}) needs its offset from UTC.")
    if moment.year not in YEARS:
        raise FactRefused(f"In {text[:40]} the year ({name}) can't be right.")
    # Python takes any offset under a day, and a database may not.
    return moment.astimezone(UTC)
