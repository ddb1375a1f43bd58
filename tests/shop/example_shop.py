"""The example shop for the tests of one module: loaded once, and rolled back after the last of them."""

from collections.abc import Iterator
from datetime import date

import pytest
from django.db import transaction
from pytest_django import DjangoDbBlocker

from shop.example import Loaded, load_example

# A Wednesday; London's clocks change between the first work and the last.
TODAY = date(2026, 3, 4)


@pytest.fixture(scope="module")
def example(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Loaded]:
    """The example as on `TODAY`. Each test of the module has `django_db` too, and rolls back what it changes."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_example(TODAY)
        transaction.set_rollback(True)
