"""What a repair was found to need: offered, listed once, held for the customer's word, and left out at a no."""

from datetime import timedelta

import pytest

from jobs.changes import drop_wheel
from jobs.found import Found, found_so_far, leave_found_out, list_found, usually_found
from jobs.models import Hold, Lot, Task, Wheel
from jobs.models.operations import Work
from jobs.orders import OrderRefused, WheelRow, lift_hold
from jobs.work import load_work
from shop.models import Hand, Shop
from tests.conftest import operation
from tests.factories import IN, NOW, fact, makeup, take_pair, task
from timing.record import record


def repair(work: str = Work.NEW_FELLOES, **changes: object) -> Lot:
    row = WheelRow(makeup(**changes), "old pair", ["near", "off"], work=work)
    return take_pair(rows=[row]).lots.get()


def near(lot: Lot) -> Wheel:
    return lot.wheels.select_related("lot__order").all()[0]


def found(lot: Lot, what: str = "near wheel: 2 felloes") -> Found:
    return Found(near(lot), {operation("saw-felloe"): 2, operation("offer-up-felloe"): 2}, what)


def test_it_works(shop: Shop) -> None:
    lot = repair()
    hold = list_found(found(lot), seen=0, at=NOW)
    assert (hold.kind, hold.lot, hold.what) == (Hold.Kind.CUSTOMER, lot, "near wheel: 2 felloes")
    listed = Task.objects.filter(lot=lot, origin=Task.Origin.FOUND).values_list("operation__key", "wanted", "wheel_id")
    assert set(listed) == {("saw-felloe", 2, None), ("offer-up-felloe", 2, near(lot).pk)}
    work = load_work([lot.order], now=NOW)
    assert all(work.ready(one).held for one in work.tasks(order=lot.order) if one.origin == Task.Origin.FOUND)


def test_sent_twice_is_listed_once(shop: Shop) -> None:
    lot = repair()
    holds = [list_found(found(lot), seen=0, at=NOW) for _ in range(2)]
    assert holds[0] == holds[1]
    assert found_so_far(lot) == 4


def test_another_list_meanwhile_is_told(shop: Shop) -> None:
    lot = repair()
    list_found(found(lot), seen=0, at=NOW)
    with pytest.raises(OrderRefused, match="added to meanwhile"):
        list_found(found(lot, "near wheel: something else"), seen=0, at=NOW)
    assert found_so_far(lot) == 4


def test_nothing_listed_is_told(shop: Shop) -> None:
    with pytest.raises(OrderRefused, match="Nothing is listed"):
        list_found(Found(near(repair()), {operation("saw-felloe"): 0}, ""), seen=0, at=NOW)


def test_a_wheel_dropped_meanwhile_is_told(shop: Shop) -> None:
    lot = repair()
    drop_wheel(near(lot), at=NOW)
    with pytest.raises(OrderRefused, match="near wheel was dropped meanwhile"):
        list_found(found(lot), seen=0, at=NOW)


def live(lot: Lot) -> dict[str, int]:
    """What is wanted of the work that was found."""
    return dict(
        Task.objects.live().filter(lot=lot, origin=Task.Origin.FOUND).values_list("operation__key", "wanted").order_by()
    )


def list_more(lot: Lot, place: int, **numbers: int) -> Hold:
    """Another list, as of a page opened now: saw=2 felloes on the first wheel or the second."""
    keys = {"saw": "saw-felloe", "offer": "offer-up-felloe", "drive": "drive-spoke"}
    wheel = lot.wheels.select_related("lot__order").all()[place]
    told = {operation(keys[name]): number for name, number in numbers.items()}
    return list_found(Found(wheel, told, f"{wheel.label} wheel {numbers}"), seen=found_so_far(lot), at=NOW)


def test_a_no_leaves_out_what_is_not_begun(shop: Shop, osk: Hand) -> None:
    lot = repair()
    hold = list_found(found(lot), seen=0, at=NOW)
    record(fact(task(lot.order, "saw-felloe"), osk), now=NOW)
    leave_found_out(hold, at=NOW + timedelta(hours=1))
    assert live(lot) == {"saw-felloe": 1}
    assert Task.objects.get(lot=lot, operation__key="saw-felloe").made == 1


def test_a_no_leaves_out_no_more_than_its_own_list(shop: Shop) -> None:
    lot = repair()
    list_more(lot, 0, saw=2, offer=2)
    leave_found_out(list_more(lot, 1, saw=3, drive=1), at=NOW)
    assert live(lot) == {"saw-felloe": 2, "offer-up-felloe": 2}


