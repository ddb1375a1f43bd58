"""Sessions: when they end, by kind, what an ended one is told, and that most requests write nothing."""

from datetime import timedelta

import pytest
from django.contrib.sessions.models import Session
from django.core.exceptions import ImproperlyConfigured
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Order
from shop.environment import env_hours
from shop.models import Hand
from shop.people import set_left, set_password
from tests import factories
from tests.shop.benching import FRAGMENT, Bench, Wall, text_of
from timing.models import Stretch

ORDERS = reverse("shop:order-book")
GATE = "a long wooden gate"
JOBS = reverse("shop:bench-jobs")


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def desk(wall: Wall, tamsin: Hand) -> Client:
    client = Client()
    client.force_login(tamsin.user)
    return client


def ends_in_minutes(wall: Wall) -> float:
    return (Session.objects.get().expire_date - wall.now) / timedelta(minutes=1)


def test_at_the_desk_it_ends_when_nothing_is_asked_for_four_hours(desk: Client, wall: Wall) -> None:
    wall.on(hours=3, minutes=59)
    assert desk.get(ORDERS).status_code == 200
    wall.on(hours=3, minutes=59)
    assert desk.get(ORDERS).status_code == 200
    wall.on(hours=4)
    answer = desk.get(ORDERS)
    assert (answer.status_code, answer["Location"]) == (302, f"/sign-in/?next={ORDERS}")
    assert "You were signed out, as happens after some hours" in text_of(desk.get(answer["Location"]))  # type: ignore[arg-type]


@pytest.mark.parametrize("page", [ORDERS, reverse("shop:bench-kept")])
def test_what_a_page_asks_by_itself_keeps_nobody_signed_in(desk: Client, wall: Wall, page: str) -> None:
    for _ in range(3):
        wall.on(hours=1)
        assert desk.get(page, headers={"X-By-Itself": "1"}).status_code == 200
    wall.on(hours=1)
    assert desk.get(page, headers={"X-By-Itself": "1"}).status_code == 302


def test_at_the_desk_it_ends_after_twelve_hours_whatever_is_asked(desk: Client, wall: Wall) -> None:
    for _ in range(11):
        wall.on(hours=1)
        assert desk.get(ORDERS).status_code == 200
    wall.on(minutes=59)
    assert desk.get(ORDERS).status_code == 200
    wall.on(minutes=1)
    assert desk.get(ORDERS).status_code == 302


def test_at_the_bench_it_stands_ten_hours_and_ends_after_sixteen(osk: Hand, wall: Wall) -> None:
    bench = Bench(osk).come_in()
    wall.on(hours=9, minutes=59)
    assert bench.client.get(JOBS).status_code == 200
    wall.on(hours=6)
    assert bench.client.get(JOBS).status_code == 200
    wall.on(minutes=1)
    answer = bench.client.get(JOBS)
    assert (answer.status_code, answer["Location"]) == (302, reverse("shop:bench"))
    assert "You were signed out" in text_of(bench.client.get(reverse("shop:bench")))  # type: ignore[arg-type]
    bench.come_in()
    assert bench.client.get(JOBS).status_code == 200


def test_a_tap_after_the_end_is_sent_to_the_names_and_taken_after_coming_in(
    order: Order, osk: Hand, wall: Wall
) -> None:
    bench = Bench(osk).come_in()
    task = factories.task(order, "rough-spoke")
    bench.start(task)
    told = bench.fact(task)
    wall.on(hours=11)
    answer = bench.send(told)
    assert (answer.headers["HX-Redirect"], Stretch.objects.count()) == (reverse("shop:bench"), 0)
    bench.come_in()
    assert bench.send(told | {"sent_at": wall.now.isoformat()}).status_code == 200
    assert Stretch.objects.count() == 1


def test_a_fragment_after_the_end_leads_back_to_its_page(desk: Client, wall: Wall) -> None:
    wall.on(hours=5)
    answer = desk.get(reverse("shop:hands"), headers=FRAGMENT | {"HX-Current-URL": "http://testserver/orders/?find=a"})
    assert answer["HX-Redirect"] == "/sign-in/?next=/orders/%3Ffind%3Da"


def test_a_form_sent_after_the_end_leads_back_to_its_page(desk: Client, wall: Wall) -> None:
    wall.on(hours=5)
    answer = desk.post("/orders/7/state/", headers={"Referer": "http://testserver/orders/7/"})
    assert answer["Location"] == "/sign-in/?next=/orders/7/"
    assert desk.post("/orders/7/state/")["Location"] == "/sign-in/?next=/"


