"""The cost of wheels and of the set, against sums done by hand."""

import uuid
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Trip, Wheel
from shop.costing import Cost, order_cost
from shop.models import Hand, Issue, Outwork, Rate
from tests import factories
from tests.factories import NOW, fact, take_pair, task
from timing.facts import Cancel, Yield
from timing.moves import MoveWish, cancel_move, move_pieces
from timing.record import cancel, record
from timing.setting_aside import AsideWish, set_aside

DAY = date(2026, 3, 2)


def rate(kind: str, pounds_an_hour: int, hand: Hand | None = None, from_on: date = date(2026, 1, 1)) -> None:
    Rate.objects.create(
        kind=kind,
        hand=hand.user if hand else None,
        amount_millipence=pounds_an_hour * 100_000,
        from_on=from_on,
        recorded_at=NOW,
    )


def charge(kind: type[Outwork] | type[Issue], order: Order, pence: int, **where: object) -> None:
    told = {"order": order, "what": "x", "amount_pence": pence, "on": DAY, "recorded_at": NOW, "token": uuid.uuid4()}
    kind.objects.create(**told, recorded_by=Hand.objects.get(name="Osk").user, **where)


def wheels(order: Order) -> list[Wheel]:
    return list(Wheel.objects.filter(lot__order=order).order_by("number"))


@pytest.fixture
def rated(osk: Hand, bram: Hand) -> None:
    rate("cost", 24, osk)
    rate("cost", 30, bram)
    rate("overhead", 6)


def test_an_hour_costs_its_rate_and_its_overhead(order: Order, osk: Hand, rated: None) -> None:
    near, off = wheels(order)
    record(fact(task(order, "turn-hub", near), osk, minutes=60), now=NOW)
    cost = order_cost(order)
    assert (cost.of_wheel(near.pk).cost.labour_pence, cost.of_wheel(near.pk).cost.overhead_pence) == (2400, 600)
    assert cost.of_wheel(off.pk).cost.pence == 0
    assert cost.set.pence == 3000


def test_a_helper_costs_too(order: Order, osk: Hand, bram: Hand, rated: None) -> None:
    near, _ = wheels(order)
    record(fact(task(order, "turn-hub", near), osk, minutes=30, helper_ids=(bram.user_id,)), now=NOW)
    cost = order_cost(order).of_wheel(near.pk).cost
    # Half an hour of 24 and of 30, and twice half an hour of overhead at 6.
    assert (cost.labour_pence, cost.overhead_pence) == (2700, 600)


def test_loose_pieces_are_shared_over_the_lot(order: Order, osk: Hand, rated: None) -> None:
    # 10 minutes at 24 an hour is 4.00, and 1.00 of overhead: half to each wheel.
    record(fact(task(order, "rough-spoke"), osk, minutes=10), now=NOW)
    cost = order_cost(order)
    assert [one.cost.pence for one in cost.wheels] == [250, 250]


def test_the_set_is_rounded_from_unrounded_wheels(order: Order, osk: Hand, bram: Hand) -> None:
    # One second at 36 an hour is a penny: half a penny a wheel, which rounds up to one each and two too many.
    rate("cost", 36, osk)
    rate("overhead", 0)
    record(fact(task(order, "rough-spoke"), osk, minutes=1 / 60), now=NOW)
    cost = order_cost(order)
    assert [one.cost.total for one in cost.wheels] == [Fraction(1, 2), Fraction(1, 2)]
    assert [one.cost.pence for one in cost.wheels] == [1, 1]
    assert (cost.set.pence, cost.wheels_over_pence) == (1, 1)


def test_the_rate_of_the_day_counts(order: Order, osk: Hand, rated: None) -> None:
    near, _ = wheels(order)
    rate("cost", 48, osk, from_on=DAY)
    record(fact(task(order, "turn-hub", near), osk, minutes=60), now=NOW)
    before = NOW - timedelta(days=1)
    told = fact(task(order, "turn-hub", near), osk, minutes=60, done_at=before, started_at=before - timedelta(hours=1))
    record(told, now=NOW)
    assert order_cost(order).of_wheel(near.pk).cost.labour_pence == 2400 + 4800


