"""The band at the head of every page: only what may be opened, and where one is."""

from collections.abc import Iterable

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.http import HttpRequest
from django.test import Client, RequestFactory

from shop.models import Hand
from shop.navigation import Place, navigation
from shop.people import DEVICE_COOKIE, bench_sign_in, enrol_device
from tests.factories import NOW


def at(path: str, hand: Hand) -> HttpRequest:
    request = RequestFactory().get(path)
    request.user = hand.user
    request.session = SessionStore()
    return request


def labels(places: Iterable[Place]) -> list[str]:
    return [place.label for place in places]


def test_the_owner_may_go_everywhere_and_the_smith_to_the_smiths_list(wren: Hand, bram: Hand) -> None:
    everything = [
        *("Bench", "Order book", "Smith's list", "Quotations", "Day book", "Make-ups", "Stores", "Times"),
        "Settings",
    ]
    assert labels(navigation(at("/", wren), wren)) == everything
    assert labels(navigation(at("/", bram), bram)) == ["Smith's list"]


def test_every_place_may_be_opened(client: Client, wren: Hand, tamsin: Hand, osk: Hand, bram: Hand) -> None:
    for hand in (wren, tamsin, osk, bram):
        client.force_login(hand.user)
        places = navigation(at("/", hand), hand)
        assert places
        assert all(client.get(place.url).status_code in (200, 302) for place in places)
        assert ("Settings" in labels(places)) == (hand == wren)


@pytest.mark.parametrize(
    ("path", "label"),
    [
        ("/orders/12/wheels/3/", "Order book"),
        ("/trades/painter/", "Smith's list"),
        ("/pay/hours/", "Day book"),
        ("/settings/rates/", "Settings"),
    ],
)
def test_the_section_of_a_page_is_marked(wren: Hand, path: str, label: str) -> None:
    assert [place.label for place in navigation(at(path, wren), wren) if place.current] == [label]


def test_a_bench_session_of_an_owner_does_not_lead_to_the_settings(wren: Hand) -> None:
    _, secret = enrol_device(name="Tablet", by=wren.user, at=NOW)
    request = at("/bench/", wren)
    request.COOKIES[DEVICE_COOKIE] = secret
    bench_sign_in(request, wren)
    places = labels(navigation(request, wren))
    assert "Bench" in places
    assert "Settings" not in places


def test_a_stranger_is_led_nowhere(shop: object) -> None:
    assert navigation(RequestFactory().get("/"), None) == []
