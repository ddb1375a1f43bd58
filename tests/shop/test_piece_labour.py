"""What is paid by the piece costs that, on a wheel, in the shop on a day, over a period and under its figures."""

import uuid
from datetime import UTC, date, timedelta

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from jobs.models import Order, Task
from shop.costing import order_cost
from shop.models import Hand, Outwork, PayRun, PayTerms, Rate, Shop
from shop.pay.terms import PaysSpoiled
from shop.pay_facts import Scheme, waiting_to_be_passed
from shop.period_costs import Period, read_period
from shop.work_in_progress import work_in_progress
from tests import plain_sum
from tests.factories import NOW, fact, take_away, task
from tests.shop.test_costing import charge, rate
from timing.facts import Cancel, Yield
from timing.record import cancel, record

DAY = NOW.date()
BEGAN = date(2026, 1, 1)


def by_pieces(hand: Hand, on: date = BEGAN, *, paid: bool = True) -> None:
    PayTerms.objects.create(hand=hand.user, by_pieces=paid, from_on=on, recorded_at=NOW, recorded_by=hand.user)


def piece_rate(work: Task, millipence: int, *, height_nm: int | None = None, on: date = BEGAN) -> None:
    told = {"from_on": on, "recorded_at": NOW, "from_height_nm": height_nm}
    Rate.objects.create(kind="piece", operation=work.operation, amount_millipence=millipence, **told)


@pytest.fixture
def spokes(order: Order, osk: Hand) -> Task:
    """Osk is paid 62.5p a spoke that is roughed out, and £12 an hour else; an hour costs £15, and £6 of overhead."""
    Order.objects.update(created_at=NOW)
    found = task(order, "rough-spoke")
    by_pieces(osk)
    piece_rate(found, 62_500)
    rate("wage", 12, osk)
    rate("cost", 15, osk)
    rate("overhead", 6)
    return found


def set_of(order: Order) -> tuple[int, int]:
    found = order_cost(order).set
    return found.labour_pence, found.overhead_pence


def test_pieces_cost_their_rate_with_what_an_hour_costs_beside_its_wage(order: Order, osk: Hand, spokes: Task) -> None:
    record(fact(spokes, osk, made=8, minutes=30), now=NOW)
    # 8 x 62.5p is £5.00, and a quarter more: £6.25. Half an hour of overhead is £3.00.
    assert set_of(order) == (625, 300)
    assert [row.figures.pence for row in work_in_progress(DAY, UTC).rows] == [925]
    period = read_period(Period(DAY, DAY))
    assert (period.work.labour_pence, period.work.overhead_pence, period.work.seconds) == (625, 300, 1800)


def test_other_work_and_other_days_and_helpers_go_by_the_hour(
    order: Order, osk: Hand, bram: Hand, spokes: Task
) -> None:
    rate("cost", 30, bram)
    record(fact(task(order, "shave-spoke"), osk, made=8, minutes=60), now=NOW)
    assert set_of(order) == (1500, 600)
    record(fact(spokes, bram, made=8, minutes=30, helper_ids=(osk.user_id,)), now=NOW)
    # Half an hour of the smith and of Osk, who helped.
    assert set_of(order) == (1500 + 1500 + 750, 600 + 600)
    by_pieces(osk, DAY + timedelta(days=1), paid=False)
    later = NOW + timedelta(days=1)
    record(fact(spokes, osk, made=8, done_at=later, started_at=later - timedelta(minutes=20)), now=later)
    assert set_of(order) == (3750 + 500, 1200 + 200)


def test_the_rate_is_that_of_the_wheel_s_height(order: Order, osk: Hand, spokes: Task) -> None:
    height = spokes.lot.height_nm
    piece_rate(spokes, 100_000, height_nm=height)
    piece_rate(spokes, 200_000, height_nm=height + 1)
    record(fact(spokes, osk, made=8, minutes=None), now=NOW)
    assert set_of(order) == (1000, 0)
    assert order_cost(order).notes == ("Made but not timed, so without overhead here: 8 of “Rough out spoke”.",)


def test_without_a_wage_pieces_cost_what_they_earned(order: Order, osk: Hand, spokes: Task) -> None:
    take_away(Rate.objects.filter(kind="wage"))
    record(fact(spokes, osk, made=8), now=NOW)
    assert set_of(order)[0] == 500
    lack = "No cost rate, or no wage to set it beside, for Osk for 2 March 2026"
    assert order_cost(order).notes == (f"{lack}: pieces cost what they earned, and no more.",)
    assert [gap.is_pieces for gap in read_period(Period(DAY, DAY)).gaps] == [True]


