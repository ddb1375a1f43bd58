"""The card of a wheel: its dots lead to the wheel's page, by an address that a phone can reach."""

import os
import re
import subprocess
import sys
from typing import Any

import pytest
import segno
from django.test import Client, RequestFactory
from django.urls import reverse

from jobs.makeup.problems import PLAIN_WORDS
from jobs.models import Order, Wheel
from jobs.patterns import card
from jobs.patterns.card import BOX_HIGH, EDGE, HEIGHT, SQUARE, WIDTH, write_card
from shop import wheel_card
from shop.models import Hand
from shop.wheel_card import address_for_phones, card_of
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
    left, bottom = EDGE, EDGE + 3
    return {(modules - 1 - round((y - bottom) / side) - 4, round((x - left) / side) - 4) for x, y, _, _ in found}


def test_the_dots_are_those_of_the_address() -> None:
    url = "http://192.0.2.7:8000/orders/12/wheels/34/"
    expected = segno.make(url, error="q", micro=False).matrix
    dark = {(row, column) for row, line in enumerate(expected) for column, is_dark in enumerate(line) if is_dark}
    said = {"heading": "Near hind", "lines": ["Order 12"], "boxes": ["Draw"]}
    written = write_card(**said, url=url)  # type: ignore[arg-type]
    assert dots(written) == dark
    assert written == write_card(**said, url=url)  # type: ignore[arg-type]
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
    assert dots(answer.content) == dots(write_card(heading="", lines=[], boxes=[], url=page))
    assert client.get(reverse("shop:wheel-card", args=[order.number + 1, wheel.pk])).status_code == 404


def test_it_says_whose_wheel_it_is_when_it_is_promised_and_what_to_write_down(shop: object) -> None:
    wheel = first_wheel(take_pair(carriage="Omnibus of " + "many seats " * 14, customer="Long " * 18 + "name"))
    told: dict[str, Any] = {}
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(card, "write_card", lambda **said: told.update(said) or b"")
        card_of(wheel, url="http://192.0.2.7/", words=PLAIN_WORDS, unit="mm")
    assert told["heading"] == "Near hind, wheel 1"
    about = " / ".join(told["lines"])
    for words in (f"Order {wheel.lot.order.number}, Omnibus of many", "for Long", "Promised for Friday 20 March 2026"):
        assert words in about
    assert "Hind pair: 1168.4 mm over the wood, 14 spokes, 7 felloes, iron tyre 38.1 × 12.7 mm bolted" in about
    (stream,) = streams(write_card(**told))
    boxes = [[float(n) for n in each] for each in re.findall(r"(\S+) (\S+) (\S+) (\S+) re S\b", stream)]
    assert len(boxes) == len(told["boxes"]) == 8
    # However long its words are, they end above the boxes, and these above the dots.
    assert all(high == BOX_HIGH and left >= EDGE and left + wide <= WIDTH - EDGE for left, _, wide, high in boxes)
    lowest, highest = min(low for _, low, _, _ in boxes), max(low + high for _, low, _, high in boxes)
    assert lowest >= EDGE + 3 + SQUARE
    written = [float(y) for y in re.findall(r"1 0 0 1 \S+ (\S+) Tm", stream)]
    assert len([y for y in written if y > highest]) > 5
    assert len([y for y in written if lowest < y < highest]) == len(boxes)
    assert max(written) < HEIGHT - 14


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
