"""Wrong passwords: slowed for a name from one address and from all together, and nobody is kept out where they work."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.db import connection
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext

from shop.door import try_password
from shop.models import Hand, SignInTry
from shop.people import set_password
from shop.throttle import FORGOTTEN_AFTER, told_until, wait_after
from tests.factories import NOW, HandFactory
from tests.timing.test_concurrency import a_file, in_threads

__all__ = ["a_file"]  # the fixture of a database that threads can share
GATE = "a long wooden gate"
DAY = timedelta(days=1)


def tried(
    name: str, typed: str = "wrong", *, now: datetime = NOW, address: str = "192.0.2.1"
) -> tuple[bool, datetime | None]:
    """Whether that let in and, if not, the end of the wait."""
    request = RequestFactory().post("/sign-in/", REMOTE_ADDR=address)
    answer = try_password(request, name=name, password=typed, now=now)
    return answer.user is not None, answer.wait_until


def addresses(number: int) -> list[str]:
    return [f"198.51.100.{place}" for place in range(number)]


@pytest.fixture
def wren_with_password(wren: Hand) -> Hand:
    set_password(wren, GATE)
    return wren


def test_the_waits_double_and_the_hundredth_is_the_last_for_a_day() -> None:
    waits = [wait_after(wrong, free=4).total_seconds() for wrong in (0, 1, 4, 5, 6, 7, 8, 9, 10, 11, 99)]
    assert waits == [0, 0, 0, 30, 60, 120, 240, 480, 900, 900, 900]
    assert wait_after(100, free=50) == wait_after(10**6, free=4) == DAY


def test_a_name_is_slowed_from_one_address_and_nobody_else(wren_with_password: Hand, osk: Hand) -> None:
    set_password(osk, GATE)
    for _ in range(8):
        assert tried("Wren") == (False, None)
    assert tried("WREN") == (False, NOW + timedelta(seconds=30))
    assert tried("Wren", GATE, now=NOW + timedelta(seconds=29)) == (False, NOW + timedelta(seconds=30))
    assert tried("Osk", GATE)[0]
    assert tried("Wren", GATE, address="192.0.2.2")[0]
    later = NOW + timedelta(seconds=30)
    assert tried("Wren", now=later) == (False, later + timedelta(minutes=1))
    assert tried("Wren", GATE, now=later + timedelta(minutes=1))[0]
    assert tried("Wren", now=later + timedelta(minutes=1)) == (False, None)


def test_many_addresses_together_get_a_hundred_looks_and_then_one_a_day(wren_with_password: Hand) -> None:
    now = NOW
    for address in addresses(100):
        now = tried("Wren", now=now, address=address)[1] or now
    assert now - NOW > 10 * timedelta(hours=1) + DAY
    just_before = now - timedelta(seconds=1)
    assert tried("Wren", GATE, now=just_before, address="203.0.113.9") == (False, now)
    assert tried("Wren", now=now, address="203.0.113.9") == (False, now + DAY)


def test_whoever_came_in_from_there_before_is_not_kept_out(wren_with_password: Hand) -> None:
    assert tried("Wren", GATE, address="192.0.2.77")[0]
    for address in addresses(60):
        tried("Wren", address=address)
    assert tried("Wren", GATE, address="192.0.2.78")[1] == NOW + timedelta(seconds=30)
    assert tried("Wren", GATE, address="192.0.2.77")[0]
    # Coming in ends the row of all the addresses.
    assert tried("Wren", GATE, address="192.0.2.78")[0]


def test_wrong_tries_where_one_came_in_are_slowed_there_and_only_there(wren_with_password: Hand) -> None:
    assert tried("Wren", GATE)[0]
    now = NOW
    for _ in range(100):
        now = tried("Wren", now=now)[1] or now
    assert tried("Wren", GATE, now=now - timedelta(seconds=1)) == (False, now)
    assert tried("Wren", GATE, now=NOW, address="192.0.2.5")[0]


def test_a_new_password_begins_the_row_anew(wren_with_password: Hand) -> None:
    for _ in range(9):
        tried("Wren")
    assert not tried("Wren", GATE)[0]
    set_password(wren_with_password, "another wooden gate")
    assert tried("Wren", "another wooden gate")[0]


def test_what_was_long_ago_is_cleared_and_no_name_is_kept(wren_with_password: Hand) -> None:
    for number in range(20):
        tried(f"Nobody {number}", now=NOW - FORGOTTEN_AFTER - DAY)
    tried("Somebody", now=NOW - DAY)
    assert SignInTry.objects.count() == 42
    assert tried("Wren", GATE)[0]
    assert SignInTry.objects.count() == 3
    assert not any("omebody" in str(row) for row in SignInTry.objects.values_list())


@pytest.mark.usefixtures("a_file")
def test_tries_sent_together_get_no_more_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    hand = HandFactory.create(name="Wren")
    set_password(hand, GATE)
    looks: list[str] = []
    monkeypatch.setattr("shop.door.authenticate", lambda request, **given: looks.append(given["password"]))
    in_threads(lambda number: [tried("Wren", f"{number} {place}") for place in range(5)] and None)
    assert len(looks) == 9
    assert SignInTry.objects.values_list("wrong").distinct().get() == (9,)


@pytest.fixture
def hashed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every password that is hashed."""
    done: list[str] = []
    encode = MD5PasswordHasher.encode

    def noted(self: MD5PasswordHasher, password: str, salt: str) -> str:
        done.append(password)
        return str(encode(self, password, salt))

    monkeypatch.setattr(MD5PasswordHasher, "encode", noted)
    return done


NO_WAY_IN: dict[str, Callable[[], object]] = {
    "Wren": lambda: set_password(HandFactory.create(name="Wren"), GATE),
    "Nobody": lambda: None,
    "Left": lambda: HandFactory.create(name="Left", left_on=date(2026, 1, 1), user__is_active=False),
    "Without": lambda: set_password(HandFactory.create(name="Without"), ""),
}


@pytest.mark.usefixtures("shop")
@pytest.mark.parametrize("name", NO_WAY_IN)
def test_every_refusal_is_one_hash_the_same_queries_and_the_same_words(name: str, hashed: list[str]) -> None:
    NO_WAY_IN[name]()
    client = Client()
    hashed.clear()
    with CaptureQueriesContext(
        connection,
    ) as asked:
        page = client.post("/sign-in/", {"name": name, "password": "not this one"})
    assert (page.status_code, len(hashed)) == (422, 1)
    writes = [query["sql"].split()[0] for query in asked if "signintry" in query["sql"]]
    assert writes == ["SELECT", "INSERT", "SELECT"] * 2 + ["UPDATE"] * 2
    assert "The name or the password is not right" in page.content.decode()
    for _ in range(8):
        page = client.post("/sign-in/", {"name": name, "password": "not this one"})
    assert (page.status_code, len(hashed)) == (429, 9)
    assert "Too many wrong tries for this name" in page.content.decode()


def test_the_end_of_a_wait_names_another_day() -> None:
    zone = ZoneInfo("Europe/London")
    assert told_until(NOW + timedelta(minutes=1), NOW, zone) == "10.01.00"
    assert told_until(NOW + DAY, NOW, zone) == "10.00.00 on 3 March"
