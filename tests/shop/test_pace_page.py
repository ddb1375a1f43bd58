"""The page of pace: hours by trade, wheels a week, and what eats the day."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from jobs.models import LibraryMakeUp, Lot, Operation, Order
from jobs.models.operations import Trade
from shop.models import Hand, Shop
from shop.pace_page import Asked, PacePage, usual_hands
from tests.factories import makeup
from tests.shop.test_order_iron import words_of
from timing.pace import Week
from timing.usual import the_usual, work_out

WEEK = Week(hours=8, days=5)


@pytest.fixture
def row(shop: Shop) -> LibraryMakeUp:
    row = LibraryMakeUp.from_makeup(makeup(), name="Wagonette hind")
    row.save()
    return row


def page_of(row: LibraryMakeUp, wheels: int, **hands: float) -> PacePage:
    asked = Asked(wheels=wheels, week=WEEK, hands=hands)
    lot = Lot.from_makeup(row.makeup, work="new")
    return PacePage(lot, asked, the_usual(), list(Operation.objects.in_use()), Shop().words)


def test_the_hours_are_those_of_the_hands_and_add_up(row: LibraryMakeUp) -> None:
    page = page_of(row, 4, bench=3, smith=0.2)
    assert sum(one.percent for one in page.rows) == pytest.approx(100)
    assert [one.percent for one in page.rows] == sorted((one.percent for one in page.rows), reverse=True)
    # By book time 4 × 14 mortises of 9 minutes; three hands shrink a tyre on, so its minutes count three times.
    chop, shrink = (
        next(one for one in page.rows if one.operation.key == key) for key in ("chop-mortise", "shrink-tyre")
    )
    assert (chop.pieces, shrink.operation.hands) == ("56 spokes", 3)
    hours, each = float(shrink.hours.removesuffix(" h")), float(shrink.each)
    assert hours * 60 == pytest.approx(4 * 3 * each, rel=0.06)
    # Longer runs go quicker, and a fire serves four.
    alone = page_of(row, 1, bench=3, smith=0.2)
    assert 2.5 < page.whole.quantile(0.5) / alone.whole.quantile(0.5) < 4


def test_the_slowest_trade_holds_the_pace_and_the_rule_shows_how_far_it_is(row: LibraryMakeUp) -> None:
    page = page_of(row, 4, bench=3, smith=0.2)
    trades = {one.trade: one for one in page.trades}
    assert set(trades) == {Trade.BENCH, Trade.SMITH, Trade.PAINTER}
    slow = page.slowest
    assert slow is not None
    assert slow.pace is not None
    assert slow.pace[1] == min(one.pace[1] for one in trades.values() if one.pace)
    assert slow.pace[0] < slow.pace[1] < slow.pace[2]
    assert trades[Trade.PAINTER].pace is None
    assert page.rule is not None
    assert page.rule.band == (slow.pace[0], slow.pace[2])
    assert "A wheel a day is 5 a week" in page.against_a_day
    twice = page_of(row, 4, bench=6, smith=0.4).slowest
    assert twice is not None
    assert twice.pace is not None
    assert twice.pace[1] == pytest.approx(2 * slow.pace[1])
    nobody = page_of(row, 4)
    assert (nobody.rule, nobody.against_a_day) == (None, "")
    assert nobody.sentence == "Say how many hands there are, and the pace follows."


def test_the_page_asks_plainly_and_begins_with_the_shops_own_hands(
    owner: Client, row: LibraryMakeUp, osk: Hand, bram: Hand, tamsin: Hand, order: Order
) -> None:
    Shop.objects.update(smith_days=[3])
    # Wren and Osk at the bench, who only keeps the desk is none of them; a smith of one day in five.
    assert usual_hands(Shop.objects.get()) == {"bench": 2, "smith": 0.2, "painter": 0}
    url = reverse("shop:makeup-pace", args=[row.pk])
    assert url in owner.get(reverse("shop:makeup", args=[row.pk])).content.decode()
    page = words_of(owner.get(url).content.decode())
    assert re.search(r"About [\d.]+ wheels a week \([\d.]+ to [\d.]+\), held by the \w+, with [\d.]+ hands\.", page)
    assert "Painting" in page
    assert "no hands: goes out" in page
    assert "Hours of 12 wheels" in words_of(owner.get(url, {"wheels": "12", "painter": "1"}).content.decode())
    for asked, said in (
        ({"wheels": "many"}, "Wheels: Write a whole number, like 12."),
        ({"hours": "0"}, "Hours a day: Write 0.5 or more."),
        ({"bench": "-1"}, "Hands at the bench: Write 0 or more."),
    ):
        wrong = owner.get(url, asked)
        assert wrong.status_code == 422
        assert said in words_of(wrong.content.decode())
    assert "Hours of 4 wheels" in words_of(owner.get(url, {"wheels": "  "}).content.decode())
    lot = order.lots.get()
    page = words_of(owner.get(reverse("shop:lot-pace", args=[order.number, lot.pk])).content.decode())
    assert "Pace: hind pair, order 1" in page
    assert "Hours of 2 wheels" in page


def test_what_the_times_do_not_know_yet_is_told_and_left_out(owner: Client, row: LibraryMakeUp, order: Order) -> None:
    work_out(at=order.created_at)
    Operation.objects.filter(key="chop-mortise").update(key="chop-by-machine")
    page = words_of(owner.get(reverse("shop:makeup-pace", args=[row.pk])).content.decode())
    assert "Added since the times were worked out, and not in these hours: Chop mortise ." in page.replace("e.", "e .")
    Operation.objects.update(retired_at=order.created_at)
    page = words_of(owner.get(reverse("shop:makeup-pace", args=[row.pk])).content.decode())
    assert "No operation in use belongs to such wheels." in page