def test_a_no_said_twice_takes_back_once(shop: Shop) -> None:
    lot = repair()
    list_more(lot, 0, saw=4)
    hold = list_more(lot, 1, saw=2)
    for _ in range(2):
        leave_found_out(hold, at=NOW)
    assert live(lot) == {"saw-felloe": 4}


def test_found_after_a_no_the_same_list_sent_twice_counts_once(shop: Shop) -> None:
    lot = repair()
    leave_found_out(list_more(lot, 0, saw=2), at=NOW)
    seen = found_so_far(lot)
    holds = [list_found(found(lot), seen=seen, at=NOW) for _ in range(2)]
    assert holds[0] == holds[1]
    assert live(lot) == {"saw-felloe": 2, "offer-up-felloe": 2}


def test_an_old_list_sent_again_after_a_no_is_not_listed_anew(shop: Shop) -> None:
    lot = repair()
    hold = list_found(found(lot), seen=0, at=NOW)
    lift_hold(hold, at=NOW)
    leave_found_out(hold, at=NOW)
    with pytest.raises(OrderRefused, match="added to meanwhile"):
        list_found(found(lot), seen=0, at=NOW)
    assert live(lot) == {}


def test_what_a_dropped_wheel_needed_is_asked_for_no_more(shop: Shop) -> None:
    lot = repair()
    stays, goes = list_more(lot, 0, saw=2), list_more(lot, 1, saw=3, offer=3)
    drop_wheel(lot.wheels.all()[1], at=NOW)
    assert live(lot) == {"saw-felloe": 2}
    assert [hold for hold in (stays, goes) if Hold.objects.get(pk=hold.pk).lifted_at is None] == [stays]
    leave_found_out(goes, at=NOW)
    assert live(lot) == {"saw-felloe": 2}


def test_felloes_offered_up_in_a_dropped_wheel_are_gone(shop: Shop, osk: Hand) -> None:
    lot = repair()
    list_more(lot, 0, saw=2, offer=2)
    list_more(lot, 1, saw=3, offer=3)
    off = lot.wheels.all()[1]
    record(fact(task(lot.order, "saw-felloe"), osk, made=3), now=NOW)
    record(fact(task(lot.order, "offer-up-felloe", off), osk, made=3), now=NOW)
    drop_wheel(off, at=NOW)
    work = load_work([lot.order], now=NOW)
    to_do = {one.operation.key: work.left(one) for one in work.tasks(order=lot.order)}
    assert (to_do["saw-felloe"], to_do["offer-up-felloe"]) == (2, 2)


@pytest.mark.parametrize(
    ("work", "changes", "offered", "not_offered"),
    [
        (Work.NEW_FELLOES, {}, {"saw-felloe", "put-on-rim", "cut-and-weld"}, {"chop-mortise"}),
        (Work.RETYRE, {}, {"weld-tyre", "bolt-tyre"}, {"cut-and-weld"}),
        (Work.RETYRE, {"tyre": "rubber", "tyre_thickness_nm": IN}, {"weld-channel"}, {"weld-tyre", "bolt-tyre"}),
        (Work.NEW_SPOKES, {"tongue": "square"}, {"square-tongue-spoke"}, {"tongue-spoke"}),
        (Work.NEW_HUB, {}, {"turn-hub", "chop-mortise", "fit-box"}, set()),
        (Work.NEW_BOX, {}, set(), {"fit-box"}),
    ],
)
def test_what_is_usual_is_offered(
    shop: Shop, work: str, changes: dict[str, object], offered: set[str], not_offered: set[str]
) -> None:
    keys = {row.key for row in usually_found(repair(work, **changes))}
    assert offered <= keys
    assert not keys & not_offered


def test_loose_pieces_found_wait_for_no_new_hub(shop: Shop, osk: Hand) -> None:
    """In a repair the old hub is there: what new work waits on and a repair lacks is no hindrance."""
    lot = repair()
    hold = list_found(found(lot), seen=0, at=NOW)
    Hold.objects.filter(pk=hold.pk).update(lifted_at=NOW)
    work = load_work([lot.order], now=NOW)
    ready = {one.operation.key: work.ready(one).units for one in work.tasks(order=lot.order)}
    assert (ready["saw-felloe"], ready["offer-up-felloe"]) == (2, 0)
