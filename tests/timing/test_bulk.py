"""Many facts at once: the same checks, the same counters, all or none."""

import uuid
from dataclasses import replace

import pytest

from jobs.models import Order
from shop.models import Hand
from tests.conftest import operation
from tests.factories import NOW, fact, task
from timing import bulk
from timing.bulk import ManyRefused, RecordedMany, record_many, record_old_book
from timing.facts import Cancel, Fact, Yield
from timing.models import AwaitedCancel, Stretch, Tally
from timing.models.facts import Source
from timing.record import cancel, record
from timing.recount import find_faults
from timing.spoiling import record_spoiled_hub


def wish(token: uuid.UUID, hand: Hand) -> Cancel:
    return Cancel(token=uuid.uuid4(), cancels_token=token, hand_id=hand.user_id, done_at=NOW)


def three(order: Order, hand: Hand) -> list[Fact]:
    return [fact(task(order, key), hand, made=3) for key in ("rough-spoke", "saw-felloe", "make-band")]


def test_it_works(order: Order, osk: Hand, bram: Hand) -> None:
    told = [*three(order, osk), fact(task(order, "rough-spoke"), osk, made=2, helper_ids=(bram.user_id,))]
    assert record_many(told, now=NOW) == RecordedMany(fresh=4, seen=0)
    assert (task(order, "rough-spoke").made, task(order, "rough-spoke").seconds) == (5, 1200)
    assert Stretch.objects.get(token=told[3].token).helpers.get().hand == bram.user
    assert find_faults() == []


def test_the_same_again_adds_nothing(order: Order, osk: Hand) -> None:
    told = three(order, osk)
    undoing = wish(told[0].token, osk)
    assert record_many([*told, undoing, told[1]], now=NOW) == RecordedMany(fresh=4, seen=1)
    assert record_many([*told, undoing], now=NOW) == RecordedMany(fresh=0, seen=4)
    assert task(order, "rough-spoke").made == 0
    assert Stretch.objects.count() == 4


def test_a_longer_row_of_facts_adds_what_is_new(order: Order, osk: Hand) -> None:
    told = three(order, osk)
    record_many(told[:2], now=NOW)
    assert record_many(told, now=NOW) == RecordedMany(fresh=1, seen=2)


def test_a_cancel_that_waited_is_carried_out(order: Order, osk: Hand) -> None:
    told = three(order, osk)
    cancel(wish(told[0].token, osk), now=NOW)
    assert record_many(told, now=NOW) == RecordedMany(fresh=3, seen=0)
    assert AwaitedCancel.objects.count() == 0
    assert task(order, "rough-spoke").made == 0
    assert find_faults() == []


