"""The cost of what is taken from the rack, against a worked example in print and the words of the standard."""

from datetime import date
from fractions import Fraction

from shop.stores.fifo import work_out
from shop.stores.ledger import Bought, Out

UNIT = 1_000_000


def no_list(on: date) -> Fraction | None:
    return None


def test_first_in_first_out_of_a_textbook() -> None:
    """M. Franklin, P. Graybeal, D. Cooper, Principles of Accounting, Volume 1: Financial Accounting (OpenStax, 2019),
    chapter 10, first in, first out: 150 at $21, sold 120; bought 225 at $27, sold 180; bought 210 at $33. Goods sold
    $7,200, left 285 for $8,955. Figures and chapter from memory; their sum is checked here: $16,155 came in.
    """
    july = [date(2018, 7, on) for on in (1, 5, 10, 15, 25)]
    rows = ((july[0], 150, 21), (july[2], 225, 27), (july[4], 210, 33))
    bought = [Bought(on, units * UNIT, 100 * units * dollars) for on, units, dollars in rows]
    sold = [Out(1, 1, july[1], 120 * UNIT), Out(2, 2, july[3], 180 * UNIT)]
    told = work_out(bought, sold, (), no_list)
    assert told.costs == {1: 120 * 2100, 2: 30 * 2100 + 150 * 2700}
    assert sum(told.costs.values()) == 720_000
    assert (told.amount, told.pence) == (285 * UNIT, 895_500)
    assert 720_000 + 895_500 == 1_615_500 == sum(one.pence for one in bought)


def test_what_remains_was_bought_most_recently() -> None:
    """IAS 2, Inventories, in our words and from memory: by paragraph 25 the cost is found by first in, first out or by
    a weighted average, with one formula for all of like nature and use; by 27 first in, first out takes what was
    bought first, so that what remains at the end is what was bought most recently.
    """
    bought = [Bought(date(2026, 3, on), 10 * UNIT, 100 * on) for on in range(1, 8)]
    for taken in range(71):
        told = work_out(bought, [Out(1, 1, date(2026, 3, 31), taken * UNIT)] if taken else [], (), no_list)
        left = [lot for lot in told.lots if lot.left]
        assert left == list(told.lots[len(told.lots) - len(left) :])
        assert all(lot.left == lot.amount for lot in left[1:])
