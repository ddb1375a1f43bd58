"""Every address by every role: the table is held against the list of addresses, so that none is forgotten."""

import uuid
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from pytest_django import DjangoDbBlocker

from jobs.starting import start_operations
from shop.models import Hand
from shop.people import BENCH_SESSION, DEVICE_COOKIE, enrol_device
from tests import addresses, factories
from tests.addresses import ADDRESSES, Address, Things

ROLES = ("owner", "desk", "hand", "smith", "bench")


def patterns(resolver: URLResolver) -> Iterator[URLPattern]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from patterns(entry)
        else:
            yield entry


VIEWS = {str(pattern.name): pattern.callback for pattern in patterns(get_resolver())}


def test_every_address_is_in_the_table() -> None:
    assert set(VIEWS) == set(ADDRESSES)


@pytest.mark.parametrize("name", sorted(VIEWS))
def test_every_view_says_who_may_open_it(name: str) -> None:
    said = getattr(VIEWS[name], "may", None)
    assert said, f"{name} says nobody"
    roles = ADDRESSES[name].roles
    assert ("anyone" in said) == ("anyone" in roles)


@dataclass
class Cast:
    clients: dict[str, Client]
    things: Things


@pytest.fixture(scope="module")
def standing(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[Cast]:
    """One of each hand and thing for a whole module of hundreds of tests; what a test does is rolled back to here."""
    with django_db_blocker.unblock(), transaction.atomic():
        start_operations()
        factories.ShopFactory.create()
        yield make_cast()
        transaction.set_rollback(True)


def make_cast() -> Cast:
    """One browser for each role; the bench's is a PIN session of the owner, who may do no more there than others."""
    hand = factories.HandFactory.create
    wren, osk = hand(name="Wren", role=Hand.Role.OWNER), hand(name="Osk")
    hands = {"owner": wren, "desk": hand(name="Tamsin", role=Hand.Role.DESK), "hand": osk, "bench": wren}
    hands["smith"] = hand(name="Bram", role=Hand.Role.SMITH, trade=Hand.Trade.SMITH)
    clients = {"stranger": Client()}
    for role, of_role in hands.items():
        clients[role] = Client()
        clients[role].force_login(of_role.user)
    device, secret = enrol_device(name="bench 1", by=wren.user, at=addresses.NOW)
    clients["bench"].cookies[DEVICE_COOKIE] = secret
    session = clients["bench"].session
    session[BENCH_SESSION] = device.pk
    session.save()
    return Cast(clients, addresses.make_things(factories.take_pair(), wren, osk))


@pytest.fixture
def cast(standing: Cast, db: None) -> Cast:
    """The cast as it stands, with cookies and objects that no other test has changed."""
    clients = {role: Client() for role in standing.clients}
    for role, client in clients.items():
        client.cookies = deepcopy(standing.clients[role].cookies)
    return Cast(clients, deepcopy(standing.things))


def ask(client: Client, name: str, address: Address, things: Things) -> int:
    url = reverse(f"shop:{name}", kwargs=address.kwargs(things))
    return client.post(url).status_code if address.post else client.get(url).status_code


@pytest.mark.parametrize("name", sorted(ADDRESSES))
def test_each_role_gets_what_the_table_says(name: str, cast: Cast) -> None:
    address = ADDRESSES[name]
    open_to_all = "anyone" in address.roles
    stranger = ask(cast.clients["stranger"], name, address, cast.things)
    assert stranger != 302 if open_to_all and not address.redirects else stranger in (302, 405)
    if open_to_all:
        return
    for role in ROLES:
        status = ask(cast.clients[role], name, address, cast.things)
        if role == "smith" and role not in address.roles:
            assert status == 403, f"{role} got {status}"
        elif role in address.roles:
            assert status not in (403, 405, 500), f"{role} got {status}"
            if not address.post and not address.redirects:
                assert status == 200, f"{role} got {status}"
        else:
            assert status == address.foreign, f"{role} got {status}"


@pytest.mark.parametrize("name", sorted(name for name, address in ADDRESSES.items() if address.post))
def test_a_get_changes_nothing(name: str, cast: Cast) -> None:
    url = reverse(f"shop:{name}", kwargs=ADDRESSES[name].kwargs(cast.things))
    assert cast.clients["owner"].get(url).status_code in (403, 405)


@pytest.mark.parametrize(
    "name", sorted(name for name, address in ADDRESSES.items() if address.kwargs is not addresses.none)
)
def test_what_is_not_there_is_404(name: str, cast: Cast) -> None:
    address = ADDRESSES[name]
    missing = {
        key: 999_999 if isinstance(value, int) else str(uuid.uuid4()) if key == "token" else "no-such"
        for key, value in address.kwargs(cast.things).items()
    }
    role = next((role for role in ROLES if role in address.roles), "bench")
    url = reverse(f"shop:{name}", kwargs=missing)
    client = cast.clients[role]
    assert (client.post(url) if address.post else client.get(url)).status_code == 404
