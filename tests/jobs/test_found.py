"""What a repair was found to need: offered, listed once, held for the customer's word, and left out at a no."""

from datetime import timedelta

import pytest

from jobs.changes import drop_wheel
from jobs.found import Found, found_so_far, leave_found_out, list_found, usually_found
from jobs.models import Hold, Lot, Task, Wheel
from jobs.models.operations import Work
from jobs.orders import OrderRefused, WheelRow
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


def test_a_no_leaves_out_what_is_not_begun(shop: Shop, osk: Hand) -> None:
    lot = repair()
    list_found(found(lot), seen=0, at=NOW)
    record(fact(task(lot.order, "saw-felloe"), osk), now=NOW)
    assert leave_found_out(lot, at=NOW + timedelta(hours=1)) == 1
    live = Task.objects.live().filter(lot=lot, origin=Task.Origin.FOUND)
    assert [one.operation.key for one in live] == ["saw-felloe"]


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
