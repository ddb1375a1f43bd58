"""The card that hangs on a wheel: its words, and the address that a phone in the workshop opens by it."""

import ipaddress
from collections.abc import Mapping
from urllib.parse import urlsplit

from django.http import HttpRequest
from django.urls import reverse

from jobs.makeup import describe
from jobs.measures import Unit
from jobs.models import Wheel
from shop.serving import in_url, own_addresses


def card_of(wheel: Wheel, *, url: str, words: Mapping[str, str], unit: Unit) -> bytes:
    # Its libraries take a while to load, so that only who asks waits for them.
    from jobs.patterns.card import write_card

    order = wheel.lot.order
    lines = [
        f"Order {order.number}, {order.carriage}, for {order.customer}",
        f"Wheel {wheel.number}, of the {wheel.lot.name}",
        describe(wheel.lot.makeup, words=words, unit=unit),
    ]
    return write_card(heading=wheel.label.capitalize(), lines=lines, url=url)


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
