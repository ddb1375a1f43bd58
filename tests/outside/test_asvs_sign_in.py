"""Signing in and sessions, held to OWASP ASVS 5.0.0 (chapters 6 and 7) and NIST SP 800-63B revision 3.

Source of every clause: OWASP Application Security Verification Standard 5.0.0, owasp.org/asvs; of the figures of NIST:
SP 800-63B revision 3, 5.1.1. What is met otherwise or not at all stands with its reason in SECURITY.md.
"""

import math

import pytest
from django.conf import settings
from django.contrib.auth import hashers
from django.contrib.sessions.backends.db import SessionStore
from django.core.cache import cache
from django.test import Client

from shop.models import Hand
from shop.people import DEVICE_COOKIE, enrol_device, revoke_device, set_left, set_password
from shop.pins import SHORTEST, set_pin
from tests.factories import NOW
from tests.shop.test_door import OPENING

GATE = "a long wooden gate"
SEVEN, EIGHT = "vq7Kx2m", "vq7Kx2mT"


@pytest.fixture(autouse=True)
def _no_tries_yet(db: None) -> None:
    cache.clear()


@pytest.fixture
def desk(tamsin: Hand) -> Client:
    """Tamsin, signed in with her password."""
    set_password(tamsin, GATE)
    client = Client()
    assert client.post("/sign-in/", {"name": "Tamsin", "password": GATE}).status_code == 302
    return client


def is_let_in(client: Client, path: str = "/orders/") -> bool:
    return client.get(path).status_code == 200


def with_cookie(key: str) -> Client:
    client = Client()
    client.cookies[settings.SESSION_COOKIE_NAME] = key
    return client


@pytest.mark.parametrize(("password", "status"), [(SEVEN, 422), (EIGHT, 302)])
def test_v6_2_1_a_password_has_eight_characters_at_least(owner: Client, osk: Hand, password: str, status: int) -> None:
    """ASVS 6.2.1: user set passwords are at least 8 characters; NIST 5.1.1.1: chosen secrets at least 8."""
    answers = {"password": password, "again": password}
    assert owner.post(f"/settings/hands/{osk.pk}/password/", answers).status_code == status


@pytest.mark.parametrize(("password", "status"), [(SEVEN, 422), (EIGHT, 302)])
def test_v6_2_1_so_has_the_first_owners(client: Client, password: str, status: int) -> None:
    assert client.post("/open/", OPENING | {"password": password, "again": password}).status_code == status


def test_v6_2_1_a_pin_is_shorter_and_opens_the_bench_alone(osk: Hand, wren: Hand) -> None:
    """A PIN of 4 digits fails 6.2.1 and NIST's 6: so it is no secret of an account, but of an enrolled device."""
    assert SHORTEST < 6
    set_pin(wren, "4071")
    come_in = f"/bench/come-in/{wren.pk}/"
    assert Client().post(come_in, {"pin": "4071"})["Location"] == "/bench/"  # which says that it is not enrolled
    client = Client()
    _, client.cookies[DEVICE_COOKIE] = enrol_device(name="bench 1", by=wren.user, at=NOW)
    client.post(come_in, {"pin": "4071"})
    assert is_let_in(client, "/bench/jobs/")
    assert not any(is_let_in(client, path) for path in ("/settings/", "/day-book/", "/orders/new/"))


def test_v6_3_8_unknown_names_can_not_be_told_from_known_ones(osk: Hand, tamsin: Hand, monkeypatch) -> None:
    """ASVS 6.3.8: same status, same text, same work: one hash for each."""
    set_password(tamsin, GATE)
    hashed = []
    encode = hashers.MD5PasswordHasher.encode

    def count(self: object, password: str, salt: str) -> str:
        hashed.append(password)
        return str(encode(self, password, salt))

    monkeypatch.setattr(hashers.MD5PasswordHasher, "encode", count)
    told = set()
    for name in ("Tamsin", "Osk", "Nobody"):  # with a password, with none, unknown
        hashed.clear()
        answer = Client().post("/sign-in/", {"name": name, "password": "x" * 9})
        told.add((answer.status_code, len(hashed), answer.content.decode().replace(name, "").partition("<main")[2]))
    assert {one[:2] for one in told} == {(422, 1)}
    assert len({_without_token(text) for _, _, text in told}) == 1


def _without_token(page: str) -> str:
    return "".join(line for line in page.splitlines() if "csrfmiddlewaretoken" not in line)


def test_v7_2_3_a_session_token_has_128_bits_at_least(db: None) -> None:
    """ASVS 7.2.3: unique, from a secure source, at least 128 bits of entropy."""
    keys = {SessionStore()._get_new_session_key() for _ in range(200)}
    assert len(keys) == 200
    (length,) = {len(key) for key in keys}
    letters = {letter for key in keys for letter in key}
    assert length * math.log2(len(letters)) >= 128


def test_v7_2_4_a_session_gets_a_new_token_at_sign_in(tamsin: Hand) -> None:
    """ASVS 7.2.4: a new token at authentication, and the one before is ended."""
    set_password(tamsin, GATE)
    client = Client()
    session = client.session
    session["planted"] = "yes"
    session.save()
    before = session.session_key
    client.post("/sign-in/", {"name": "Tamsin", "password": GATE})
    assert client.session.session_key != before
    assert not is_let_in(with_cookie(str(before)))


def test_v7_4_1_a_session_that_was_ended_can_not_be_used_again(desk: Client) -> None:
    """ASVS 7.4.1: after sign-out the old cookie is refused."""
    old = with_cookie(desk.cookies[settings.SESSION_COOKIE_NAME].value)
    assert is_let_in(old)
    desk.post("/sign-out/")
    assert not is_let_in(old)


def test_v7_4_2_all_sessions_end_where_an_account_is_disabled(desk: Client, tamsin: Hand, wren: Hand) -> None:
    """ASVS 7.4.2: sessions end when the person leaves; here a new password and a revoked device end them too."""
    elsewhere = Client()
    elsewhere.post("/sign-in/", {"name": "Tamsin", "password": GATE})
    set_left(tamsin, NOW.date())
    assert not is_let_in(desk)
    assert not is_let_in(elsewhere)


def test_v7_4_3_a_new_password_ends_the_sessions_elsewhere(desk: Client, tamsin: Hand) -> None:
    set_password(Hand.objects.get(pk=tamsin.pk), "another wooden gate")
    assert not is_let_in(desk)


def test_v7_4_2_a_revoked_device_ends_the_sessions_on_it(osk: Hand, wren: Hand) -> None:
    device, secret = enrol_device(name="bench 1", by=wren.user, at=NOW)
    client = Client()
    client.cookies[DEVICE_COOKIE] = secret
    client.post(f"/bench/come-in/{osk.pk}/")
    assert is_let_in(client, "/bench/jobs/")
    revoke_device(device, at=NOW)
    assert not is_let_in(client, "/bench/jobs/")