def test_undone_work_costs_nothing(order: Order, osk: Hand, bram: Hand, rated: None) -> None:
    before = order_cost(order)
    told = fact(task(order, "rough-spoke"), osk, minutes=50, helper_ids=(bram.user_id,))
    record(told, now=NOW)
    assert order_cost(order).set.pence > 0
    cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    after = order_cost(order)
    assert [one.cost for one in after.wheels] == [one.cost for one in before.wheels]
    assert after.notes == before.notes == ()


def test_a_fact_sent_twice_costs_once(order: Order, osk: Hand, rated: None) -> None:
    told = fact(task(order, "rough-spoke"), osk, minutes=60)
    record(told, now=NOW)
    record(told, now=NOW)
    assert order_cost(order).set.pence == 3000


def test_charges_go_where_they_were_laid(order: Order, osk: Hand) -> None:
    near, off = wheels(order)
    charge(Outwork, order, 1000, lot=near.lot, wheel=near, trade="smith", to_whom="Bram")
    charge(Outwork, order, 501, lot=near.lot, trade="smith", to_whom="Bram")
    charge(Issue, order, 300)
    cost = order_cost(order)
    assert cost.of_wheel(near.pk).cost.outwork == 1000 + Fraction(501, 2)
    assert cost.of_wheel(off.pk).cost.outwork == Fraction(501, 2)
    assert [one.cost.materials_pence for one in cost.wheels] == [150, 150]
    assert cost.set.pence == 1801


def test_a_dropped_wheel_keeps_its_own_and_shares_no_more(order: Order, osk: Hand, rated: None) -> None:
    near, off = wheels(order)
    record(fact(task(order, "turn-hub", near), osk, minutes=60), now=NOW)
    record(fact(task(order, "rough-spoke"), osk, minutes=60), now=NOW)
    drop_wheel(near, at=NOW)
    cost = order_cost(order)
    assert [one.cost.pence for one in cost.wheels] == [3000, 3000]
    assert (cost.dropped.pence, cost.set.pence) == (3000, 6000)
    drop_wheel(off, at=NOW)
    assert [one.cost.pence for one in order_cost(order).wheels] == [4500, 1500]


def test_untimed_pieces_and_missing_rates_are_named(order: Order, osk: Hand) -> None:
    near, _ = wheels(order)
    record(fact(task(order, "turn-hub", near), osk, minutes=None), now=NOW)
    record(fact(task(order, "rough-spoke"), osk, minutes=90), now=NOW)
    cost = order_cost(order)
    assert cost.notes == (
        "Made but not timed, so at no cost here: 1 of “Turn hub”.",
        "No cost rate for Osk for 2 March 2026: 1 h 30 are left out.",
        "No overhead rate for 2 March 2026: 1 h 30 bear none.",
    )
    assert cost.set.pence == 0


def test_only_what_was_charged_for_is_not_called_untimed(order: Order, osk: Hand) -> None:
    bands = task(order, "make-band")
    record(fact(bands, osk, made=4, minutes=None), now=NOW)
    trip = Trip.objects.create(task=bands, token=uuid.uuid4(), to_whom="Bram", pieces=3, sent_at=NOW, back_at=NOW)
    charge(Outwork, order, 1000, lot=bands.lot, trade="smith", to_whom="Bram", task=bands, trip=trip)
    assert order_cost(order).notes == ("Made but not timed, so at no cost here: 1 of “Make band”.",)


def test_spoiled_work_is_told_apart(order: Order, osk: Hand, rated: None) -> None:
    # Four spokes are roughed out in 40 minutes; one is spoiled in cutting feet, after 10 minutes: of the roughing
    # out a fourth (5.00 of 20.00) and all of those 10 minutes (5.00) went into it.
    record(fact(task(order, "rough-spoke"), osk, made=4, minutes=40), now=NOW)
    foot = task(order, "cut-foot")
    spoiled = Yield(spoiled=1, reason="work", lot_id=foot.lot_id)
    record(fact(foot, osk, minutes=10, yields=(spoiled,)), now=NOW)
    whole = order_cost(order).set
    assert (whole.pence, whole.spoiled_pence, whole.spoiled_minutes) == (2500, 1000, 20)


