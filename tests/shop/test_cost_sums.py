"""What must hold of the sums of cost, whatever the facts."""

from datetime import date
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from shop.cost_sums import (
    NO_MONEY,
    Carry,
    Gap,
    Money,
    TaskCost,
    Worked,
    carried_into,
    carry,
    join_gaps,
    own_costs,
    spoiled_share,
)
from shop.rates import RateBook

DAY, NEXT = date(2026, 3, 2), date(2026, 3, 3)
BOOK = RateBook.of([(("cost", 1), DAY, 2_400_000), (("cost", 2), NEXT, 3_600_000), (("overhead", None), DAY, 600_000)])

task_ids = st.integers(1, 4)
worked_rows = st.builds(Worked, task_ids, st.integers(1, 3), st.sampled_from([DAY, NEXT]), st.integers(0, 90_000))


@st.composite
def moves(draw: st.DrawFn) -> list[Carry]:
    """Moves between four tasks, some of them taken back."""
    rows: list[Carry] = []
    for move_id in range(1, draw(st.integers(0, 8)) + 1):
        source, target = draw(st.permutations([1, 2, 3, 4]))[:2]
        pieces = draw(st.integers(1, 9))
        rows.append(Carry(move_id, source, target, pieces * draw(st.integers(1, 2)), pieces))
    taken = draw(st.lists(st.sampled_from(rows), unique=True)) if rows else []
    for extra, row in enumerate(taken, start=1):
        rows.append(Carry(100 + extra, *row[1:3], -row.units_from, -row.units_to, row.move_id))
    return rows


def total(costs: dict[int, TaskCost]) -> Fraction:
    return sum((one.own.total for one in costs.values()), Fraction(0))


@given(st.lists(worked_rows))
def test_what_was_undone_leaves_the_cost_as_if_it_never_was(rows: list[Worked]) -> None:
    undone = [row._replace(seconds=-row.seconds, earned=row.earned and -row.earned) for row in rows]
    extra = [*rows, *rows, *undone]
    again, once = own_costs(extra, BOOK), own_costs(rows, BOOK)
    assert {task: one.own for task, one in again.items()} == {task: one.own for task, one in once.items()}


@given(st.lists(worked_rows), moves())
def test_moves_change_where_the_cost_is_and_not_how_much(rows: list[Worked], carries: list[Carry]) -> None:
    own = own_costs(rows, BOOK)
    into = carried_into(carries, carry(own, {1: 5, 2: 1}, carries))
    assert sum((money.total for money in into.values()), Fraction(0)) == 0


@given(moves())
def test_all_moves_taken_back_carry_nothing(carries: list[Carry]) -> None:
    own = own_costs([Worked(1, 1, DAY, 3600)], BOOK)
    firsts = [row for row in carries if row.takes_back is None]
    back = [Carry(500 + row.move_id, *row[1:3], -row.units_from, -row.units_to, row.move_id) for row in firsts]
    into = carried_into([*firsts, *back], carry(own, {1: 5}, [*firsts, *back]))
    assert all(money == NO_MONEY for money in into.values())


def test_no_more_is_carried_than_was_spent() -> None:
    # Six are moved where the facts say four (two were undone later): all of the cost goes, and no more.
    own = own_costs([Worked(1, 1, DAY, 3600)], BOOK)
    assert carry(own, {1: 4}, [Carry(1, 1, 2, 6, 6)]) == {1: Money(Fraction(2400), Fraction(600))}


def test_a_day_before_the_first_rate_is_a_gap() -> None:
    cost = own_costs([Worked(1, 2, DAY, 100), Worked(1, 2, NEXT, 3600)], BOOK)[1]
    assert cost.own.labour == 3600
    assert cost.gaps == (Gap(2, DAY, DAY, 100),)


def test_gaps_of_one_person_are_told_once() -> None:
    assert join_gaps([Gap(1, NEXT, NEXT, 5), Gap(1, DAY, DAY, 2), Gap(None, DAY, DAY, 1)]) == (
        Gap(1, DAY, NEXT, 7),
        Gap(None, DAY, DAY, 1),
    )


@given(*[st.integers(-3, 60)] * 3, st.integers(1, 14), st.integers(0, 9))
def test_the_spoiled_share_is_a_share(made: int, spoiled: int, lost: int, units: int, later: int) -> None:
    share = spoiled_share(made=made, spoiled=spoiled, lost=lost, units=units, spoiled_later=later)
    assert 0 <= share <= 1


def test_a_hub_that_splits_takes_its_mortises_with_it() -> None:
    # Nine mortises of fourteen were chopped: all nine are waste, though the hub would have had fourteen.
    assert spoiled_share(made=9, spoiled=0, lost=0, units=14, spoiled_later=1) == 1
    # The same where all nine had been written down before it split.
    assert spoiled_share(made=9, spoiled=1, lost=9, units=14, spoiled_later=0) == 1
    # Of twenty shaved twelve are of no more use: three fifths, for they were shaved once. Cut again it is no other.
    assert spoiled_share(made=20, spoiled=12, lost=12, units=1, spoiled_later=0) == Fraction(3, 5)
    assert spoiled_share(made=20, spoiled=0, lost=12, units=1, spoiled_later=0, set_back=12) == Fraction(3, 5)
    # One spoke of twenty-nine worked is spoiled while it is shaved.
    assert spoiled_share(made=28, spoiled=1, lost=0, units=1, spoiled_later=0) == Fraction(1, 29)
