"""Overhead by a rate set beforehand, and spoiled work, against published sums.

Textbook exercises of cost accounting (as in R. H. Garrison, E. W. Noreen and P. C. Brewer, Managerial Accounting; the
inputs were read in an exercise, the answers worked out anew): overhead of 492 000 budgeted over 41 000 hours is 12.00
an hour; 40 700 hours absorb 488 400; where 460 700 was spent, 27 700 is over-absorbed. A job of 800 of material, 1 200
of labour and 100 hours, where 500 000 are budgeted over 25 000 hours, costs 4 000 (solutions page of the same kind of
exercise).
"""

from datetime import date
from fractions import Fraction

import pytest

from shop.absorption import Absorbed, equivalent_units, part_spoiled, rate_an_hour
from shop.cost_sums import Worked, own_costs

DAY = date(2026, 3, 2)


class Flat:
    """The same rates every day, in millipence."""

    def __init__(self, cost: int, overhead: int) -> None:
        self._cost, self._overhead = cost, overhead

    def cost(self, hand_id: int, on: date) -> int:
        return self._cost

    def overhead(self, on: date) -> int:
        return self._overhead


def cents(amount: int) -> int:
    return amount * 100


def test_a_rate_set_beforehand_absorbs_by_the_hour() -> None:
    rate = rate_an_hour(cents(492_000), 41_000)
    assert rate == 1200
    hours = [Worked(1, 7, DAY, 40_700 * 3600)]
    absorbed = own_costs(hours, Flat(0, int(rate) * 1000))[1].own.overhead
    assert absorbed == cents(488_400)
    told = Absorbed(absorbed, cents(460_700))
    assert (told.over, told.name) == (cents(27_700), "over-absorbed")
    less = Absorbed(absorbed, cents(500_000))
    assert (less.over, less.name) == (cents(-11_600), "under-absorbed")
    assert Absorbed(absorbed, cents(488_400)).name == "neither over- nor under-absorbed"
    assert rate_an_hour(cents(492_000), 0) is None


def test_a_job_bears_material_labour_and_its_hours() -> None:
    rate = rate_an_hour(cents(500_000), 25_000)
    assert rate == 2000
    # 1 200 of labour in 100 hours is 12 an hour.
    own = own_costs([Worked(1, 7, DAY, 100 * 3600)], Flat(1_200_000, int(rate) * 1000))[1].own
    assert cents(800) + own.labour + own.overhead == cents(4_000)


# The rule is IAS 2, Inventories, paragraph 16 (a): abnormal amounts of wasted materials, labour or other production
# costs are left out of the cost of inventories (the paragraph's number from memory); the figures are our own.
@pytest.mark.parametrize(
    ("spoiled", "percent", "normal", "abnormal"),
    [(700, 5, 500, 200), (500, 5, 500, 0), (300, 5, 300, 0), (700, 0, 0, 700), (700, 100, 700, 0)],
)
def test_what_is_spoiled_beyond_what_is_normal_is_no_cost_of_the_good(
    spoiled: int, percent: int, normal: int, abnormal: int
) -> None:
    told = part_spoiled(Fraction(spoiled), Fraction(10_000), percent)
    assert (told.normal, told.abnormal) == (normal, abnormal)


# Equivalent units by the weighted average, from examination questions of cost accounting: 7 400 finished and 2 300 that
# are 60 % done; 109 000 finished and 44 000 half done.
@pytest.mark.parametrize(
    ("finished", "begun", "percent", "units"), [(7_400, 2_300, 60, 8_780), (109_000, 44_000, 50, 131_000)]
)
def test_units_part_done_count_by_their_share(finished: int, begun: int, percent: int, units: int) -> None:
    assert equivalent_units(finished, [(begun, Fraction(percent, 100))]) == units
    assert equivalent_units(finished, [(begun // 2, Fraction(percent, 100))] * 2) == units


def test_a_share_beyond_the_whole_is_refused() -> None:
    with pytest.raises(ValueError, match="from 0 to 1, not 3/2"):
        equivalent_units(0, [(1, Fraction(3, 2))])
