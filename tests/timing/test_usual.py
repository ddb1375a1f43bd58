"""Usual times: which facts teach, as what, and how the fit is kept."""

from datetime import timedelta
from uuid import uuid4

import pytest

from jobs.models import Lot, Operation
from jobs.starting import start_operations
from tests.factories import IN, NOW, HandFactory, fact, makeup, take_pair, task
from timing.facts import Cancel, Fact, Yield
from timing.models import SavedFit, Stretch, Tally, Verdict
from timing.record import cancel, record
from timing.usual import (
    as_lines,
    is_out_of_date,
    newest_timings,
    read_timings,
    say_of,
    the_usual,
    work_of,
    work_out,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair():
    start_operations()
    return take_pair()


def test_unfinished_time_joins_the_next_piece_and_spoiled_time_none(pair):
    one, other = HandFactory(), HandFactory()
    shaving = task(pair, "shave-spoke")
    for minutes, made, hand in ((7, 0, one), (11, 1, other), (5, 1, one), (9, 2, one), (4, 0, one)):
        record(fact(shaving, hand, made=made, minutes=minutes))
    spoiled = (Yield(spoiled=1, reason="timber", lot_id=shaving.lot_id),)
    record(fact(shaving, one, minutes=6, yields=spoiled))
    record(fact(shaving, one, minutes=8))
    record(fact(shaving, one, minutes=None))
    read = read_timings()
    told = zip(read.timings.hand.tolist(), read.timings.pieces.tolist(), read.timings.minutes.tolist(), strict=True)
    # 7 joins the 5; the 4 before the spoiled piece and the 6 on it teach nothing; the untimed one neither.
    assert list(told) == [(0, 1, 11), (1, 1, 12), (1, 2, 9), (1, 1, 8)]
    assert read.hands == [str(other.user_id), str(one.user_id)]
    assert set(read.timings.size_nm) == {46 * IN}
    assert set(read.timings.wheel) == {-1}
    assert len(read_timings(without_hands=[one.user_id]).timings) == 1


def test_what_was_undone_or_left_out_does_not_teach(pair):
    hand = HandFactory()
    turning = [task(pair, "turn-hub", wheel) for wheel in pair.lots.get().wheels.all()]
    kept, undone, left_out = (record(fact(one, hand)).stretch for one in (*turning, turning[0]))
    cancel(Cancel(token=uuid4(), cancels_token=undone.token, hand_id=hand.user_id, done_at=NOW))
    Verdict.objects.create(tally=left_out.tallies.get(), counts=False, said_at=NOW, said_by=hand.user)
    read = read_timings()
    assert read.tally_ids == [kept.tallies.get().pk]
    assert read.timings.wheel.tolist() == [0]


def test_a_timing_that_a_person_counts_is_no_stray(pair):
    hand = HandFactory()
    shaving = task(pair, "shave-spoke")
    for minutes in (10, 11, 9, 10, 12, 9, 10, 11, 120, 10):
        record(fact(shaving, hand, minutes=minutes))
    long = Tally.objects.get(seconds=120 * 60)
    assert [one.tally_id for one in work_out(at=NOW).strays] == [long.pk]
    Verdict.objects.create(tally=long, counts=True, said_at=NOW, said_by=hand.user)
    assert is_out_of_date()
    assert work_out(at=NOW).strays == ()


def test_rows_of_an_old_book_are_told_apart_from_the_shops_orders(pair):
    hand = HandFactory()
    turning = task(pair, "turn-hub", pair.lots.get().wheels.first())
    record(fact(turning, hand))
    for wheel in ("near", "off", ""):
        old = Yield(made=1, old_order=str(pair.pk), old_wheel=wheel, old_diameter_nm=40 * IN)
        record(fact(turning, hand, yields=(old,), source=Stretch.Source.OLD_BOOK))
    read = read_timings().timings
    assert read.order.tolist() == [0, 1, 1, 1]
    assert read.wheel.tolist() == [0, 1, 2, -1]
    assert read.size_nm.tolist() == [46 * IN, 40 * IN, 40 * IN, 40 * IN]


def test_the_fit_is_kept_until_there_is_more_to_learn(pair):
    assert the_usual().made_at is None
    assert the_usual().fit.rests_on_book_times_alone
    record(fact(task(pair, "shave-spoke"), HandFactory()))
    kept = work_out(at=NOW)
    assert (kept.timings, kept.timed("shave-spoke"), kept.timed("cut-foot")) == (1, 1, 0)
    assert the_usual() is kept
    assert not is_out_of_date()
    Operation.objects.filter(key="cut-foot").update(book_seconds=60)
    assert is_out_of_date()
    assert the_usual() is kept
    work_out(at=NOW + timedelta(hours=1))
    assert SavedFit.objects.count() == 1
    assert the_usual().made_at == NOW + timedelta(hours=1)


def test_a_fit_of_another_version_leaves_book_times(pair):
    work_out(at=NOW)
    SavedFit.objects.update(content=b"of another program", made_at=NOW + timedelta(hours=1))
    assert the_usual().made_at is None
    assert the_usual().knows("shave-spoke")
    assert not the_usual().knows("gild")


def test_a_make_up_lays_out_what_its_order_would(pair):
    lot = Lot.from_makeup(makeup(), work="new", spare_spokes=1)
    laid = {one.operation.key: (one.pieces, one.wheels) for one in work_of([(lot, 2)], Operation.objects.in_use())}
    wanted = {}
    for one in pair.lots.get().tasks.select_related("operation"):
        wanted[one.operation.key] = wanted.get(one.operation.key, 0) + one.wanted
    spokes_loose = {"rough-spoke", "cut-foot", "shave-spoke"}
    assert {key: pieces for key, (pieces, _) in laid.items()} == {
        key: pieces + (key in spokes_loose) for key, pieces in wanted.items()
    }
    assert as_lines(work_of([(lot, 2)], Operation.objects.filter(key="shave-spoke")))[0].pieces == 29


def test_a_fact_of_an_old_book_tells_wheels_apart():
    near, off = (
        Fact(token=uuid4(), hand_id=1, done_at=NOW, yields=(Yield(made=1, old_order="7", old_wheel=wheel),))
        for wheel in ("near", "off")
    )
    assert near.content_hash != off.content_hash


def test_time_that_went_into_a_piece_left_out_lengthens_no_other(pair):
    hand = HandFactory()
    shaving = task(pair, "shave-spoke")
    told = [record(fact(shaving, hand, made=made, minutes=minutes)).stretch for minutes, made in ((300, 0), (9, 1))]
    record(fact(shaving, hand, minutes=11))
    say_of(told[1].tallies.get(), counts=False, at=NOW, by=hand.user)
    assert read_timings().timings.minutes.tolist() == [11]


def test_the_newest_timings_are_read_page_by_page_with_all_their_time(pair):
    hand, other = HandFactory(), HandFactory()
    shaving, turning = task(pair, "shave-spoke"), task(pair, "turn-hub", pair.lots.get().wheels.first())
    for minutes, made, who in ((1, 1, hand), (20, 0, hand), (2, 1, other), (3, 1, hand), (4, 1, hand), (5, 2, hand)):
        record(fact(shaving, who, made=made, minutes=minutes))
    record(fact(turning, hand))
    undone = record(fact(shaving, hand, minutes=99)).stretch
    cancel(Cancel(token=uuid4(), cancels_token=undone.token, hand_id=hand.user_id, done_at=NOW))
    newest = newest_timings(shaving.operation, most=3)
    # The twenty minutes of a piece that was not finished are of the page before, and of the next piece all the same.
    assert [one.minutes for one in newest.timings] == [23, 4, 5]
    assert newest.timings[-1].minutes_a_piece == 2.5
    earlier = newest_timings(shaving.operation, before=newest.before, most=3)
    assert ([one.minutes for one in earlier.timings], earlier.before) == ([1, 2], None)
    assert [one.minutes for one in newest_timings(shaving.operation, hand_id=other.user_id).timings] == [2]
    assert newest_timings(shaving.operation, before=10**6).timings == ()


def test_the_last_word_on_a_timing_stands_with_who_said_it(pair):
    hand, other = HandFactory(), HandFactory()
    tally = record(fact(task(pair, "shave-spoke"), hand)).stretch.tallies.get()
    say_of(tally, counts=True, at=NOW, by=hand.user)
    before = is_out_of_date()
    say_of(tally, counts=True, at=NOW + timedelta(hours=1), by=other.user)
    assert (Verdict.objects.get().said_by, Verdict.objects.get().said_at, before) == (hand.user, NOW, True)
    say_of(tally, counts=False, at=NOW + timedelta(hours=2), by=other.user)
    assert (Verdict.objects.get().counts, Verdict.objects.get().said_by) == (False, other.user)
    assert newest_timings(tally.stretch.operation).timings[0].row.counts is False


def test_what_an_operation_rests_on_is_kept_with_the_fit(pair):
    hand = HandFactory()
    earlier = NOW - timedelta(days=9)
    record(fact(task(pair, "shave-spoke"), hand, done_at=earlier, started_at=earlier - timedelta(minutes=8)))
    record(fact(task(take_pair(), "shave-spoke"), hand))
    about = work_out(at=NOW).rests_on
    assert set(about) == {"shave-spoke"}
    assert (about["shave-spoke"].orders, about["shave-spoke"].since) == (2, earlier.date())
