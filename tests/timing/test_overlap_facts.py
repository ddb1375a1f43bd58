"""Which stretches are searched for overlaps: those that stand, by the server's clock, of hands and helpers."""

import uuid
from datetime import datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.day_book import Asked
from timing.facts import Cancel
from timing.models import Stretch
from timing.models.facts import Kind
from timing.overlap_facts import MOST, TooMany, overlapping, overlaps_of
from timing.overlaps import Overlap
from timing.record import cancel, record


@pytest.fixture
def hub(order: Order) -> Task:
    return task(order, "turn-hub", order.lots.get().wheels.first())


def told(on: Task, hand: Hand, *, until: datetime = NOW, wrong: timedelta = timedelta(), **changes: object) -> Stretch:
    """Work that ended at `until`, told by a device whose clock is `wrong` by so much and sent a minute later."""
    minutes = changes.pop("minutes", 30)
    begun = None if minutes is None else until + wrong - timedelta(minutes=float(str(minutes)))
    at = until + timedelta(minutes=1)
    moments = {"done_at": until + wrong, "started_at": begun, "sent_at": at + wrong}
    stretch = record(fact(on, hand, **(moments | changes)), now=at).stretch  # type: ignore[arg-type]
    assert stretch
    return stretch


def found() -> list[Overlap]:
    every = overlaps_of(Stretch.objects.all()).values()
    return list({(one.first_id, one.second_id, one.person_id): one for overlaps in every for one in overlaps}.values())


def test_two_devices_with_clocks_of_their_own(hub: Task, osk: Hand) -> None:
    slow = told(hub, osk, wrong=timedelta(hours=-3))
    fast = told(hub, osk, until=NOW + timedelta(minutes=18), wrong=timedelta(minutes=7))
    assert found() == [Overlap(osk.user_id, slow.pk, fast.pk, 12 * 60)]


def test_clocks_that_are_wrong_make_no_overlap(hub: Task, osk: Hand) -> None:
    told(hub, osk, wrong=timedelta(minutes=20))
    told(hub, osk, until=NOW + timedelta(minutes=30), wrong=timedelta(minutes=-20))
    assert found() == []


def test_what_was_undone_or_not_timed_is_not_searched(hub: Task, osk: Hand) -> None:
    told(hub, osk)
    undone = told(hub, osk)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, NOW), now=NOW)
    told(hub, osk, minutes=None)
    assert found() == []


def test_a_helpers_time_is_that_hands_too(hub: Task, osk: Hand, bram: Hand) -> None:
    own = told(hub, bram)
    helped = told(hub, osk, helper_ids=(bram.user_id,))
    assert found() == [Overlap(bram.user_id, own.pk, helped.pk, 30 * 60)]
    assert overlaps_of([helped], person_ids=[osk.user_id]) == {}
    assert set(overlaps_of([own], person_ids=[bram.user_id])) == {own.pk}


def test_shop_work_and_breaks_are_searched(hub: Task, osk: Hand) -> None:
    work = told(hub, osk)
    swept = told(hub, osk, kind=Kind.SHOP, operation_id=None, yields=())
    assert found() == [Overlap(osk.user_id, work.pk, swept.pk, 30 * 60)]


def test_a_break_that_the_seconds_leave_out_is_no_overlap(hub: Task, osk: Hand) -> None:
    work = told(hub, osk, minutes=60, seconds=2700)
    told(hub, osk, until=NOW - timedelta(minutes=20), minutes=15, kind=Kind.BREAK, operation_id=None, yields=())
    beside = told(hub, osk, until=NOW - timedelta(minutes=5), minutes=10)
    assert found() == [Overlap(osk.user_id, work.pk, beside.pk, 10 * 60)]


def test_one_that_ran_on_for_days_is_found_from_a_piece_inside(hub: Task, osk: Hand) -> None:
    piece = told(hub, osk)
    long = told(hub, osk, until=NOW + timedelta(days=5), minutes=6 * 24 * 60, confirmed=True)
    for row in (piece, long):
        assert overlaps_of([row]) == {row.pk: [Overlap(osk.user_id, long.pk, piece.pk, 30 * 60)]}


def test_one_over_midnight_is_found_from_either_day(hub: Task, osk: Hand) -> None:
    late = told(hub, osk, until=NOW + timedelta(hours=13, minutes=50))
    over = told(hub, osk, until=NOW + timedelta(hours=14, minutes=10))
    assert late.done_on != over.done_on
    for row in (late, over):
        assert overlaps_of([row]) == {row.pk: [Overlap(osk.user_id, late.pk, over.pk, 10 * 60)]}


def test_those_asked_for_count_though_the_others_are_not(hub: Task, order: Order, osk: Hand) -> None:
    mine = told(hub, osk)
    other = told(task(order, "rough-spoke"), osk)
    assert overlapping(Asked()) == {mine.pk, other.pk}
    assert overlapping(Asked(operation_id=hub.operation_id)) == {mine.pk}
    assert overlapping(Asked(kind="shop")) == set()


def test_more_than_are_searched_is_refused_in_a_sentence(hub: Task, osk: Hand) -> None:
    for _ in range(3):
        told(hub, osk)
    assert len(overlapping(Asked(), most=3)) == 3
    with pytest.raises(TooMany, match="More than 2 stretches are too many"):
        overlapping(Asked(), most=2)
    assert MOST > 1000


@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's own words for how it looks rows up")
@pytest.mark.parametrize("own", [False, True])
def test_a_few_days_are_found_without_reading_the_whole_book(hub: Task, osk: Hand, own: bool) -> None:
    row = told(hub, osk)
    with CaptureQueriesContext(connection) as seen:
        overlaps_of([row], person_ids=[osk.user_id] if own else None)
    assert len(seen) == 1
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {seen[0]['sql']}")
        plan = "\n".join(line[-1] for line in cursor.fetchall())
    assert "SEARCH timing_stretch USING INDEX stretch_by" in plan
    assert "SCAN timing_stretch" not in plan
