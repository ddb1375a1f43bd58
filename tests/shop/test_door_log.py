"""What is logged of the door: who, on what, from where and when, in one line, and no secret."""

import logging
import logging.config
import re

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from shop.models import Device, Hand
from shop.people import DEVICE_COOKIE, set_password
from shop.pins import set_pin
from tests.factories import NOW, HandFactory
from tests.shop.benching import Bench

GATE = "a long wooden gate"


@pytest.fixture
def logged(caplog: pytest.LogCaptureFixture) -> pytest.LogCaptureFixture:
    caplog.set_level(logging.INFO)
    return caplog


def lines_of(logged: pytest.LogCaptureFixture) -> list[str]:
    return [line for line in logged.messages if " from " in line]


def sign_in(name: str, typed: str) -> Client:
    client = Client(REMOTE_ADDR="192.0.2.7")
    client.post("/sign-in/", {"name": name, "password": typed})
    return client


def test_the_desk(wren: Hand, logged: pytest.LogCaptureFixture) -> None:
    set_password(wren, GATE)
    for _ in range(10):
        sign_in("wren", "wrong one")
    sign_in(GATE, "Wren")
    wrens = f"'Wren' (hand {wren.pk}) from 192.0.2.7"
    assert lines_of(logged) == [
        *[f"wrong try: {wrens}"] * 9,
        f"too many tries, not looked at: {wrens}",
        "wrong try: a name that is not known from 192.0.2.7",
    ]
    logged.clear()
    wren.user.refresh_from_db()
    set_password(wren, "another gate")
    sign_in("Wren", "another gate").post("/sign-out/")
    assert lines_of(logged) == [f"signed in: {wrens}", f"signed out: {wrens}"]


def test_the_bench(osk: Hand, wren: Hand, logged: pytest.LogCaptureFixture) -> None:
    set_pin(osk, "4071")
    bench = Bench(osk, device="bench 7")
    come_in = reverse("shop:bench-come-in", args=[osk.pk])
    for pin in ("1111", "4071"):
        bench.client.post(come_in, {"pin": pin})
    bench.post("bench-leave")
    for _ in range(6):
        bench.client.post(come_in, {"pin": "1111"})
    device = Device.objects.get()
    on = f"'Osk' (hand {osk.pk}) on 'bench 7' (device {device.pk}) from 127.0.0.1"
    told = [line.replace(on, "…") for line in lines_of(logged)]
    late = "too many tries, not looked at: …"
    assert told == ["wrong try: …", "signed in: …", "signed out: …", *["wrong try: …"] * 5, late]


def test_a_hand_whose_device_was_ended(osk: Hand, logged: pytest.LogCaptureFixture) -> None:
    bench = Bench(osk, device="bench 7").come_in()
    Device.objects.update(revoked_at=NOW)
    logged.clear()
    bench.post("bench-go-on")
    on = f"on 'bench 7' (device {Device.objects.get().pk})"
    assert lines_of(logged) == [f"signed out: 'Osk' (hand {osk.pk}) {on} from 127.0.0.1"]


def test_devices_that_come_and_go(owner: Client, wren: Hand, logged: pytest.LogCaptureFixture) -> None:
    owner.post(reverse("shop:devices"), {"name": "bench 2"})
    device = Device.objects.get()
    owner.post(reverse("shop:device-revoke", args=[device.pk]))
    by = f"'Wren' (hand {wren.pk}) on 'bench 2' (device {device.pk}) from 127.0.0.1"
    assert lines_of(logged) == [f"enrolled: {by}", f"ended: {by}"]


def test_a_name_breaks_no_line(shop: object, logged: pytest.LogCaptureFixture) -> None:
    HandFactory.create(name="Wren\n2026 INFO shop.door: signed in\u2028x")
    sign_in(Hand.objects.get().name, "wrong")
    sign_in("Nobody\r\nsigned in: 'Wren'", "wrong")
    assert len(lines_of(logged)) == 2
    assert all(line.isprintable() for line in lines_of(logged))


def test_no_line_holds_a_secret(owner: Client, wren: Hand, osk: Hand, logged: pytest.LogCaptureFixture) -> None:
    set_password(wren, GATE)
    set_pin(osk, "4071")
    client = sign_in("Wren", GATE)
    client.post(reverse("shop:devices"), {"name": "bench 2"})
    come_in = reverse("shop:bench-come-in", args=[osk.pk])
    for pin in ("5566", "4071"):
        client.post(come_in, {"pin": pin})
    forged = Client(enforce_csrf_checks=True)
    forged.cookies = client.cookies
    forged.post("/sign-in/", {"name": GATE, "password": GATE, "csrfmiddlewaretoken": "t0ken"})
    sign_in(GATE, "not " + GATE)
    secrets = [GATE, "4071", "5566", "t0ken", client.cookies["sessionid"].value, client.cookies[DEVICE_COOKIE].value]
    everything = "\n".join(logged.text.splitlines())
    assert len(lines_of(logged)) >= 6
    assert [secret for secret in secrets if secret in everything] == []


def test_a_line_says_when_with_its_time_zone() -> None:
    form = settings.LOGGING["formatters"]["line"]
    formatter = logging.Formatter(form["format"], form["datefmt"], style=form["style"])
    record = logging.LogRecord("shop.door", logging.INFO, "", 0, "signed in: %s", ("x",), None)
    said = formatter.format(record)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d{4} INFO shop\.door: signed in: x", said)


def test_the_door_is_logged_though_other_parts_tell_only_of_trouble() -> None:
    assert settings.LOGGING["root"]["level"] == "WARNING"
    assert logging.getLogger("shop.door").isEnabledFor(logging.INFO)
