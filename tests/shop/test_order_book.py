"""The order book: what stands first, what is found, how closed orders are paged."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from jobs.models import Hold, Order, Trip
from jobs.orders import place_hold, set_state
from shop.models import Hand
from shop.order_book import A_PAGE, closed_orders, open_orders
from tests.factories import NOW, fact, take_pair, task
from timing.record import record

URL = reverse("shop:order-book")
CLOSED = reverse("shop:orders-closed")


@pytest.fixture
def desk(client: Client, tamsin: Hand) -> Client:
    client.force_login(tamsin.user)
    return client


def rows(client: Client, **query: str) -> list[int]:
    return [row.order.number for row in client.get(URL, query).context["rows"]]


def test_it_works(desk: Client, order: Order) -> None:
    page = desk.get(URL).content.decode()
    assert reverse("shop:order", args=[order.number]) in page
    for said in ("Corbel Hall stables", "Friday 20 March", "nothing done yet", "Its turn at the bench"):
        assert said in page
    assert page.count('class="w-wheel w-small"') == 2


def test_an_empty_book_offers_to_take_an_order(desk: Client) -> None:
    page = desk.get(URL).content.decode()
    assert "No orders yet." in page
    assert reverse("shop:order-new") in page


def test_an_empty_book_leads_its_owner_to_what_comes_first(client: Client, desk: Client, wren: Hand) -> None:
    first = [reverse(f"shop:{name}") for name in ("hands", "devices", "rates", "settings-shop")]
    assert not any(f'href="{url}"' in desk.get(URL).content.decode() for url in first)
    client.force_login(wren.user)
    page = client.get(URL).content.decode()
    assert all(f'href="{url}"' in page for url in first)


def test_most_urgent_first_and_without_a_day_last(desk: Client) -> None:
    for number, due in ((1, None), (2, date(2026, 5, 1)), (3, date(2026, 3, 1)), (4, None), (5, date(2026, 3, 1))):
        take_pair(number=number, due_on=due)
    assert rows(desk) == [3, 5, 2, 1, 4]


def test_late_is_said_in_words(desk: Client) -> None:
    take_pair(due_on=timezone.now().date() - timedelta(days=3))
    assert "3 days late" in desk.get(URL).content.decode()


def test_ready_is_not_late(desk: Client) -> None:
    take_pair(due_on=timezone.now().date() - timedelta(days=3), state=Order.State.READY)
    page = desk.get(URL).content.decode()
    assert "days late" not in page
    assert "Nothing: to be fetched" in page


@pytest.mark.parametrize("asked", ["wagonette", "CORBEL", "corbel wagonette"])
def test_found_by_carriage_and_customer(desk: Client, asked: str) -> None:
    take_pair(number=7)
    take_pair(number=8, carriage="Gig", customer="Hob Larkin")
    assert rows(desk, q=asked) == [7]


def test_a_number_goes_straight_to_its_order(desk: Client) -> None:
    take_pair(number=212)
    assert desk.get(URL, {"q": "212"}).headers["Location"] == reverse("shop:order", args=[212])
    assert desk.get(URL, {"q": "999"}).status_code == 200
    assert desk.get(URL, {"q": "9" * 40}).status_code == 200


def test_what_it_waits_for_is_said(desk: Client, order: Order, osk: Hand) -> None:
    place_hold(order, kind=Hold.Kind.TIMBER, what="elm for 2 hubs", at=NOW, expected_on=date(2026, 3, 9))
    band = task(order, "make-band")
    Trip.objects.create(task=band, pieces=4, to_whom="Bram", sent_at=NOW, token="0" * 32)
    page = desk.get(URL).content.decode()
    assert "Elm for 2 hubs, was expected 9 March; 4 with Bram: make band" in page


def test_work_done_is_counted(desk: Client, order: Order, osk: Hand) -> None:
    before = desk.get(URL).context["rows"][0].left
    record(fact(task(order, "rough-spoke"), osk, made=28), now=NOW)
    row = desk.get(URL).context["rows"][0]
    assert row.left != before
    assert (row.share, row.waits_for) == ("just begun", "Its next turn at the bench")


def test_queries_do_not_grow(desk: Client, django_assert_max_num_queries: DjangoAssertNumQueries) -> None:
    for _ in range(2):
        take_pair()
    with django_assert_max_num_queries(16) as few:
        desk.get(URL)
    for _ in range(10):
        take_pair()
    with django_assert_max_num_queries(len(few)):
        desk.get(URL)


def test_open_orders_are_paged_by_key_without_a_gap(shop: object) -> None:
    for number in range(1, A_PAGE + 6):
        due = None if number % 3 == 0 else date(2026, 3, 1) + timedelta(days=number % 4)
        take_pair(number=number, due_on=due, rows=[])
    first, key = open_orders("")
    second, end = open_orders("", after=key)
    assert len(first) == A_PAGE
    assert end == ""
    assert sorted(order.number for order in first + second) == list(range(1, A_PAGE + 6))
    assert not any(order.due_on for order in second)


@pytest.mark.parametrize("key", ["nonsense", "2026-99-99.4", ".", "2026-03-20.x"])
def test_a_key_that_cannot_be_read_is_no_error(desk: Client, order: Order, key: str) -> None:
    assert desk.get(URL, {"after": key}).status_code == 200


def close(number: int, carriage: str = "Gig") -> None:
    set_state(take_pair(number=number, carriage=carriage, rows=[]), Order.State.PAID, on=NOW.date())


def test_closed_orders_are_paged_both_ways(shop: object) -> None:
    for number in range(1, 2 * A_PAGE + 6):
        close(number)
    newest = closed_orders("")
    assert [newest.rows[0].order.number, newest.rows[-1].order.number] == [85, 46]
    older = closed_orders("", before=newest.older_than)
    oldest = closed_orders("", before=older.older_than)
    assert ([row.order.number for row in oldest.rows], oldest.older_than) == ([5, 4, 3, 2, 1], 0)
    back = closed_orders("", after=oldest.newer_than)
    assert [row.order.number for row in back.rows] == [row.order.number for row in older.rows]


def test_closed_orders_have_a_page_of_their_own(desk: Client, order: Order) -> None:
    close(212, "Phaeton")
    assert rows(desk) == [order.number]
    page = desk.get(CLOSED).content.decode()
    assert "Phaeton" in page
    assert "Paid, 2 March 2026" in page
    found = desk.get(URL, {"q": "phaeton"}).content.decode()
    assert "Among closed orders there are some too" in found


def test_a_book_of_closed_orders_says_how_many_and_leads_to_them(desk: Client) -> None:
    close(212)
    page = desk.get(URL).content.decode()
    assert f'No order in hand; <a href="{CLOSED}">1 is closed</a>.' in page
    close(213)
    page = desk.get(URL).content.decode()
    assert f'No order in hand; <a href="{CLOSED}">2 are closed</a>.' in page
    assert "No orders yet" not in page


@pytest.mark.parametrize("url", [URL, CLOSED])
@pytest.mark.parametrize("asked", ["wag\0onette", "\0", "gig" * 5000])
def test_what_no_name_holds_is_looked_for_all_the_same(desk: Client, order: Order, url: str, asked: str) -> None:
    answer = desk.get(url, {"q": asked})
    assert answer.status_code == 200
    assert "\0" not in answer.content.decode()
    if len(asked) > 100:
        assert "order has all of these words" in answer.content.decode()


def test_a_nul_parts_words(desk: Client, order: Order) -> None:
    assert rows(desk, q="wagon\0corbel") == [order.number]


def test_a_hand_may_look_and_take_none(client: Client, osk: Hand, order: Order) -> None:
    client.force_login(osk.user)
    page = client.get(URL).content.decode()
    assert "Wagonette" in page
    assert reverse("shop:order-new") not in page
