"""Hands and devices: who may sign in where, and who must stay."""

from datetime import date

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.sessions.backends.db import SessionStore
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.urls import reverse

from shop.access import roles_of
from shop.models import Device, Hand
from shop.people import (
    BENCH_SESSION,
    DEVICE_COOKIE,
    PersonRefused,
    add_hand,
    bench_sign_in,
    device_of,
    edit_hand,
    enrol_device,
    keep_device,
    revoke_device,
    set_left,
    set_password,
)
from tests.factories import NOW, HandFactory


def new_hand(name: str) -> Hand:
    return add_hand(name=name, role="hand", trade="bench", apprentice=False)


def at_bench(secret: str, hand: Hand | None = None) -> object:
    """A request from a device with that secret, in a session of its own, by the hand who signed in there before."""
    request = RequestFactory().get("/bench/")
    request.COOKIES[DEVICE_COOKIE] = secret
    request.session = SessionStore()
    if hand:
        bench_sign_in(request, hand)
        again = at_bench(secret)
        again.session = request.session  # type: ignore[attr-defined]
        again.user = hand.user  # type: ignore[attr-defined]
        return again
    return request


def test_a_new_hand_can_not_sign_in_yet(shop: object) -> None:
    hand = new_hand("Perrin Ash")
    assert not hand.user.has_usable_password()
    assert hand.user.username == "Perrin Ash"
    assert not hand.user.is_staff
    assert not hand.user.is_superuser


def test_names_differ_by_more_than_capitals(osk: Hand, tamsin: Hand) -> None:
    with pytest.raises(PersonRefused, match="There is a OSK already"):
        new_hand("OSK")
    with pytest.raises(PersonRefused, match="There is a osk already"):
        edit_hand(tamsin, name="osk", role="desk", trade="bench", apprentice=False)
    assert User.objects.count() == 2


def test_the_user_keeps_the_name_of_the_hand(osk: Hand) -> None:
    edit_hand(osk, name="Oskar", role="hand", trade="painter", apprentice=True)
    osk.refresh_from_db()
    assert (osk.name, osk.user.username, osk.trade, osk.apprentice) == ("Oskar", "Oskar", "painter", True)


def test_one_that_left_can_not_sign_in_and_may_come_back(osk: Hand) -> None:
    set_left(osk, date(2026, 3, 2))
    assert not User.objects.get(pk=osk.user_id).is_active
    set_left(osk, None)
    assert User.objects.get(pk=osk.user_id).is_active


def test_the_last_owner_stays_an_owner(wren: Hand) -> None:
    other = HandFactory.create(name="Fenn", role=Hand.Role.OWNER)
    set_password(wren, "a long wooden gate")
    set_password(other, "")
    for try_it in (
        lambda: set_left(wren, date(2026, 3, 2)),
        lambda: edit_hand(wren, name="Wren", role="desk", trade="bench", apprentice=False),
        lambda: set_password(wren, ""),
    ):
        with pytest.raises(PersonRefused, match="Wren is the only owner who can sign in"):
            try_it()
    wren.refresh_from_db()
    assert (wren.role, wren.left_on) == ("owner", None)
    assert User.objects.get(pk=wren.user_id).check_password("a long wooden gate")
    set_password(other, "another long gate")
    set_left(wren, date(2026, 3, 2))


def test_a_password_taken_away_is_gone(osk: Hand) -> None:
    set_password(osk, "a long wooden gate")
    assert User.objects.get(pk=osk.user_id).check_password("a long wooden gate")
    set_password(osk, "")
    assert not User.objects.get(pk=osk.user_id).has_usable_password()


def test_a_device_is_known_by_its_secret_which_is_not_kept(wren: Hand) -> None:
    device, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    assert device_of(at_bench(secret)) == device  # type: ignore[arg-type]
    assert device_of(at_bench("guess")) is None  # type: ignore[arg-type]
    assert device_of(at_bench("")) is None  # type: ignore[arg-type]
    assert secret not in str(Device.objects.values().get())


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites() -> None:
    response = HttpResponse()
    keep_device(response, "s3cret")
    cookie = response.cookies[DEVICE_COOKIE]
    assert (cookie["httponly"], cookie["samesite"], cookie["max-age"]) == (True, "Strict", 400 * 86400)
    assert bool(cookie["secure"]) == settings.HTTPS


def test_a_bench_session_is_for_the_bench_even_for_an_owner(wren: Hand) -> None:
    device, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    request = at_bench(secret, wren)
    assert request.session[BENCH_SESSION] == device.pk  # type: ignore[attr-defined]
    assert roles_of(request) == {"bench"}  # type: ignore[arg-type]


def test_a_revoked_device_ends_its_bench_sessions(wren: Hand, osk: Hand) -> None:
    device, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    request = at_bench(secret, osk)
    revoke_device(device, at=NOW)
    assert roles_of(request) == frozenset()  # type: ignore[arg-type]
    with pytest.raises(PersonRefused, match="isn't enrolled"):
        bench_sign_in(at_bench(secret), osk)  # type: ignore[arg-type]


def test_a_bench_session_carried_to_another_device_is_none(wren: Hand, osk: Hand) -> None:
    _, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    _, other = enrol_device(name="Phone", by=wren.user, at=NOW)
    request = at_bench(secret, osk)
    request.COOKIES[DEVICE_COOKIE] = other  # type: ignore[attr-defined]
    assert roles_of(request) == frozenset()  # type: ignore[arg-type]


def test_one_that_left_does_not_get_to_the_bench(wren: Hand, osk: Hand) -> None:
    _, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    set_left(osk, date(2026, 3, 2))
    with pytest.raises(PersonRefused, match="Osk has left"):
        bench_sign_in(at_bench(secret), osk)  # type: ignore[arg-type]


def test_the_device_is_kept_anew_whenever_a_name_is_tapped(client: Client, wren: Hand, osk: Hand) -> None:
    _, secret = enrol_device(name="Bench tablet", by=wren.user, at=NOW)
    client.cookies[DEVICE_COOKIE] = secret
    page = client.post(reverse("shop:bench-come-in", args=[osk.pk]))
    assert page.status_code == 302
    assert page.cookies[DEVICE_COOKIE].value == secret
    assert client.session[BENCH_SESSION]
