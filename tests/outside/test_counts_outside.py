"""How many pieces a wheel wants and how much of the work is done, from print and by hand."""

import pytest

from jobs.layout import count_for, is_chosen
from jobs.models import Lot, Operation, Order
from jobs.orders import WheelRow
from jobs.work import load_work
from shop.models import Hand, Shop
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.record import record


@pytest.mark.parametrize(("spokes", "felloes"), [(12, 6), (14, 7), (16, 8)])
def test_a_wheel_wants_its_spokes_mortises_felloes_and_joints(shop: Shop, spokes: int, felloes: int) -> None:
    # One felloe to two spokes: Felton, 1794; 12 and 6: Griffiths, Artillerist's Manual; 14 and 7: Webster, 1913. A
    # mortise and a tongue to a spoke, a joint to a felloe (a closed ring has as many joints as pieces), two bands on a
    # hub, one tyre, one box: common practice, no source.
    order = take_pair(rows=[WheelRow(makeup(spokes=spokes, felloes=felloes), "one", ["loose"])])
    wanted = {one.operation.key: one.wanted for one in load_work([order]).tasks(order=order)}
    for key in ("rough-spoke", "chop-mortise", "trim-mortise", "drive-spoke", "bore-tongue-hole"):
        assert wanted[key] == spokes, key
    for key in ("saw-felloe", "plane-felloe", "offer-up-felloe", "cut-joint", "dowel-joint"):
        assert wanted[key] == felloes, key
    assert (wanted["make-band"], wanted["shrink-band"], wanted["shrink-tyre"], wanted["fit-box"]) == (2, 2, 1, 1)


def test_a_set_of_four_by_hand(shop: Shop) -> None:
    # By hand, common practice: two fore wheels of 12 and two hind of 14 spokes are 52 spokes and 26 felloes; with two
    # spokes and a felloe over for the hind pair, 54 and 27 are got out, and 52 driven.
    fore = WheelRow(makeup(spokes=12, felloes=6), "fore pair", ["near_fore", "off_fore"])
    hind = WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"], spare_spokes=2, spare_felloes=1)
    order = take_pair(rows=[fore, hind])
    tasks = load_work([order]).tasks(order=order)

    def wanted(key: str) -> int:
        return sum(one.wanted for one in tasks if one.operation.key == key)

    assert (wanted("rough-spoke"), wanted("saw-felloe"), wanted("drive-spoke")) == (54, 27, 52)


def test_work_content_by_hand(order: Order, osk: Hand) -> None:
    # By hand, common practice: only two kinds of work are left in the book. Roughing out 28 spokes at 6 minutes is 168,
    # chopping 2 x 14 mortises at 10 is 280: 448 in all. 10 roughed and 7 chopped are 60 + 70 = 130 minutes done, 29 %
    # (29.02), and 318 left.
    rough, chop = task(order, "rough-spoke"), task(order, "chop-mortise", order.lots.get().wheels.all()[0])
    Operation.objects.exclude(key__in=["rough-spoke", "chop-mortise"]).update(book_seconds=None)
    Operation.objects.filter(key="rough-spoke").update(book_seconds=360)
    Operation.objects.filter(key="chop-mortise").update(book_seconds=600)
    record(fact(rough, osk, made=10), now=NOW)
    record(fact(chop, osk, made=7), now=NOW)
    content = load_work([order]).content(order)
    assert (content.done_seconds, content.wanted_seconds, content.left_seconds) == (130 * 60, 448 * 60, 318 * 60)
    assert content.per_cent == 29


def test_pieces_of_a_lot_are_counted_over_its_wheels() -> None:
    # By hand, common practice: three wheels of 14 spokes and two over are 44; one mortise each, so 14 to a wheel.
    lot = Lot.from_makeup(makeup(), work="new", spare_spokes=2)
    loose = Operation(part="spoke", per="spoke", for_lot=True, works=["new"])
    mortise = Operation(part="hub", per="spoke", works=["new"])
    assert is_chosen(loose, lot)
    assert (count_for(loose, lot, wheels=3).wanted, count_for(mortise, lot, wheels=1).wanted) == (44, 14)