def test_the_row_is_moved_on_now_and_then_and_nothing_else_in_it(desk: Client, wall: Wall) -> None:
    before = Session.objects.get()
    wall.on(minutes=11)
    with CaptureQueriesContext(connection) as asked:
        desk.get(ORDERS)
    assert [one["sql"] for one in asked if not one["sql"].startswith("SELECT")] == []
    assert ends_in_minutes(wall) == 229
    wall.on(minutes=1)
    desk.get(ORDERS)
    assert ends_in_minutes(wall) == 240
    assert Session.objects.get().session_data == before.session_data


def sign_in(client: Client, hand: Hand) -> str:
    """Sign in at the desk; the session's key."""
    client.post("/sign-in/", {"name": hand.name, "password": GATE})
    return client.cookies["sessionid"].value


def test_the_cookie_lasts_as_long_as_its_session_may(tamsin: Hand, osk: Hand, wall: Wall) -> None:
    set_password(tamsin, GATE)
    desk = Client()
    sign_in(desk, tamsin)
    assert desk.cookies["sessionid"]["max-age"] == 12 * 3600
    assert Bench(osk).come_in().client.cookies["sessionid"]["max-age"] == 16 * 3600


def test_one_that_says_not_when_it_began_has_ended(desk: Client) -> None:
    session = desk.session
    del session["began_at"]
    session.save()
    assert desk.get(ORDERS).status_code == 302


def test_shorter_settings_hold_for_sessions_that_stand(desk: Client, wall: Wall, settings: object) -> None:
    settings.SESSION_ENDS = {"desk": (timedelta(hours=1), timedelta(hours=2))}  # type: ignore[attr-defined]
    wall.on(minutes=10)
    assert desk.get(ORDERS).status_code == 200
    assert ends_in_minutes(wall) == 60
    wall.on(minutes=59)
    desk.get(ORDERS)
    wall.on(minutes=51)
    assert desk.get(ORDERS).status_code == 302


def test_those_that_have_ended_are_cleared_at_a_sign_in(desk: Client, wall: Wall, osk: Hand) -> None:
    wall.on(hours=13)
    Bench(osk).come_in()
    assert Session.objects.get().expire_date == wall.now + timedelta(hours=10)


def old_cookie_opens(old: str) -> bool:
    thief = Client()
    thief.cookies["sessionid"] = old
    return thief.get(ORDERS).status_code == 200


def test_the_old_cookie_is_refused_after_signing_out_and_signing_in_anew(tamsin: Hand, wall: Wall) -> None:
    set_password(tamsin, GATE)
    desk = Client()
    first, second = sign_in(desk, tamsin), sign_in(desk, tamsin)
    assert (first != second, old_cookie_opens(first), old_cookie_opens(second)) == (True, False, True)
    desk.post("/sign-out/")
    assert not old_cookie_opens(second)


def test_signing_in_again_begins_the_hours_anew(tamsin: Hand, wall: Wall) -> None:
    set_password(tamsin, GATE)
    desk = Client()
    sign_in(desk, tamsin)
    wall.on(hours=3)
    sign_in(desk, tamsin)
    assert desk.session["began_at"] == wall.now.timestamp()


def test_the_old_cookie_is_refused_to_one_that_left_or_has_a_new_password(desk: Client, tamsin: Hand) -> None:
    cookie = desk.cookies["sessionid"].value
    set_left(tamsin, factories.NOW.date())
    assert not old_cookie_opens(cookie)
    set_left(tamsin, None)
    assert old_cookie_opens(cookie)
    set_password(tamsin, GATE)
    assert not old_cookie_opens(cookie)


@pytest.mark.parametrize(("value", "hours"), [("2/9", (2, 9)), ("24/720", (24, 720)), ("", (4, 12))])
def test_the_ends_are_hours(monkeypatch: pytest.MonkeyPatch, value: str, hours: tuple[int, int]) -> None:
    monkeypatch.setenv("SHOP_TRIAL", value)
    assert env_hours("SHOP_TRIAL", default=(4, 12)) == tuple(timedelta(hours=one) for one in hours)


@pytest.mark.parametrize("value", ["4", "9/2", "0/4", "-1/4", "4/721", "4 / 12", "a/b", "4/12h", "٤/12"])
def test_other_ends_stop_the_program(monkeypatch: pytest.MonkeyPatch, value: str) -> None:
    monkeypatch.setenv("SHOP_TRIAL", value)
    with pytest.raises(ImproperlyConfigured, match="SHOP_TRIAL must be two numbers of hours such as 4/12"):
        env_hours("SHOP_TRIAL", default=(4, 12))