def test_pieces_cut_again_are_spoiled_work_up_to_where_they_are_cut(order: Order, osk: Hand, rated: None) -> None:
    """Four roughed out in 40 minutes (20.00) and footed in 20 (10.00): of one that is put back, the footing is lost."""
    rough, foot = task(order, "rough-spoke"), task(order, "cut-foot")
    record(fact(rough, osk, made=4, minutes=40), now=NOW)
    record(fact(foot, osk, made=4, minutes=20), now=NOW)
    set_aside(AsideWish(uuid.uuid4(), foot.pk, 1, "thinner", osk.user_id, NOW, rough.pk), now=NOW)
    whole = order_cost(order).set
    assert (whole.pence, whole.spoiled_pence) == (3000, 250)
    set_aside(AsideWish(uuid.uuid4(), foot.pk, 2, "thinner", osk.user_id, NOW), now=NOW)
    whole = order_cost(order).set
    # Two more are lost whole: half of the roughing, and with the first three quarters of the footing.
    assert (whole.pence, whole.spoiled_pence) == (3000, 1000 + 750)


def test_moved_pieces_carry_their_cost(order: Order, osk: Hand, rated: None) -> None:
    other = take_pair()
    source, target = task(order, "rough-spoke"), task(other, "rough-spoke")
    record(fact(source, osk, made=4, minutes=60), now=NOW)
    wish = MoveWish(uuid.uuid4(), source.pk, target.pk, 1, "fits", osk.user_id, NOW)
    move_pieces(wish, now=NOW)
    assert (order_cost(order).set.pence, order_cost(other).set.pence) == (2250, 750)
    cancel_move(wish.token, cancel_token=uuid.uuid4(), hand_id=osk.user_id, now=NOW)
    assert (order_cost(order).set.pence, order_cost(other).set.pence) == (3000, 0)


def test_a_place_without_facts_of_its_own_tells_what_its_pieces_lack(order: Order, osk: Hand) -> None:
    other = take_pair()
    source, target = task(order, "rough-spoke"), task(other, "rough-spoke")
    record(fact(source, osk, made=4, minutes=None), now=NOW)
    move_pieces(MoveWish(uuid.uuid4(), source.pk, target.pk, 1, "fits", osk.user_id, NOW), now=NOW)
    assert order_cost(other).notes == ("Made but not timed, so at no cost here: 4 of “Rough out spoke”.",)


def test_the_queries_do_not_grow_with_the_work(order: Order, osk: Hand, rated: None) -> None:
    def queries() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            order_cost(order)
        return len(seen)

    record(fact(task(order, "rough-spoke"), osk), now=NOW)
    few = queries()
    for one in Task.objects.filter(lot__order=order).select_related("operation"):
        for day in range(3):
            at = datetime(2026, 2, 1 + day, 9, tzinfo=UTC)
            record(fact(one, osk, done_at=at, started_at=at - timedelta(minutes=5)), now=NOW)
    assert queries() == few <= 11


def test_what_the_same_wheels_bear_is_shared_once(
    order: Order, osk: Hand, rated: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the number of tasks, the wheels of a lot are gone through once."""
    shares: list[Fraction] = []
    times = Cost.times
    monkeypatch.setattr(Cost, "times", lambda cost, share: shares.append(share) or times(cost, share))
    loose = [task(order, key) for key in ("rough-spoke", "cut-foot", "saw-felloe")]
    for one in loose:
        record(fact(one, osk, minutes=10), now=NOW)
    charge(Outwork, order, 101, lot=order.lots.get())
    cost = order_cost(order)
    # 30 minutes at £24 and £6 of overhead, and £1.01: of each exactly half.
    assert [one.cost.total for one in cost.wheels] == [Fraction(1601, 2)] * 2
    assert shares == [Fraction(1, 2)]


def test_an_order_without_wheels_shows_its_charges(shop: object, osk: Hand) -> None:
    bare = factories.take_pair(rows=[])
    charge(Issue, bare, 250)
    cost = order_cost(bare)
    assert (cost.wheels, cost.unplaced.pence, cost.set.pence) == ((), 250, 250)
