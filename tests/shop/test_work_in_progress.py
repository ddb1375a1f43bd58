"""What is in the shop at the end of a day: which orders, of which facts, on its page and in its file."""

import csv
import uuid
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction

import pytest
from django.test import Client

from jobs.models import Order, Task
from shop.costs_at_once import costs_by
from shop.how_far import HowFar, how_far
from shop.models import Hand, Outwork
from shop.rates import RateBook
from shop.work_in_progress import work_in_progress
from tests.factories import NOW, fact, task
from tests.shop.test_costing import charge, rate
from timing.facts import Cancel, Yield
from timing.record import cancel, record
from timing.usual import the_usual

DAY = NOW.date()
AFTER = DAY + timedelta(days=1)


@pytest.fixture
def worked(order: Order, osk: Hand) -> Order:
    """An hour at £24 and £6, and £12.50 of outwork, on one day; another hour on the next, and one undone."""
    rate("cost", 24, osk)
    rate("overhead", 6)
    shave = task(order, "rough-spoke")
    undone = fact(shave, osk, minutes=45, done_at=NOW - timedelta(hours=3), started_at=NOW - timedelta(hours=4))
    for told in (fact(shave, osk, minutes=60), undone):
        record(told, now=NOW)
    later = NOW + timedelta(days=1)
    record(fact(shave, osk, minutes=60, done_at=later, started_at=later - timedelta(hours=1)), now=later)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, later), now=later)
    charge(Outwork, order, 1250)
    Order.objects.filter(pk=order.pk).update(created_at=datetime(2026, 3, 2, 8, tzinfo=UTC))
    return order


def values(on: date) -> list[int]:
    return [row.figures.pence for row in work_in_progress(on, UTC).rows]


def test_an_order_counts_from_when_it_was_written_down_until_it_is_fetched(worked: Order) -> None:
    assert values(DAY - timedelta(days=1)) == []
    # What was undone the day after was never worked: its contra bears the same day.
    assert values(DAY) == [3000 + 1250]
    assert values(AFTER) == [6000 + 1250]
    Order.objects.filter(pk=worked.pk).update(state="fetched", ended_on=AFTER)
    assert values(AFTER) == []
    assert values(DAY) == [3000 + 1250]


def test_the_page_and_its_file_tell_the_same(worked: Order, owner: Client) -> None:
    page = owner.get("/costs/work-in-progress/?on=2026-03-02").text
    assert "At the end of 2 March 2026 the work in the shop had cost <b>£42.50</b>, in 1 order; what is done" in page
    assert f'href="/day-book/?order={worked.number}&amp;last=2026-03-02">£24.00</a>' in page
    file = owner.get("/costs/work-in-progress/file.csv?on=2026-03-02")
    row = next(csv.DictReader(file.getvalue().decode().splitlines()))  # type: ignore[attr-defined]
    assert (row["order"], row["labour_pence"], row["outwork_pence"], row["value_pence"]) == (
        str(worked.number),
        "2400",
        "1250",
        "4250",
    )
    tenths = f"{int(float(row['whole_wheels']) * 10) / 10:.1f}"
    assert (row["wheels"], f'data-label="Whole wheels">{tenths} of 2</td>' in page) == ("2", True)
    wrong = owner.get("/costs/work-in-progress/?on=2199-01-01")
    assert (wrong.status_code, "That day has not come yet." in wrong.text) == (422, True)
    assert owner.get("/costs/work-in-progress/file.csv?on=x").status_code == 422


def test_wheels_of_which_nothing_is_known_stand_apart():
    """A lot whose work was never timed, nor has a book time, must not read as if it were not begun."""
    done, unknown = HowFar(4, Fraction(4)), HowFar(4, None)
    both = HowFar.of([done, unknown])
    assert (both.wheels, both.whole, both.untold, both.in_words) == (4, 4, 4, "4.0 of 4; of 4 not known")
    assert HowFar.of([both, HowFar(2, Fraction(1, 2))]) == HowFar(6, Fraction(9, 2), 4)
    assert (HowFar.of([unknown, unknown]), HowFar.of([]).in_words) == (HowFar(8, None), "")


def test_wheels_part_done_count_as_whole_ones(order: Order, osk: Hand) -> None:
    def whole(on: date = AFTER) -> Fraction:
        told = costs_by([order.pk], RateBook.load(), day=on)
        found = how_far([order.pk], told.counts, the_usual())[order.pk]
        assert found.wheels == 2
        return found.whole or Fraction(0)

    assert whole() == 0
    shave = task(order, "rough-spoke")
    record(fact(shave, osk, made=shave.wanted // 2), now=NOW)
    half = whole()
    assert 0 < half < Fraction(1, 2)
    record(fact(shave, osk, made=shave.wanted - shave.wanted // 2), now=NOW)
    assert whole() == 2 * half
    # More than is wanted brings no wheel further, and a spoiled piece sets it back.
    record(fact(shave, osk, made=1), now=NOW)
    assert whole() == 2 * half
    later = NOW + timedelta(days=1)
    rest = Task.objects.filter(lot__order=order, dropped_at=None).exclude(pk=shave.pk)
    for one in rest.select_related("operation"):
        record(fact(one, osk, made=one.wanted, minutes=None, done_at=later), now=later)
    assert (whole(), whole(DAY)) == (2, 2 * half)
    spoiled = Yield(spoiled=3, reason="timber", lot_id=shave.lot_id)
    record(fact(task(order, "shave-spoke"), osk, yields=(spoiled,), minutes=None, done_at=later), now=later)
    assert whole() < 2
