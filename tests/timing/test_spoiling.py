"""A spoiled hub takes its mortises, and what was not saved of its spokes and bands."""

import pytest

from jobs.changes import drop_wheel
from jobs.models import Order, Part, Task, Wheel
from jobs.work import load_lot
from shop.models import Hand
from tests.factories import NOW, fact, task
from timing.facts import Cancel, Fact, FactRefused, Yield
from timing.record import cancel, record
from timing.recount import find_faults
from timing.spoiling import in_the_wheel, record_spoiled_hub, spoils_a_hub


@pytest.fixture
def wheel(order: Order, osk: Hand) -> Wheel:
    """The near wheel with its mortises chopped, two bands on and nine spokes driven."""
    wheel = order.lots.get().wheels.get(place="near_hind")
    for key, made in (("chop-mortise", 14), ("shrink-band", 2), ("drive-spoke", 9)):
        record(fact(task(order, key, wheel), osk, made=made), now=NOW)
    return wheel


def split(order: Order, wheel: Wheel, osk: Hand) -> Fact:
    drive = task(order, "drive-spoke", wheel)
    return fact(drive, osk, minutes=5, yields=(Yield(reason="timber", wheel_id=wheel.pk),))


def counters(row: Task) -> tuple[int, int, int, int]:
    row.refresh_from_db()
    return row.made, row.spoiled, row.lost, row.seconds


def test_what_is_in_the_wheel(wheel: Wheel) -> None:
    assert sorted((row.kind, row.pieces) for row in in_the_wheel(wheel)) == [("band", 2), ("spoke", 9)]


def test_what_was_spoiled_since_is_no_longer_in_the_wheel(order: Order, wheel: Wheel, osk: Hand) -> None:
    """Of nine driven two are spoiled in tonguing: seven can be lost with the hub, and nine are made again in all."""
    shave, tongue = task(order, "shave-spoke"), task(order, "tongue-spoke", wheel)
    record(fact(shave, osk, made=28), now=NOW)
    record(fact(tongue, osk, yields=(Yield(spoiled=2, reason="work", wheel_id=wheel.pk),)), now=NOW)
    assert [row.pieces for row in in_the_wheel(wheel) if row.kind == "spoke"] == [7]
    record_spoiled_hub(split(order, wheel, osk), wheel, saved={}, now=NOW)
    lot, work = load_lot(shave.lot_id)
    assert next(work.left(row) for row in work.loose_tasks(lot) if row.pk == shave.pk) == 9
    assert find_faults() == []


def test_the_hub_of_a_wheel_left_out_meanwhile_is_counted_and_not_made_anew(
    order: Order, wheel: Wheel, osk: Hand
) -> None:
    chop = task(order, "chop-mortise", wheel)
    told = split(order, wheel, osk)
    drop_wheel(wheel, at=NOW)
    assert record_spoiled_hub(told, wheel, saved={}, now=NOW).fresh
    assert counters(chop)[1] == 1
    assert Part.objects.filter(wheel=wheel, kind="hub").count() == 1
    assert find_faults() == []


def test_it_is_counted_and_made_anew(order: Order, wheel: Wheel, osk: Hand) -> None:
    chop, band, drive = (task(order, key, wheel) for key in ("chop-mortise", "shrink-band", "drive-spoke"))
    record_spoiled_hub(split(order, wheel, osk), wheel, saved={"spoke": 6, "band": 2}, now=NOW)
    assert counters(chop) == (14, 1, 14, 900)
    assert counters(drive)[:3] == (9, 3, 3)
    assert counters(band)[1] == 0
    assert task(order, "chop-mortise", wheel).made == 0
    assert Part.objects.filter(wheel=wheel, kind="hub").count() == 2
    assert find_faults() == []


def test_a_replay_after_the_hub_was_made_anew_adds_nothing(order: Order, wheel: Wheel, osk: Hand) -> None:
    told = split(order, wheel, osk)
    first = record_spoiled_hub(told, wheel, saved={"spoke": 6}, now=NOW)
    again = record_spoiled_hub(told, wheel, saved={"spoke": 6}, now=NOW)
    assert (again.fresh, again.stretch) == (False, first.stretch)
    with pytest.raises(FactRefused, match="other content"):
        record_spoiled_hub(told, wheel, saved={"spoke": 5}, now=NOW)
    assert Part.objects.filter(wheel=wheel, kind="hub").count() == 2


@pytest.mark.parametrize("saved", [{"spoke": 10}, {"spoke": -1}, {"band": 3}])
def test_no_more_is_saved_than_there_was(order: Order, wheel: Wheel, osk: Hand, saved: dict[str, int]) -> None:
    with pytest.raises(FactRefused, match="you can't save"):
        record_spoiled_hub(split(order, wheel, osk), wheel, saved=saved, now=NOW)
    assert Part.objects.filter(wheel=wheel, kind="hub").count() == 1


def test_undoing_it_brings_the_old_hub_back(order: Order, wheel: Wheel, osk: Hand) -> None:
    told = split(order, wheel, osk)
    chop = task(order, "chop-mortise", wheel)
    record_spoiled_hub(told, wheel, saved={}, now=NOW)
    wish = Cancel(token=fact(chop, osk).token, cancels_token=told.token, hand_id=osk.user_id, done_at=NOW)
    cancel(wish, now=NOW)
    assert task(order, "chop-mortise", wheel) == chop
    assert counters(chop) == (14, 0, 0, 600)
    assert find_faults() == []


def test_only_hub_work_at_a_wheel_spoils_a_hub(order: Order, wheel: Wheel) -> None:
    assert spoils_a_hub(task(order, "chop-mortise", wheel).operation, wheel)
    assert not spoils_a_hub(task(order, "drive-spoke", wheel).operation, wheel)
    assert not spoils_a_hub(task(order, "get-out-hub").operation, None)
