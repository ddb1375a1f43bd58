"""The card that hangs on a wheel: its words, and the address that a phone in the workshop opens by it."""

import ipaddress
from collections.abc import Mapping
from urllib.parse import urlsplit

from django.http import HttpRequest
from django.urls import reverse

from jobs.makeup import describe
from jobs.measures import Unit
from jobs.models import Wheel
from shop.order_words import day_in_words
from shop.serving import in_url, own_addresses

# What is measured or chosen at the wheel, for a pencil: it is written down on the wheel's page afterwards.
BOXES = (
    "Run of the rim",
    "Draw",
    "Dish before tyring",
    "Dish after tyring",
    "Front band seat",
    "Back band seat",
    "Box, its number",
    "Nut, left or right hand",
)


def card_of(wheel: Wheel, *, url: str, words: Mapping[str, str], unit: Unit) -> bytes:
    # Its libraries take a while to load, so that only who asks waits for them.
    from jobs.patterns.card import write_card

    order = wheel.lot.order
    promised = f"Promised for {day_in_words(order.due_on)} {order.due_on.year}" if order.due_on else "No day promised"
    lines = [
        f"Order {order.number}, {order.carriage}, for {order.customer}",
        promised,
        f"{wheel.lot.name[:1].upper()}{wheel.lot.name[1:]}: {describe(wheel.lot.makeup, words=words, unit=unit)}",
    ]
    heading = f"{wheel.label.capitalize()}, wheel {wheel.number}"
    return write_card(heading=heading, lines=lines, boxes=BOXES, url=url)


def address_for_phones(request: HttpRequest, wheel: Wheel) -> str:
    """The wheel's page as other devices reach it: at the shop's own machine the loopback would lead them to themselves.

    Without a network there is no other address.
    """
    url = request.build_absolute_uri(reverse("shop:wheel", args=[wheel.lot.order.number, wheel.pk]))
    parts = urlsplit(url)
    networks = own_addresses() if _is_loopback(parts.hostname or "") else []
    if not networks:
        return url
    port = f":{parts.port}" if parts.port else ""
    return parts._replace(netloc=f"{in_url(networks[0])}{port}").geturl()


def _is_loopback(host: str) -> bool:
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost" or host.endswith(".localhost")
