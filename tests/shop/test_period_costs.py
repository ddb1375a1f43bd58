"""What a period cost: work on wheels, overhead absorbed and spent, what is in no wheel, and spoiled work."""

import uuid
from datetime import date, timedelta

import pytest
from django.test import Client

from jobs.models import Order
from shop.costing import order_cost
from shop.models import Hand, Issue, OverheadSpent, Shop
from shop.period_costs import Period, month_of, months_about, read_period
from tests.factories import NOW, fact, task
from tests.shop.test_costing import charge, rate
from timing.facts import Fact, Yield
from timing.models.facts import Kind
from timing.record import record

DAY = date(2026, 3, 2)
MARCH = Period(date(2026, 3, 1), date(2026, 3, 31))
FEBRUARY = Period(date(2026, 2, 1), date(2026, 2, 28))
RENT = {"what": "Rent", "amount": "15", "on_day": "28", "on_month": "2", "on_year": "2026"}


@pytest.fixture
def worked(order: Order, osk: Hand, bram: Hand) -> Order:
    """£24 and £30 an hour and £6 of overhead: three hours in February, one with a helper in March, and all besides."""
    rate("cost", 24, osk)
    rate("cost", 30, bram)
    rate("overhead", 6)
    rough, weld = task(order, "rough-spoke"), task(order, "weld-tyre")
    before = NOW - timedelta(days=5)
    in_february = {"done_at": before, "started_at": before - timedelta(hours=3)}
    record(fact(rough, osk, made=6, **in_february), now=before)
    record(fact(weld, bram, minutes=60, helper_ids=(osk.user_id,)), now=NOW)
    early = NOW - timedelta(hours=2)
    told = Fact(uuid.uuid4(), osk.user_id, early, kind=Kind.SHOP, started_at=early - timedelta(minutes=30))
    record(told, now=NOW)
    # One of the six spokes splits in shaving, half an hour's work: it takes a sixth of the three hours with it.
    shave = task(order, "shave-spoke")
    split = (Yield(made=0, spoiled=1, reason="timber", lot_id=shave.lot_id),)
    ended = NOW - timedelta(hours=4)
    record(fact(shave, osk, yields=split, done_at=ended, started_at=ended - timedelta(minutes=30)), now=NOW)
    charge(Issue, order, 1250)
    return order


def test_a_month_is_told_in_its_parts(worked: Order) -> None:
    march, february = read_period(MARCH), read_period(FEBRUARY)
    rows = {row.name: (row.seconds, row.labour_pence, row.overhead_pence) for row in march.trades}
    assert rows == {"Bench": (1800, 1200, 300), "Smith": (7200, 5400, 1200)}
    assert [(row.name, row.seconds, row.pence) for row in march.apart] == [("Shop work", 1800, 1200)]
    assert (march.materials_pence, february.materials_pence) == (1250, 0)
    # A sixth of £72 and £18 in February's roughing, and the £12 and £3 of shaving it: it was spoiled in March.
    assert (march.spoiled, february.spoiled) == (1500 + 1500, 0)
    assert march.spoiled + february.spoiled == order_cost(worked).set.spoiled
    assert march.whole + february.whole == order_cost(worked).set.total
    told = march.spoilage(5)
    assert (told.normal, told.abnormal) == (405, 3000 - 405)


def test_overhead_is_written_down_once_and_set_beside_what_was_absorbed(worked: Order, owner: Client) -> None:
    answers = RENT | {"token": str(uuid.uuid4())}
    for _ in range(2):
        answer = owner.post("/costs/overhead/new/", answers)
        assert answer["Location"] == "/costs/?from=2026-02-01&to=2026-02-28"
    row = OverheadSpent.objects.get()
    assert owner.post("/costs/overhead/new/", answers | {"amount": "16"}).status_code == 422
    page = owner.get(answer["Location"]).text
    said = "Work absorbed £18.00 of overhead, £15.00 was spent: £3.00 over-absorbed."
    assert "Costs: February 2026" in page
    assert said in page
    assert "An hour on wheels bore £6.00; all that was spent comes to £5.00 an hour." in page
    assert 'href="/day-book/?first=2026-02-01&amp;last=2026-02-28&amp;kind=work"' in page

    taken = {"token": str(uuid.uuid4()), "reason": "of another month"}
    for _ in range(2):
        assert owner.post(f"/costs/overhead/{row.pk}/take-back/", taken).status_code == 302
    assert sorted(OverheadSpent.objects.values_list("amount_pence", flat=True)) == [-1500, 1500]
    page = owner.get("/costs/?from=2026-02-01&to=2026-02-28").text
    assert "£0.00 was spent: £18.00 under" not in page
    assert "£0.00 was spent: £18.00 over-absorbed." in page
    # A row that takes another back can't itself be taken back.
    contra = OverheadSpent.objects.get(cancels=row)
    assert owner.post(f"/costs/overhead/{contra.pk}/take-back/", taken).status_code == 422


def test_questions_that_cannot_be_answered_are_told(owner: Client, worked: Order) -> None:
    Shop.objects.update(normal_spoiled_percent=100)
    assert "Normal: up to 100 % of the work" in owner.get("/costs/?from=2026-03-01&to=2026-03-31").text
    for query, said in (
        ("from=2026-03-02&to=2026-03-01", "The period ends before it begins."),
        ("from=2020-03-02&to=2026-03-01", "That is more than 400 days: ask for a year or less."),
        ("from=&to=2026-03-01", "Write both days: costs are told from the one to the other."),
        ("from=x&to=2026-03-01", "That is not a day: write it as 2026-03-02."),
    ):
        answer = owner.get(f"/costs/?{query}")
        assert (answer.status_code, said in answer.text) == (422, True)


def test_months_follow_on_one_another() -> None:
    assert months_about(MARCH) == (FEBRUARY, Period(date(2026, 4, 1), date(2026, 4, 30)))
    assert month_of(date(2025, 12, 31)) == Period(date(2025, 12, 1), date(2025, 12, 31))
    assert months_about(month_of(date(2026, 1, 31)))[1] == FEBRUARY
