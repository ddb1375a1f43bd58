"""The card of a wheel: its dots lead to the wheel's page, by an address that a phone can reach."""

import os
import re
import subprocess
import sys

import pytest
import segno
from django.test import Client, RequestFactory
from django.urls import reverse

from jobs.models import Order, Wheel
from jobs.patterns.card import EDGE, SQUARE, WIDTH, write_card
from shop import wheel_card
from shop.models import Hand
from shop.wheel_card import address_for_phones
from tests.commands import ROOT
from tests.factories import lot_of, take_pair
from tests.jobs.patterns_read import streams


def first_wheel(order: Order) -> Wheel:
    return lot_of(order).wheels.order_by("pk")[0]


def dots(card: bytes) -> set[tuple[int, int]]:
    """Which dots of the square are dark, by row from the top and column, without its white edge."""
    (stream,) = streams(card)
    found = [tuple(map(float, each)) for each in re.findall(r"(\S+) (\S+) (\S+) (\S+) re f\b", stream)]
    side = found[0][2] / 1.01
    modules = round(SQUARE / side)
    left, bottom = (WIDTH - SQUARE) / 2, EDGE + 4
    return {(modules - 1 - round((y - bottom) / side) - 4, round((x - left) / side) - 4) for x, y, _, _ in found}


def test_the_dots_are_those_of_the_address() -> None:
    url = "http://192.0.2.7:8000/orders/12/wheels/34/"
    expected = segno.make(url, error="q", micro=False).matrix
    dark = {(row, column) for row, line in enumerate(expected) for column, is_dark in enumerate(line) if is_dark}
    card = write_card(heading="Near hind", lines=["Order 12"], url=url)
    assert dots(card) == dark
    assert card == write_card(heading="Near hind", lines=["Order 12"], url=url)
    # Each is large enough for a phone held at arm's length: half a millimetre and more.
    assert SQUARE / (len(expected) + 8) > 0.5


def test_it_is_given_out_from_the_wheels_page(client: Client, osk: Hand) -> None:
    client.force_login(osk.user)
    order = take_pair()
    wheel = first_wheel(order)
    url = reverse("shop:wheel-card", args=[order.number, wheel.pk])
    assert url in client.get(reverse("shop:wheel", args=[order.number, wheel.pk])).text
    answer = client.get(url)
    assert answer["Content-Type"] == "application/pdf"
    name = f"Order {order.number}, wheel {wheel.number}, card.pdf"
    assert answer["Content-Disposition"] == f'attachment; filename="{name}"'
    page = f"http://testserver{reverse('shop:wheel', args=[order.number, wheel.pk])}"
    assert dots(answer.content) == dots(write_card(heading="", lines=[], url=page))
    assert client.get(reverse("shop:wheel-card", args=[order.number + 1, wheel.pk])).status_code == 404


@pytest.mark.parametrize(
    ("asked_at", "networks", "leads_to"),
    [
        ("127.0.0.1:8000", ["192.0.2.7"], "http://192.0.2.7:8000/"),
        ("localhost:8000", ["2001:db8::7"], "http://[2001:db8::7]:8000/"),
        ("[::1]", ["192.0.2.7"], "http://192.0.2.7/"),
        ("localhost:8000", [], "http://localhost:8000/"),
        ("shop.example", ["192.0.2.7"], "http://shop.example/"),
    ],
)
def test_phones_are_not_led_to_themselves(
    asked_at: str,
    networks: list[str],
    leads_to: str,
    shop: object,
    monkeypatch: pytest.MonkeyPatch,
    settings: object,
) -> None:
    settings.ALLOWED_HOSTS = ["*"]  # type: ignore[attr-defined]
    monkeypatch.setattr(wheel_card, "own_addresses", lambda: networks)
    wheel = first_wheel(take_pair())
    request = RequestFactory().get("/", headers={"Host": asked_at})
    assert address_for_phones(request, wheel).startswith(f"{leads_to}orders/")


def test_what_writes_papers_is_not_loaded_until_one_is_asked_for() -> None:
    """It takes most of a second, which every start and every command would wait for."""
    asked = (
        "import sys, django; django.setup(); import shop.urls, shop.wsgi; "
        "print(sorted({'ezdxf', 'reportlab', 'segno'} & set(sys.modules)))"
    )
    told = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=ROOT,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "tests.settings"},
        check=True,
        capture_output=True,
        text=True,
    )
    assert told.stdout.strip() == "[]"
