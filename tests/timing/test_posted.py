"""The one documented form of a posted fact."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.http import QueryDict

from jobs.models import Order
from shop.models import Hand
from tests.factories import NOW, task
from timing.facts import FactRefused, Yield
from timing.models import Stretch
from timing.posted import read_break, read_cancel, read_fact
from timing.record import record

TOKEN = uuid.UUID("5b1f7c9e-2d5c-4d1a-9a39-7f6a0f2a4c11")
WHOLE = (
    f"token={TOKEN}&operation=7&lot=3&made=2&spoiled=1&lost=1&reason=work&helper=5&helper=4&helper=5&note=+knotty+"
    "&started_at=2026-03-02T09:50:00Z&done_at=2026-03-02T10:00:00%2B00:00&sent_at=2026-03-02T10:00:01Z"
)


def read(text: str) -> object:
    return read_fact(QueryDict(text), hand_id=9, now=NOW)


def test_it_reads_every_field() -> None:
    fact = read_fact(QueryDict(WHOLE + "&seconds=500&confirmed=1"), hand_id=9, now=NOW)
    assert (fact.token, fact.hand_id, fact.operation_id, fact.kind) == (TOKEN, 9, 7, "work")
    assert fact.yields == (Yield(made=2, spoiled=1, lost=1, reason="work", lot_id=3),)
    assert (fact.started_at, fact.done_at) == (NOW - timedelta(minutes=10), NOW)
    assert fact.sent_at == datetime(2026, 3, 2, 10, 0, 1, tzinfo=UTC)
    assert (fact.seconds, fact.helper_ids, fact.note, fact.confirmed) == (500, (4, 5), "knotty", True)
    assert fact.source == "bench"


def test_a_moment_far_from_utc_is_told_in_utc() -> None:
    """PostgreSQL takes no offset of sixteen hours, and no clock has one."""
    fact = read_fact(
        QueryDict(f"token={TOKEN}&operation=7&lot=3&done_at=2026-03-03T02:00:00%2B16:00"), hand_id=9, now=NOW
    )
    assert (fact.done_at, fact.done_at.utcoffset()) == (NOW, timedelta())


def test_what_is_left_out_is_untimed_and_nothing_made_and_done_now() -> None:
    fact = read_fact(QueryDict(f"token={TOKEN}&operation=7&wheel=3"), hand_id=9, now=NOW)
    assert fact.yields == (Yield(wheel_id=3),)
    assert (fact.started_at, fact.seconds, fact.done_at, fact.sent_at, fact.confirmed) == (None, None, NOW, None, False)


def test_shop_work_has_no_operation_and_no_yield() -> None:
    fact = read_fact(QueryDict(f"token={TOKEN}&kind=shop&operation=7&lot=3&made=1&note=sweeping"), hand_id=9, now=NOW)
    assert (fact.kind, fact.operation_id, fact.yields, fact.note) == ("shop", None, (), "sweeping")


def test_fields_of_other_names_are_let_be() -> None:
    fact = read_fact(QueryDict(WHOLE + "&hand=4&hand_id=4&source=desk&done_on=2020-01-01"), hand_id=9, now=NOW)
    assert (fact.hand_id, fact.source, fact.done_on) == (9, "bench", None)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "The token is missing or is no UUID."),
        ("token=12", "The token is missing or is no UUID."),
        (f"token={TOKEN}", "Say on which lot or wheel it was done."),
        (f"token={TOKEN}&lot=3&made=3/0", "“3/0” is no whole number (made)."),
        (f"token={TOKEN}&lot=3&made=1e3", "“1e3” is no whole number (made)."),
        (f"token={TOKEN}&lot=3&made=٣", "“٣” is no whole number (made)."),
        (
            f"token={TOKEN}&lot=3&made=9999999999999999",
            "The number has 16 figures, and can't be right: write it again (made).",
        ),
        (
            f"token={TOKEN}&lot=3&made={'9' * 5000}",
            "The number has 5000 figures, and can't be right: write it again (made).",
        ),
        (f"token={TOKEN}&lot=x", "“x” is no whole number (lot)."),
        (f"token={TOKEN}&lot=3&helper=Wren", "“Wren” is no whole number (helper)."),
        (f"token={TOKEN}&lot=3&done_at=noon", "“noon” is no moment (done_at)"),
        (f"token={TOKEN}&lot=3&started_at=2026-03-02T10:00", "needs its offset from UTC."),
        (f"token={TOKEN}&lot=3&done_at=0001-01-01T00:00:00%2B14:00", "the year (done_at) can't be right"),
        (f"token={TOKEN}&lot=3&sent_at=9999-12-31T23:59:00Z", "the year (sent_at) can't be right"),
        (f"token={TOKEN}&lot=3&note={'a' * 201}", "The note has 201 letters, and 200 can be kept: shorten it."),
        (f"token={TOKEN}&lot=3&note=a%00b", "The note holds a character that can't be kept."),
    ],
)
def test_what_cannot_be_read_names_its_field(text: str, sentence: str) -> None:
    with pytest.raises(FactRefused) as refused:
        read(text)
    assert sentence in str(refused.value)


def test_a_note_is_kept_to_its_last_letter() -> None:
    assert read_fact(QueryDict(f"token={TOKEN}&lot=3&note={'é' * 200}"), hand_id=9, now=NOW).note == "é" * 200


def test_a_cancel() -> None:
    other = uuid.uuid4()
    wish = read_cancel(QueryDict(f"token={TOKEN}&cancels={other}"), hand_id=9, now=NOW)
    assert (wish.token, wish.cancels_token, wish.hand_id, wish.done_at) == (TOKEN, other, 9, NOW)
    with pytest.raises(FactRefused, match="The cancels is missing"):
        read_cancel(QueryDict(f"token={TOKEN}"), hand_id=9, now=NOW)


def test_a_break_inside_a_stretch_is_the_same_each_time_it_is_told() -> None:
    posted = QueryDict(WHOLE + "&break_from=2026-03-02T09:52:00Z&break_to=2026-03-02T09:55:00Z")
    first, again = (read_break(posted, of=read_fact(posted, hand_id=9, now=NOW)) for _ in range(2))
    assert first is not None
    assert first == again
    assert (first.kind, first.hand_id, first.done_at - (first.started_at or NOW)) == ("break", 9, timedelta(minutes=3))
    assert first.token != TOKEN


def test_a_break_outside_its_stretch_is_refused() -> None:
    posted = QueryDict(WHOLE + "&break_from=2026-03-02T09:52:00Z&break_to=2026-03-02T10:55:00Z")
    with pytest.raises(FactRefused, match="not inside the stretch"):
        read_break(posted, of=read_fact(posted, hand_id=9, now=NOW))


def test_no_break_told_is_no_break() -> None:
    posted = QueryDict(WHOLE)
    assert read_break(posted, of=read_fact(posted, hand_id=9, now=NOW)) is None


def test_what_is_read_can_be_recorded(order: Order, osk: Hand) -> None:
    saw = task(order, "saw-felloe")
    text = f"token={TOKEN}&operation={saw.operation_id}&lot={saw.lot_id}&made=3&started_at=2026-03-02T09:30:00Z"
    assert record(read_fact(QueryDict(text), hand_id=osk.user_id, now=NOW), now=NOW).fresh
    assert Stretch.objects.get().seconds == 1800
