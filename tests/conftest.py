"""The small fixed cast: Wren owns, Tamsin keeps the desk, Osk works at the bench, Bram is the smith."""

import gc
import os
import shutil
from datetime import UTC, datetime

import pytest
from django.db import connection
from django.test import Client
from hypothesis import HealthCheck, settings
from pytest_django import DjangoDbBlocker

from jobs.models import Operation, Order
from jobs.starting import start_operations
from shop.models import Hand, Shop
from shop.pay_owed import KEPT
from tests import factories
from tests.commands import keep_new_shop

POPPLER = ("pdftoppm", "pdftotext", "pdffonts", "pdfinfo")
NOW = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)

# A machine that is busy with other tests is slow, and that is no fault. HYPOTHESIS_PROFILE=long tries far more, and few
# is for CI, where they are the same cases every time.
settings.register_profile("shop", deadline=None, max_examples=50, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("long", settings.get_profile("shop"), max_examples=1000)
settings.register_profile("few", settings.get_profile("shop"), max_examples=20)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "shop"))

# Thousands of tests and what they import live as long as the run: looking through all of them for what is done with
# took a third of its time.
gc.set_threshold(50_000, 20, 50)


def pytest_collection_finish(session: pytest.Session) -> None:
    gc.collect()
    gc.freeze()


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--database-only", action="store_true", help="leave out the tests that ask no database anything")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if not config.getoption("database_only"):
        return
    kept, left_out = [], []
    for item in items:
        asks = {"db", "transactional_db"} & set(getattr(item, "fixturenames", ())) or item.get_closest_marker(
            "django_db"
        )
        (kept if asks else left_out).append(item)
    config.hook.pytest_deselected(items=left_out)
    items[:] = kept


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> None:
    """The test database; its empty tables serve the commands that tests run, too."""
    with django_db_blocker.unblock():
        if connection.vendor == "sqlite":
            connection.ensure_connection()
            keep_new_shop(connection.connection)


@pytest.fixture
def shop(db: None) -> Shop:
    """An open shop with the starting operations."""
    start_operations()
    return factories.ShopFactory.create()


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    """A test rolls its facts back: what was reckoned from them is of no account to the next."""
    KEPT.clear()


@pytest.fixture
def wren(shop: Shop) -> Hand:
    return factories.HandFactory.create(name="Wren", role=Hand.Role.OWNER)


@pytest.fixture
def tamsin(shop: Shop) -> Hand:
    return factories.HandFactory.create(name="Tamsin", role=Hand.Role.DESK)


@pytest.fixture
def osk(shop: Shop) -> Hand:
    return factories.HandFactory.create(name="Osk")


@pytest.fixture
def bram(shop: Shop) -> Hand:
    return factories.HandFactory.create(name="Bram", role=Hand.Role.SMITH, trade=Hand.Trade.SMITH)


@pytest.fixture
def order(shop: Shop) -> Order:
    """A pair of 14-spoke hind wheels, taken."""
    return factories.take_pair()


@pytest.fixture
def owner(client: Client, wren: Hand) -> Client:
    """A browser in which the owner is signed in."""
    client.force_login(wren.user)
    return client


def operation(key: str) -> Operation:
    return Operation.objects.get(key=key)


@pytest.fixture
def poppler() -> None:
    """What reads papers as a printer would."""
    missing = [name for name in POPPLER if shutil.which(name) is None]
    if missing and os.environ.get("CI"):
        pytest.fail(f"{', '.join(missing)} is missing, which .ci/run brings with poppler-utils.")
    if missing:
        pytest.skip(f"{', '.join(missing)} is missing: apt-get install poppler-utils brings it.")
