"""Settings of hands: roles, PINs, passwords, and leaving."""

from datetime import date

import pytest
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client

from shop.models import Hand
from shop.people import set_password

GATE = "a long wooden gate"
OSK = {"name": "Osk", "role": "hand", "trade": "bench"}


def text(page: HttpResponse) -> str:
    return page.content.decode()


def test_a_hand_is_added(owner: Client) -> None:
    page = owner.post(
        "/settings/hands/new/", {"name": " Perrin  Ash ", "role": "hand", "trade": "painter", "apprentice": "on"}
    )
    hand = Hand.objects.get(name="Perrin Ash")
    assert page["Location"] == f"/settings/hands/{hand.pk}/"
    assert (hand.trade, hand.apprentice) == ("painter", True)


def test_a_form_sent_twice_adds_one_hand(owner: Client) -> None:
    answers = {"name": "Perrin", "role": "hand", "trade": "bench"}
    assert [owner.post("/settings/hands/new/", answers).status_code for _ in range(2)] == [302, 422]
    assert Hand.objects.filter(name="Perrin").count() == 1


def test_a_hand_is_changed(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/"
    assert owner.get(url).status_code == 200
    assert owner.post(url, OSK | {"name": "Oskar", "role": "desk"}).status_code == 302
    osk.refresh_from_db()
    assert (osk.name, osk.role) == ("Oskar", "desk")


def test_a_name_that_is_taken_is_refused(owner: Client, osk: Hand) -> None:
    page = owner.post(f"/settings/hands/{osk.pk}/", OSK | {"name": "WREN"})
    assert page.status_code == 422
    assert "There is a WREN already" in text(page)
    assert 'value="WREN"' in text(page)


def test_a_pin_is_set_and_taken_away(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/pin/"
    assert "4 to 8 digits" in text(owner.post(url, {"pin": "12x"}))
    assert owner.post(url, {"pin": "4071"}).status_code == 302
    osk.refresh_from_db()
    assert osk.pin_hash
    owner.post(url, {"away": "1", "pin": ""})
    osk.refresh_from_db()
    assert osk.pin_hash == ""


def test_a_password_is_set_and_taken_away(owner: Client, tamsin: Hand) -> None:
    url = f"/settings/hands/{tamsin.pk}/password/"
    assert owner.post(url, {"password": "short", "again": "short"}).status_code == 422
    assert owner.post(url, {"password": GATE, "again": "other"}).status_code == 422
    assert owner.post(url, {"password": GATE, "again": GATE}).status_code == 302
    assert User.objects.get(pk=tamsin.user_id).check_password(GATE)
    assert owner.post(url, {"away": "1"}).status_code == 302
    assert not User.objects.get(pk=tamsin.user_id).has_usable_password()


def test_an_owner_who_sets_their_own_password_stays_signed_in(owner: Client, wren: Hand) -> None:
    owner.post(f"/settings/hands/{wren.pk}/password/", {"password": GATE, "again": GATE})
    assert owner.get("/settings/").status_code == 200


@pytest.mark.parametrize(
    ("to", "answers"),
    [
        ("", OSK | {"name": "Wren", "role": "desk"}),
        ("password/", {"away": "1"}),
        ("left/", {"left_on_day": "2", "left_on_month": "3", "left_on_year": "2026"}),
    ],
)
def test_the_last_owner_can_not_be_lost(owner: Client, wren: Hand, to: str, answers: dict[str, str]) -> None:
    set_password(wren, GATE)
    owner.force_login(wren.user)
    page = owner.post(f"/settings/hands/{wren.pk}/{to}", answers)
    assert page.status_code == 422
    assert "Wren is the only owner who can sign in" in text(page)
    wren.refresh_from_db()
    assert (wren.role, wren.left_on) == ("owner", None)


def test_a_hand_leaves_and_comes_back(owner: Client, osk: Hand) -> None:
    url = f"/settings/hands/{osk.pk}/left/"
    assert "still to come" in text(owner.post(url, {"left_on_day": "1", "left_on_month": "1", "left_on_year": "2199"}))
    assert "There is no 31 February" in text(
        owner.post(url, {"left_on_day": "31", "left_on_month": "2", "left_on_year": "2026"})
    )
    owner.post(url, {"left_on_day": "2", "left_on_month": "March", "left_on_year": "2026"})
    osk.refresh_from_db()
    assert osk.left_on == date(2026, 3, 2)
    assert "1 who left" in text(owner.get("/settings/hands/"))
    owner.post(url, {"back": "1"})
    osk.refresh_from_db()
    assert osk.left_on is None
