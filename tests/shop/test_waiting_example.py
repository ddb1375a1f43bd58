"""Over every open order of the example shop the order book and the order's page say the same."""

import pytest
from django.test import Client

from jobs.models import Order
from shop.example import Loaded
from shop.models import Hand
from tests.shop.example_shop import example
from tests.shop.waits import in_the_book, named, on_its_page

__all__ = ["example"]


@pytest.mark.django_db
def test_the_book_and_every_order_s_page_say_the_same(example: Loaded, client: Client) -> None:
    client.force_login(Hand.objects.get(role=Hand.Role.DESK).user)
    said = in_the_book(client)
    assert set(said) == set(Order.objects.open().values_list("number", flat=True))
    assert said == {number: named(on_its_page(client, number)) for number in said}
    assert "The painter" in said.values()
    assert len(set(said.values())) >= 4