def test_spoiled_pieces_cost_what_was_paid_for_them(order: Order, osk: Hand, spokes: Task) -> None:
    def spoil(reason: str) -> None:
        told = Yield(made=1, spoiled=2, reason=reason, lot_id=spokes.lot_id)
        record(fact(spokes, osk, yields=(told,), minutes=None), now=NOW)

    spoil("timber")
    spoil("work")
    # A shake is paid, a slip is not: 3 + 1 of 78.125p.
    assert set_of(order)[0] == 313
    Shop.objects.update(pays_spoiled_timber=False, pays_spoiled_work=True)
    # A choice has no day: what is not closed yet costs the same by any.
    assert set_of(order)[0] == 313
    run = {"rules": "plain", "spoiled": ["timber", "work"], "short_breaks": True}
    ends = {"first_on": DAY, "last_on": DAY, "closed_at": NOW, "closed_by": osk.user}
    PayRun.objects.create(token=uuid.uuid4(), settings=run, seen={}, **ends)
    # What a closed run paid for is in it: 2 more.
    assert set_of(order)[0] == 469


def test_what_is_undone_costs_nothing_and_its_facts_add_up(
    order: Order, osk: Hand, spokes: Task, owner: Client, tamsin: Hand
) -> None:
    undone = fact(spokes, osk, made=5)
    record(undone, now=NOW)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, NOW), now=NOW)
    assert set_of(order) == (0, 0)
    record(fact(spokes, osk, made=8, minutes=30), now=NOW)
    assert set_of(order) == (625, 300)
    page = owner.get(f"/tasks/{spokes.pk}/facts/").text
    assert '8 × £0.625 <span class="note">× £15.00 ÷ £12.00</span>' in page
    assert 'data-label="Cost">£9.25</td></tr></tfoot>' in page.replace("\n", "")
    # The desk sees what the work cost, and nothing of what a hand earns.
    desk = Client()
    desk.force_login(tamsin.user)
    page = desk.get(f"/tasks/{spokes.pk}/facts/").text
    assert ("8 × £0.78125<" in page, "£0.625" in page, "£12.00" in page, "£9.25" in page) == (True, False, False, True)


def test_work_that_somebody_outside_charges_for_earns_nothing_here(order: Order, osk: Hand, spokes: Task) -> None:
    told = fact(spokes, osk, made=8, minutes=None)
    record(told, now=NOW)
    assert (set_of(order)[0], len(waiting_to_be_passed(Scheme.load({}), most=9).rows)) == (625, 1)
    charge(Outwork, order, 400, task=spokes)
    charged = Outwork.objects.get()
    Outwork.objects.filter(pk=charged.pk).update(token=told.token)
    assert (set_of(order)[0], waiting_to_be_passed(Scheme.load({}), most=9).rows) == (0, [])
    charge(Outwork, order, -400, task=spokes, cancels=charged)
    assert set_of(order)[0] == 625


def test_the_rate_is_that_of_the_work_at_which_a_piece_was_spoiled(order: Order, osk: Hand, spokes: Task) -> None:
    """A hub that splits in mortising is written on the task of its turning, by who mortised."""
    piece_rate(task(order, "turn-hub"), 3_000_000)
    piece_rate(task(order, "chop-mortise"), 100_000)
    turned = task(order, "turn-hub")
    yields = (Yield(spoiled=1, reason="timber", task_id=turned.pk),)
    record(fact(turned, osk, operation_id=task(order, "chop-mortise").operation_id, yields=yields), now=NOW)
    assert set_of(order)[0] == 125


@given(st.integers(-9, 9), st.integers(0, 9), st.integers(0, 9), st.booleans(), st.sampled_from(["timber", "work", ""]))
def test_the_plain_script_pays_the_same_units(made: int, spoiled: int, lost: int, undone: bool, reason: str) -> None:
    plain = plain_sum.PieceWork.__new__(plain_sum.PieceWork)
    plain.runs, plain.outside = [], set()
    sign = -1 if undone else 1
    row = {"made": str(made), "spoiled": str(sign * spoiled), "lost": str(sign * lost), "reason": reason}
    counted = PaysSpoiled().paid_units(made=made, spoiled=sign * spoiled, lost=sign * lost, reason=reason)
    assert plain.units(row, "2026-03-02", "") == counted
