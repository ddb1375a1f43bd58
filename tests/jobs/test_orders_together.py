"""Orders taken at the same moment: a number each, and one order for one form. On PostgreSQL, where writers overlap."""

import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection

from jobs.models import Order
from jobs.starting import start_operations
from tests.factories import take_pair

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("sqlite" in connection.vendor, reason="SQLite has one writer, held to it by a lock"),
]
TAKERS = 4


def take(token: uuid.UUID) -> int:
    try:
        return take_pair(token=token, rows=[]).number
    finally:
        connection.close()


def test_each_order_has_its_own_number() -> None:
    start_operations()
    with ThreadPoolExecutor(TAKERS) as takers:
        numbers = list(takers.map(take, [uuid.uuid4() for _ in range(3 * TAKERS)]))
    assert sorted(numbers) == list(range(1, 3 * TAKERS + 1))


def test_one_form_sent_at_once_from_all_sides_is_one_order() -> None:
    start_operations()
    token = uuid.uuid4()
    with ThreadPoolExecutor(TAKERS) as takers:
        numbers = list(takers.map(take, [token] * TAKERS))
    assert set(numbers) == {1}
    assert Order.objects.count() == 1
