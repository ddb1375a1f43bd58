"""What the rack gave costs what came in first: sums without a database, by any facts in any order."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import partial
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.stores.fifo import Rack, work_out
from shop.stores.ledger import Bought, Counted, Ledger, Out
from tests import plain_sum

DAY = date(2026, 3, 2)
UNIT = 1_000_000


def day(number: int) -> date:
    return DAY + timedelta(days=number)


def unpriced(on: date) -> None:
    return None


def listed(on: date) -> Fraction:
    """Seven pence a unit till the tenth day, and then nine."""
    return Fraction(7 if on < day(10) else 9, UNIT)


def bought(on: int, units: int, pence: int, at: int = 0, *, late: bool = False) -> Bought:
    return Bought(day(on), units * UNIT, pence, at, late)


def out(key: int, on: int, units: int, of: int | None = None, at: int = 0, *, late: bool = False) -> Out:
    return Out(key, key if of is None else of, day(on), units * UNIT, at, late)


def counted(on: int, units: int, at: int) -> Counted:
    """Of the day on which it was written."""
    return Counted(day(on), units * UNIT, at, at_day_end=False)


def rack(buys: list[Bought], outs: list[Out], counts: dict[int, int] | list[Counted] | None = None) -> Rack:
    """`counts` by a number are of the end of that day."""
    if isinstance(counts, dict):
        counts = [Counted(day(on), units * UNIT) for on, units in counts.items()]
    return work_out(buys, outs, counts or [], listed)


def test_it_takes_the_oldest_first() -> None:
    told = rack([bought(3, 10, 300), bought(1, 10, 200)], [out(1, 4, 12)])
    assert told.costs == {1: 10 * 20 + 2 * 30}
    assert [(lot.on, lot.left) for lot in told.lots] == [(day(1), 0), (day(3), 8 * UNIT)]
    assert (told.amount, told.pence, told.short) == (8 * UNIT, 240, 0)


def test_what_is_bought_or_issued_on_one_day_has_one_price() -> None:
    buys, outs = [bought(1, 10, 100), bought(1, 30, 700)], [out(1, 2, 5), out(2, 2, 15)]
    assert rack(buys, outs).costs == rack(buys[::-1], outs[::-1]).costs == {1: 100, 2: 300}


def test_issues_of_a_day_share_the_lots_that_they_are_taken_from() -> None:
    told = rack([bought(1, 10, 100), bought(2, 10, 300)], [out(1, 3, 10), out(2, 3, 10)])
    assert told.costs == {1: 200, 2: 200}


def test_a_bill_that_comes_late_corrects_what_was_reckoned_without_it() -> None:
    before = rack([bought(1, 4, 40)], [out(1, 3, 10)])
    assert before.costs == {1: 40 + 6 * 10}
    assert (before.short, before.amount) == (6 * UNIT, -6 * UNIT)
    after = rack([bought(1, 4, 40), bought(5, 10, 300)], [out(1, 3, 10)])
    assert after.costs == {1: 40 + 6 * 30}
    assert (after.short, after.amount, after.pence) == (0, 4 * UNIT, 120)


def test_what_nothing_was_ever_bought_of_has_the_list_price_of_its_day_or_none() -> None:
    assert rack([], [out(1, 2, 5), out(2, 11, 5)]).costs == {1: 35, 2: 45}
    told = work_out([], [out(1, 2, 5)], [], unpriced)
    assert (told.costs[1], told.day_of[1].priced) == (0, False)


def test_what_came_back_comes_off_its_issue() -> None:
    """And not off the day on which it came back: till then a count must not find it."""
    told = rack([bought(1, 10, 100), bought(2, 10, 300)], [out(1, 3, 15), out(2, 8, -5, of=1)], {4: 5})
    assert told.costs[1] + told.costs[2] == 100
    assert told.amount == 10 * UNIT
    assert not any(lot.found for lot in told.lots)


def test_an_issue_that_was_taken_back_costs_nothing() -> None:
    told = rack([bought(1, 10, 100)], [out(1, 3, 6), out(2, 3, -6, of=1), out(3, 4, 2)])
    assert told.costs[1] + told.costs[2] == 0
    assert told.costs[3] == 20


def test_more_back_than_out_is_refused() -> None:
    with pytest.raises(ValueError, match="More came back"):
        rack([bought(1, 10, 100)], [out(1, 3, 6), out(2, 4, -7, of=1)])


def test_a_count_finds_and_misses() -> None:
    told = rack([bought(1, 10, 100), bought(4, 10, 200)], [out(1, 5, 4)], {2: 7, 3: 9})
    # Three were missing, two of them found again, at the price of what was bought last before.
    assert [(lot.on, lot.amount, lot.pence, lot.found) for lot in told.lots][1:2] == [(day(3), 2 * UNIT, 20, True)]
    assert [(one.on, one.amount) for one in told.days if one.missing] == [(day(2), 3 * UNIT)]
    assert (told.costs[1], told.amount) == (40, 15 * UNIT)


def test_a_first_count_is_at_the_list_price() -> None:
    assert rack([], [out(1, 4, 2)], {3: 10}).costs == {1: 14}


def test_a_count_puts_right_what_was_issued_beyond_the_stock() -> None:
    told = rack([bought(1, 4, 40)], [out(1, 3, 10)], {4: 2})
    assert (told.short, told.amount, told.pence) == (0, 2 * UNIT, 20)


def found_and_missing(told: Rack) -> tuple[int, int]:
    """In whole units."""
    missing = sum(one.amount for one in told.days if one.missing)
    return sum(lot.amount for lot in told.lots if lot.found) // UNIT, missing // UNIT


def test_a_count_of_the_day_stands_where_it_was_written() -> None:
    """What went out or came in after it comes after it; what was written before it, it has seen."""
    buys, seen = [bought(1, 100, 9000)], counted(5, 100, at=2)
    told = rack(buys, [out(1, 5, 40, at=3)], [seen])
    assert (told.amount // UNIT, found_and_missing(told)) == (60, (0, 0))
    told = rack([*buys, bought(5, 50, 5000, at=4)], [out(1, 5, 40, at=3)], [seen])
    assert (told.amount // UNIT, found_and_missing(told)) == (110, (0, 0))
    assert found_and_missing(rack(buys, [out(1, 5, 40, at=1)], [seen])) == (40, 0)
    # An issue that was wrong never was, whenever it is taken back.
    told = rack(buys, [out(1, 5, 40, at=1), out(2, 5, -40, of=1, at=1)], [seen])
    assert (told.amount // UNIT, found_and_missing(told)) == (100, (0, 0))


def test_what_is_written_on_a_later_day_was_there_or_gone_when_it_was_counted() -> None:
    """Ten came and were counted with the ten that lay there; eight were taken and twelve counted: each written late."""
    told = rack([bought(1, 10, 100), bought(5, 10, 300, at=9, late=True)], [], [counted(5, 20, at=2)])
    assert (told.amount // UNIT, told.pence, found_and_missing(told)) == (20, 400, (0, 0))
    told = rack([bought(1, 20, 200)], [out(1, 5, 8, at=9, late=True)], [counted(5, 12, at=2)])
    assert (told.amount // UNIT, told.costs, found_and_missing(told)) == (12, {1: 80}, (0, 0))
    # Before every count of its day; what is written on the day keeps its place after or between them.
    counts, late = [counted(5, 20, at=2), counted(5, 15, at=4)], bought(5, 10, 300, at=9, late=True)
    told = rack([bought(1, 10, 100), late], [out(1, 5, 5, at=3), out(2, 5, 1, at=5)], counts)
    assert (told.amount // UNIT, found_and_missing(told)) == (14, (0, 0))
    # What comes back of it is of its own day's writing.
    told = rack([bought(1, 20, 200)], [out(1, 5, 8, at=9, late=True), out(2, 5, -3, of=1, at=3)], counts[:1])
    assert (told.amount // UNIT, found_and_missing(told)) == (23, (8, 0))


def test_a_count_that_is_told_of_an_earlier_day_stands_at_its_end() -> None:
    """After a bill of that day, too, that is written later still; and after a count that was written on the day."""
    late = Counted(day(5), 100 * UNIT, 8)
    told = rack([bought(1, 100, 9000), bought(5, 50, 5000, at=9)], [out(1, 6, 10, at=7)], [late])
    assert (told.amount // UNIT, found_and_missing(told)) == (90, (0, 50))
    told = rack([bought(1, 100, 9000)], [], [counted(5, 70, at=2), late])
    assert (told.amount // UNIT, found_and_missing(told)) == (100, (0, 0))


def test_counts_of_one_day_find_or_miss_together() -> None:
    told = rack([bought(1, 100, 9000)], [out(1, 5, 30, at=2)], [counted(5, 10, at=1), counted(5, 65, at=3)])
    assert (told.amount // UNIT, found_and_missing(told)) == (65, (0, 5))


def facts(random: Random) -> tuple[list[Bought], list[Out], list[Counted]]:
    def late() -> bool:
        return random.random() < 0.3

    buys = [
        bought(random.randrange(12), random.randrange(1, 9), random.randrange(900), at, late=late())
        for at in range(0, 12, 2)
    ]
    outs = [out(key, random.randrange(12), random.randrange(1, 9), at=2 * key + 1, late=late()) for key in range(6)]
    for one in random.sample(outs, 3):
        part = random.randrange(1, one.amount // UNIT + 1)
        back = one.on + timedelta(days=random.randrange(4))
        outs.append(Out(len(outs), one.key, back, -part * UNIT, random.randrange(14), late()))
    # Some on a day of which something is told, so that its place among that matters.
    on = [*(one.on for one in buys), *(one.on for one in outs), day(random.randrange(14))]
    counts = [
        Counted(random.choice(on), random.randrange(30) * UNIT, random.randrange(14), random.random() < 0.5)
        for _ in range(random.randrange(3))
    ]
    return buys, outs, counts


@given(st.randoms(use_true_random=False))
def test_what_each_fact_changes_is_told_by_the_day_of_issue(random: Random) -> None:
    """However a book is replayed: what came in and was counted, one after another, some of it taken back again."""
    buys, outs, counts = facts(random)
    day_of = {out.key: out.on for out in outs if out.of == out.key}
    ledger = Ledger(listed)
    bills: list[Bought] = []
    went: list[Out] = []
    stood: list[Counted] = []

    def tell(one: Bought | Counted) -> None:
        if isinstance(one, Bought):
            bills.append(one)
            ledger.add_bought(one)
        elif one in stood:
            stood.remove(one)
            ledger.drop_count(one)
        else:
            stood.append(one)
            ledger.add_count(one)

    taken_back = [replace(one, amount=-one.amount, pence=-one.pence) for one in random.sample(buys, 2)]
    events: list[Bought | Out | Counted] = [*buys, *counts, *(out for out in outs if out.of == out.key)]
    random.shuffle(events)
    # What came back, or is taken back, comes after what it is of.
    for one in (*taken_back, *counts[:1], *(out for out in outs if out.of != out.key)):
        events.append(one)
    for one in events:
        if isinstance(one, Out):
            went.append(one)
            ledger.add_out(one, day_of[one.of])
        else:
            was = work_out(bills, went, stood, listed)
            dearer = ledger.dearer_by(partial(tell, one), one.on)
            now = work_out(bills, went, stood, listed)
            assert ledger.amount == now.amount
            for out in went:
                assert now.costs[out.key] - was.costs[out.key] == out.amount * dearer.get(day_of[out.of], 0)


@given(st.randoms(use_true_random=False))
def test_a_plain_sum_over_the_files_says_the_same(random: Random) -> None:
    """Which is written another way: see its rules. In either zone the days of Greenwich are others."""
    buys, outs, counts = facts(random)
    zone = ZoneInfo(random.choice(["America/New_York", "Pacific/Auckland"]))

    def row(number: int, one: Bought | Out | Counted, **others: object) -> dict[str, str]:
        told = {"id": number, "on": one.on, "amount_millionths": one.amount, "cancels_id": ""} | others
        is_told_later = one.at_day_end if isinstance(one, Counted) else one.late
        midnight = datetime.combine(one.on + timedelta(days=is_told_later), time(), zone)
        at = (midnight + timedelta(minutes=100 * one.at)).astimezone(UTC)
        return {name: str(value) for name, value in (told | {"recorded_at": at}).items()}

    prices = [{"from_on": str(day(on)), "amount_millipence": str(pence * 1000)} for on, pence in ((-99, 7), (10, 9))]
    came = [row(number, one, paid_pence=one.pence) for number, one in enumerate(buys)]
    went = [row(one.key, one, returns_id="" if one.of == one.key else one.of) for one in outs]
    stood = [row(number, one, at_day_end=one.at_day_end) for number, one in enumerate(counts)]
    told = rack(buys, outs, counts)
    by_hand = plain_sum.costs_of_material(came, went, stood, prices, zone)
    assert by_hand == {str(key): pence for key, pence in told.costs.items()}
    more_on, _ = plain_sum.found_on_days(came, went, stood, zone)
    found = {str(lot.on): lot.amount for lot in told.lots if lot.found}
    missing = {str(one.on): -one.amount for one in told.days if one.missing}
    assert found | missing == {on: more for on, more in more_on.items() if more}


@given(st.randoms(use_true_random=False))
def test_all_that_came_in_is_issued_missing_or_left_whatever_the_order(random: Random) -> None:
    buys, outs, counts = facts(random)
    told = rack(buys, outs, counts)
    missing = [one for one in told.days if one.missing]
    beyond = [part for one in told.days for part in one.taken if part.lot is None]
    came_in = sum(lot.amount for lot in told.lots)
    went = sum(row.amount for row in outs) + sum(one.amount for one in missing)
    assert sum(lot.left for lot in told.lots) - sum(part.amount for part in beyond) == came_in - went == told.amount
    paid = sum(lot.pence for lot in told.lots) + sum(part.pence for part in beyond)
    assert sum(told.costs.values()) + sum(one.pence for one in missing) + told.pence == paid
    assert sum(lot.pence for lot in told.lots if not lot.found) == sum(one.pence for one in buys)
    # Never both: what is left is taken before anything is short.
    assert not beyond or not told.pence or all(lot.left == 0 for lot in told.lots)
    random.shuffle(buys)
    random.shuffle(outs)
    again = rack(buys, outs, counts)
    assert (again.costs, again.lots) == (told.costs, told.lots)
