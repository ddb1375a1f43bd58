"""Reads what the order book and an order's page say that an order waits for."""

import re
from html import unescape

from django.test import Client
from django.urls import reverse

from shop.order_book import MOST_NAMED

BOOK = reverse("shop:order-book")


def in_the_book(client: Client) -> dict[int, str]:
    """What each row of the order book says that its order waits for."""
    page = client.get(BOOK).content.decode()
    body = page.partition("<tbody>")[2].partition("</tbody>")[0]
    found = {}
    for row in body.split("<tr ")[1:]:
        number = re.search(r'data-label="No\.">(\d+)<', row)
        said = re.search(r'data-label="Waits for">(.*?)</td>', row, re.S)
        assert number
        assert said
        found[int(number[1])] = unescape(said[1])
    return found


def on_its_page(client: Client, number: int) -> list[str]:
    page = client.get(reverse("shop:order", args=[number])).content.decode()
    section = page.partition("<h2>Waiting for</h2>")[2].partition("<h2>")[0]
    return [unescape(what) for what in re.findall(r"<li><span><b>(.*?)</b>", section)]


def named(things: list[str]) -> str:
    more = [f"{len(things) - MOST_NAMED} things more"] if len(things) > MOST_NAMED else []
    return "; ".join([*things[:MOST_NAMED], *more])