def test_a_cancel_before_its_stretch_waits(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    early = wish(told.token, osk)
    assert record_many([early], now=NOW) == RecordedMany(fresh=1, seen=0)
    assert record_many([early], now=NOW) == RecordedMany(fresh=0, seen=1)
    record(told, now=NOW)
    assert task(order, "rough-spoke").made == 0


def test_each_stretch_is_undone_once(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    twice = [wish(told.token, osk), wish(told.token, osk)]
    assert record_many([told, *twice], now=NOW) == RecordedMany(fresh=2, seen=1)
    assert record_many([wish(told.token, osk)], now=NOW) == RecordedMany(fresh=0, seen=1)
    assert (task(order, "rough-spoke").made, Stretch.objects.count()) == (0, 2)


def test_a_hub_that_was_not_split_comes_back(order: Order, osk: Hand) -> None:
    wheel = order.lots.get().wheels.all()[0]
    chop = task(order, "chop-mortise", wheel)
    split = fact(chop, osk, yields=(Yield(spoiled=1, reason="timber", wheel_id=wheel.pk),))
    record_spoiled_hub(split, wheel, saved={}, now=NOW)
    assert task(order, "chop-mortise", wheel) != chop
    record_many([wish(split.token, osk)], now=NOW)
    assert task(order, "chop-mortise", wheel) == chop
    assert find_faults() == []


def test_one_bad_fact_and_none_is_saved(order: Order, osk: Hand) -> None:
    told = three(order, osk)
    bad = fact(task(order, "rough-spoke"), osk, yields=(Yield(made=1, lot_id=0),))
    with pytest.raises(ManyRefused, match="number 3: That operation is not among the work"):
        record_many([*told[:2], bad, told[2]], now=NOW)
    assert Stretch.objects.count() == 0


@pytest.mark.parametrize(
    ("yields", "sentence"),
    [
        ((Yield(made=1, task_id=0),), "There is no such work"),
        ((Yield(made=-1, task_id=0),), "from 0 up"),
    ],
)
def test_what_cannot_be_read_is_named(order: Order, osk: Hand, yields: tuple[Yield, ...], sentence: str) -> None:
    told = replace(fact(task(order, "rough-spoke"), osk), yields=yields)
    with pytest.raises(ManyRefused, match=sentence) as refused:
        record_many([*three(order, osk), told], now=NOW)
    assert [bad.index for bad in refused.value.bad] == [3]


def test_one_stretch_names_each_work_once(order: Order, osk: Hand) -> None:
    rough = task(order, "rough-spoke")
    twice = (Yield(made=1, task_id=rough.pk), Yield(made=1, lot_id=rough.lot_id))
    with pytest.raises(ManyRefused, match="names each piece of work once"):
        record_many([fact(rough, osk, yields=twice)], now=NOW)


def test_same_token_with_other_content_is_refused(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    changed = replace(told, note="other")
    with pytest.raises(ManyRefused, match="other content"):
        record_many([told, changed], now=NOW)
    record(told, now=NOW)
    with pytest.raises(ManyRefused, match="other content"):
        record_many([changed], now=NOW)
    with pytest.raises(ManyRefused, match="other content"):
        record_many([replace(wish(uuid.uuid4(), osk), token=told.token)], now=NOW)


def test_a_cancel_is_not_cancelled(order: Order, osk: Hand) -> None:
    told = fact(task(order, "rough-spoke"), osk)
    undoing = wish(told.token, osk)
    with pytest.raises(ManyRefused, match="enter the work anew"):
        record_many([told, undoing, wish(undoing.token, osk)], now=NOW)
    record_many([told, undoing], now=NOW)
    with pytest.raises(ManyRefused, match="enter the work anew"):
        record_many([wish(undoing.token, osk)], now=NOW)


def test_a_part_made_anew_goes_through_the_bench(order: Order, osk: Hand) -> None:
    told = replace(fact(task(order, "rough-spoke"), osk), renews=("hub",), operation_id=operation("turn-hub").pk)
    with pytest.raises(ManyRefused, match="goes through the bench"):
        record_many([told], now=NOW)


def test_a_helper_who_is_nobody_is_refused(order: Order, osk: Hand) -> None:
    told = three(order, osk)
    told[1] = replace(told[1], helper_ids=(987_654,))
    with pytest.raises(ManyRefused, match="number 2: There is no such helper"):
        record_many(told, now=NOW)
    assert Stretch.objects.count() == 0


def old(order: Order, hand: Hand, **changes: object) -> Fact:
    """A row of an old book: more, and longer, than one stretch from the bench may be."""
    one = Yield(made=1200, old_order="118", old_wheel="near", old_diameter_nm=10**9)
    plain: dict[str, object] = {"yields": (one,), "source": Source.OLD_BOOK, "started_at": None, "seconds": 10**6}
    return fact(task(order, "rough-spoke"), hand, **(plain | changes))


def test_an_old_book_goes_in_once_however_many_bring_it(
    order: Order, osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = [old(order, osk), old(order, osk, seconds=60), old(order, osk)]
    take_turns = bulk.take_turns

    def another_is_quicker(about: str) -> None:
        monkeypatch.undo()
        assert record_old_book(told[:2], now=NOW) == RecordedMany(fresh=2, seen=0)
        take_turns(about)

    monkeypatch.setattr(bulk, "take_turns", another_is_quicker)
    assert record_old_book(told, now=NOW) == RecordedMany(fresh=1, seen=2)
    assert record_old_book(told, now=NOW) == RecordedMany(fresh=0, seen=3)
    kept = Tally.objects.order_by("stretch_id").values_list("stretch__token", "seconds", "made", "old_wheel", "task")
    assert list(kept) == [(one.token, one.seconds, 1200, "near", None) for one in told]
    assert task(order, "rough-spoke").made == 0


def test_what_is_not_of_an_old_book_does_not_go_in_with_it(order: Order, osk: Hand) -> None:
    with pytest.raises(ValueError, match="Only stretches of an old book"):
        record_old_book([old(order, osk), old(order, osk, source=Source.BENCH, seconds=60)], now=NOW)
    assert Stretch.objects.count() == 0
