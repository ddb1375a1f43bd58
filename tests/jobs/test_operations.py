"""The shop's list of operations: added, changed, retired, and never waiting in a circle."""

import pytest

from jobs.models import Operation, Order, Task, Wait
from jobs.operations import (
    OperationRefused,
    add_operation,
    drop_wait,
    edit_operation,
    restore_operation,
    retire_operation,
    set_wait,
    way_between,
    with_marks,
)
from jobs.words import in_words
from shop.models import Shop
from tests.conftest import operation
from tests.factories import NOW, take_pair

NAVES = {
    "hub": "nave", "hubs": "naves", "felloe": "felly", "felloes": "fellies", "tyre": "tire", "tyres": "tires",
}  # fmt: skip
SCRAPE = {"name": "Scrape spoke", "done_word": "scraped", "part": "spoke", "per": "spoke", "for_lot": True}


def keys() -> list[str]:
    return list(Operation.objects.values_list("key", flat=True))


def tasks_of(order: Order) -> set[str]:
    return set(Task.objects.filter(lot__order=order).values_list("operation__key", flat=True))


def test_an_added_operation_stands_after_its_neighbour_and_in_new_orders(order: Order) -> None:
    added = add_operation(after=operation("shave-spoke"), works=["new"], book_seconds=240, **SCRAPE)
    before = keys()
    assert before[before.index("shave-spoke") + 1] == added.key == "scrape-spoke"
    assert "scrape-spoke" not in tasks_of(order)
    later = take_pair()
    assert Task.objects.get(lot__order=later, operation=added).wanted == 28


def test_the_rest_of_the_list_keeps_its_order(shop: Shop) -> None:
    before = keys()
    first = add_operation(after=None, **SCRAPE)
    retire_operation(first, at=NOW)
    again = add_operation(after=operation(before[-1]), **SCRAPE)
    assert keys() == [first.key, *before, again.key]
    assert again.key == "scrape-spoke-2"
    edit_operation(first, after=again)
    assert keys() == [*before, again.key, first.key]
    positions = list(Operation.objects.values_list("position", flat=True))
    assert len(set(positions)) == len(positions)


def test_a_name_in_use_is_refused(shop: Shop) -> None:
    add_operation(after=None, **SCRAPE)
    before = keys()
    with pytest.raises(OperationRefused, match="There is “SCRAPE SPOKE” already"):
        add_operation(after=None, **SCRAPE | {"name": "SCRAPE SPOKE"})
    assert keys() == before


def test_what_is_counted_is_fixed_once_there_is_work(order: Order) -> None:
    shave = operation("shave-spoke")
    neighbour = operation("cut-foot")
    with pytest.raises(OperationRefused, match="what is counted can't change"):
        edit_operation(shave, after=neighbour, name="Shave", per="wheel")
    assert (operation("shave-spoke").per, operation("shave-spoke").name) == ("spoke", "Shave spoke")
    edit_operation(shave, after=neighbour, name="Shave all over", per="spoke", book_seconds=600)
    assert (operation("shave-spoke").name, operation("shave-spoke").book_seconds) == ("Shave all over", 600)


def test_a_retired_operation_keeps_its_work_and_is_not_in_new_orders(order: Order) -> None:
    shave = operation("shave-spoke")
    retire_operation(shave, at=NOW)
    assert "shave-spoke" in tasks_of(order)
    assert "shave-spoke" not in tasks_of(take_pair())
    restore_operation(shave)
    assert "shave-spoke" in tasks_of(take_pair())


def test_a_wait_is_kept_once_and_may_be_changed(shop: Shop) -> None:
    turn, mend = operation("turn-hub"), add_operation(after=None, **SCRAPE)
    set_wait(mend, turn, how="wheel", standing_minutes=0)
    set_wait(mend, turn, how="lot", standing_minutes=90)
    wait = Wait.objects.get(operation=mend)
    assert (wait.on_operation, wait.how, wait.standing_minutes) == (turn, "lot", 90)
    drop_wait(wait)
    assert not mend.waits.exists()


def test_a_circle_is_refused_and_named(shop: Shop) -> None:
    before = Wait.objects.count()
    with pytest.raises(OperationRefused) as refused:
        set_wait(operation("turn-hub"), operation("chop-mortise"), how="wheel", standing_minutes=0)
    sentence = in_words(str(refused.value), NAVES)
    assert sentence == (
        "They would wait in a circle: “Turn nave” waits on “Chop mortise”, which waits on “Strike out nave, stagger”, "
        "which waits on “Turn nave”. Take one of these waits off first."
    )
    assert Wait.objects.count() == before


def test_an_operation_can_not_wait_on_itself(shop: Shop) -> None:
    with pytest.raises(OperationRefused, match="can't wait on itself"):
        set_wait(operation("turn-hub"), operation("turn-hub"), how="wheel", standing_minutes=0)


def test_the_starting_list_waits_in_no_circle(shop: Shop) -> None:
    waits: dict[int, list[int]] = {}
    for one, other in Wait.objects.values_list("operation_id", "on_operation_id"):
        waits.setdefault(one, []).append(other)
    assert waits
    for one, others in waits.items():
        assert not any(way_between(other, one, waits) for other in others)


@pytest.mark.parametrize(("end", "way"), [(1, [1]), (2, [1, 2]), (4, [1, 3, 4]), (5, [1, 3, 4, 5]), (9, [])])
def test_the_way_between_is_the_shortest(end: int, way: list[int]) -> None:
    assert way_between(1, end, {1: [2, 3], 2: [1, 3], 3: [4, 1], 4: [5], 5: [3]}) == way


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Turn nave", "Turn {hub}"),
        ("Saw fellies, bore felly", "Saw {felloes}, bore {felloe}"),
        ("Entire tires", "Entire {tyres}"),
        ("Chop mortise", "Chop mortise"),
    ],
)
def test_names_are_kept_apart_from_the_shops_words(typed: str, kept: str) -> None:
    assert with_marks(typed, NAVES) == kept
    assert in_words(kept, NAVES) == typed
