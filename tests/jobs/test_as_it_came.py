"""What came in with an old wheel is told apart from what the shop made."""

import pytest

from jobs.drawing.words import begun_in_words, counts_in_words
from jobs.found import Found, list_found
from jobs.makeup.problems import PLAIN_WORDS
from jobs.models import Lot, Wheel
from jobs.models.operations import Work
from jobs.orders import WheelRow
from jobs.work import load_work
from shop.models import Hand, Shop
from tests.conftest import operation
from tests.factories import NOW, fact, makeup, take_pair, task
from timing.record import record


@pytest.fixture
def lot(shop: Shop) -> Lot:
    row = WheelRow(makeup(spokes=16, felloes=8), "old pair", ["near", "off"], work=Work.NEW_FELLOES)
    return take_pair(rows=[row]).lots.get()


def said(lot: Lot, number: int = 1) -> tuple[str, str]:
    """The whole line of a wheel, and its caption."""
    work = load_work([lot.order], now=NOW)
    wheel = next(one for one in work.wheels(lot) if one.number == number)
    progress = work.progress(wheel, lot)
    return counts_in_words(lot.makeup, progress, words=PLAIN_WORDS), begun_in_words(
        lot.makeup, progress, words=PLAIN_WORDS
    )


def find(lot: Lot, **wanted: int) -> Wheel:
    wheel = lot.wheels.select_related("lot__order").get(number=1)
    list_found(Found(wheel, {operation(key.replace("_", "-")): n for key, n in wanted.items()}, "rot"), seen=0, at=NOW)
    return wheel


def test_a_wheel_just_taken_in_is_as_it_came_in(lot: Lot) -> None:
    assert said(lot) == ("as it came in", "as it came in")


def test_new_pieces_are_counted_apart_from_old(lot: Lot, osk: Hand) -> None:
    wheel = find(lot, saw_felloe=2, offer_up_felloe=2)
    line, caption = said(lot)
    assert line == (
        "hub as it came in, bands as they came in, spokes as they came in, 0 of 2 new felloes on, "
        "6 as they came in, tyre as it came in, box as it came in, finish as it came in"
    )
    assert caption == "not begun"
    record(fact(task(lot.order, "offer-up-felloe", wheel), osk), now=NOW)
    line, caption = said(lot)
    assert "1 of 2 new felloes on, 6 as they came in" in line
    assert caption == "1 of 2 new felloes on, 6 as they came in"
    assert said(lot, number=2) == ("as it came in", "as it came in")


def test_a_tyre_that_is_worked_on_is_told_as_it_stands(lot: Lot) -> None:
    find(lot, cut_and_weld=1, shrink_tyre=1)
    line, _ = said(lot)
    assert "tyre not begun" in line
    assert "spokes as they came in" in line


def test_work_on_old_pieces_is_not_as_they_came(lot: Lot) -> None:
    find(lot, make_good_tongue=16, tighten_rim=1)
    line, _ = said(lot)
    assert "spokes as they came" not in line
    assert "felloes as they came" not in line


def test_a_new_wheel_has_nothing_that_came_in(shop: Shop) -> None:
    assert "came" not in said(take_pair().lots.get())[0]
