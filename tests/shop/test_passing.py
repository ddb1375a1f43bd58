"""Passing: what waits, one touch, what undoes it, and that nothing is passed unseen."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.test import Client

from jobs.models import Order
from shop.models import Hand, Passed, PayTerms, Rate
from shop.passing import by_day, pass_stretches
from shop.pay_facts import Made, Scheme, passed_tokens, read_made, tallies_of, waiting_to_be_passed
from tests.factories import NOW, fact, task
from tests.shop.benching import text_of
from timing.facts import Cancel, Yield
from timing.models import Stretch
from timing.record import cancel, record

TODAY = date(2026, 3, 2)


@pytest.fixture
def by_pieces(osk: Hand, order: Order) -> Order:
    """Osk is paid 62.5p for each spoke roughed out, from February on."""
    rough = task(order, "rough-spoke")
    told = {"from_on": date(2026, 2, 1), "recorded_at": NOW}
    PayTerms.objects.create(hand=osk.user, by_pieces=True, **told)
    Rate.objects.create(kind="piece", operation=rough.operation, amount_millipence=62_500, **told)
    return order


def make(order: Order, hand: Hand, made: int = 12, **changes: object) -> Stretch:
    told = fact(task(order, "rough-spoke"), hand, made=made, **changes)
    stretch = record(told, now=NOW).stretch
    assert stretch is not None
    return stretch


def spoil(order: Order, hand: Hand, reason: str) -> Stretch:
    rough = task(order, "rough-spoke")
    return make(order, hand, yields=(Yield(spoiled=1, reason=reason, task_id=rough.pk),))


def waiting() -> list[Made]:
    return waiting_to_be_passed(Scheme.load({}), most=100).rows


def paid() -> int:
    rows = read_made(tallies_of(TODAY, TODAY), Scheme.load({}), passed_tokens(TODAY, TODAY))
    return sum(one.made for one in rows if one.is_passed)


def test_a_day_waits_is_passed_in_one_touch_and_what_undoes_it_follows(
    owner: Client, osk: Hand, wren: Hand, by_pieces: Order
) -> None:
    first = make(by_pieces, osk)
    spoil(by_pieces, osk, "timber")
    make(by_pieces, wren)  # paid by the hour: nothing of hers waits
    yesterday = make(by_pieces, osk, 5, done_on=TODAY - timedelta(1))
    page = text_of(owner.get("/pay/passing/"))
    assert "17 pieces made and 1 spoiled wait to be passed." in page
    assert "1, the timber" in page
    today = by_day(waiting())[1]
    assert (today.on, today.hand, [row.made for row in today.pieces]) == (TODAY, "Osk", [12])
    make(by_pieces, osk, 7)  # told while the page was open: it is not passed unseen
    for _ in range(2):
        assert owner.post("/pay/passing/", {"stretches": today.key}).status_code == 302
    assert (Passed.objects.count(), paid()) == (2, 12)
    assert Passed.objects.get(stretch=first).passed_by == wren.user
    assert sorted(one.made for one in waiting()) == [5, 7]
    cancel(Cancel(uuid4(), first.token, osk.user_id, NOW), now=NOW)
    assert paid() == 0
    cancel(Cancel(uuid4(), yesterday.token, osk.user_id, NOW), now=NOW)
    assert [one.made for one in waiting()] == [7]


def test_only_work_that_stands_is_passed(osk: Hand, wren: Hand, by_pieces: Order) -> None:
    stretch = make(by_pieces, osk)
    contra = cancel(Cancel(uuid4(), stretch.token, osk.user_id, NOW), now=NOW).stretch
    assert contra is not None
    assert pass_stretches([contra.pk, 999_999], by=wren.user, at=NOW) == 0


def test_what_is_no_list_of_ours_is_refused(owner: Client) -> None:
    page = owner.post("/pay/passing/", {"stretches": "1.x"})
    assert (page.status_code, "open the page again" in text_of(page)) == (422, True)


def test_no_stretch_is_shown_in_part(osk: Hand, by_pieces: Order) -> None:
    first, second, _ = (make(by_pieces, osk) for _ in range(3))
    cut = waiting_to_be_passed(Scheme.load({}), most=2)
    assert ([one.stretch_id for one in cut.rows], cut.is_cut) == ([first.pk, second.pk], True)
    assert not waiting_to_be_passed(Scheme.load({}), most=3).is_cut


def test_what_is_paid_by_the_hour_hides_nothing_behind_it(osk: Hand, wren: Hand, by_pieces: Order) -> None:
    """Older work of a hand by the hour, and of Osk's own months by the hour, is more than a page holds."""
    yesterday = TODAY - timedelta(1)
    terms = [(wren, False, 9), (osk, False, 2), (osk, True, 0)]
    for hand, pieces, days in terms:
        PayTerms.objects.create(hand=hand.user, by_pieces=pieces, from_on=TODAY - timedelta(days), recorded_at=NOW)
    for hand in (wren, wren, osk, osk):
        make(by_pieces, hand, done_on=yesterday)
    last = [make(by_pieces, osk, 3), make(by_pieces, osk, 3)]
    for most, shown, is_cut in ((1, 1, True), (2, 2, False)):
        found = waiting_to_be_passed(Scheme.load({}), most=most)
        assert ([one.stretch_id for one in found.rows], found.is_cut) == ([one.pk for one in last[:shown]], is_cut)
