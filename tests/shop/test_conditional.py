"""A page that was fetched already is answered with 304 until anything is saved, and to nobody else."""

import uuid
from collections.abc import Callable
from datetime import timedelta
from html import unescape

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from jobs.models import Order
from jobs.orders import place_hold
from shop import conditional
from shop.models import Hand
from shop.views import orders
from tests import factories
from tests.conftest import operation
from tests.factories import NOW
from tests.timing.test_concurrency import a_file

__all__ = ["a_file"]  # the fixture of a database that other connections can watch

pytestmark = pytest.mark.usefixtures("a_file")
PAGES = ("/orders/", "/orders/closed/", "{order}", "/quotes/", "/bench/kept/")


@pytest.fixture(autouse=True)
def a_minute_stands_still(monkeypatch: pytest.MonkeyPatch) -> None:
    """The minute does not end in the middle of a test."""
    monkeypatch.setattr(timezone, "now", lambda: NOW)


def page_of(order: Order) -> str:
    return f"/orders/{order.number}/"


def tag(client: Client, path: str) -> str:
    """The page's tag once its cookies are set."""
    client.get(path)
    response = client.get(path)
    assert response.status_code == 200
    assert f'data-tag="{response["ETag"]}"' in unescape(response.text)
    return response["ETag"]


def again(client: Client, path: str, seen: str) -> int:
    return client.get(path, headers={"If-None-Match": seen}).status_code


@pytest.mark.parametrize("page", PAGES)
def test_unchanged_is_304(owner: Client, order: Order, page: str) -> None:
    path = page.format(order=page_of(order))
    seen = tag(owner, path)
    response = owner.get(path, headers={"If-None-Match": seen})
    assert (response.status_code, response.content) == (304, b"")
    assert response["ETag"] == seen
    assert {"private", "no-cache"} <= set(response["Cache-Control"].split(", "))
    assert "Cookie" in response["Vary"]


def test_304_costs_as_much_whatever_the_page(owner: Client, order: Order) -> None:
    for _ in range(5):
        factories.take_pair()
    counts = set()
    for page in PAGES:
        path = page.format(order=page_of(order))
        seen = tag(owner, path)
        with CaptureQueriesContext(connection) as asked:
            assert again(owner, path, seen) == 304
        counts.add(len(asked))
    # The session, who it is, and the shop; on PostgreSQL the stamp.
    assert counts == {3 if connection.vendor == "sqlite" else 4}


ACTS: dict[str, Callable[[Client, Order], object]] = {
    "a tap": lambda client, order: client.post("/bench/fact/", fact_of(order)),
    "a promise": lambda client, order: client.post(f"{page_of(order)}promise/", {"reason": "no timber"}),
    "a state": lambda client, order: client.post(f"{page_of(order)}state/", {"seen": "taken", "state": "in_hand"}),
    "a hold": lambda client, order: client.post(
        f"{page_of(order)}holds/new/", {"kind": "timber", "what": "elm", "where": "order"}
    ),
    "its details": lambda client, order: client.post(
        f"{page_of(order)}details/", {"customer": "Ash Farm", "carriage": "Gig"}
    ),
    "a piece away": lambda client, order: client.post(
        f"/trades/piece/{factories.task(order, 'weld-tyre').pk}/sent/", {"token": uuid.uuid4(), "pieces": "1"}
    ),
    "a word": lambda client, order: client.post("/settings/words/", WORDS),
    "an operation": lambda client, order: client.post(f"/settings/operations/{operation('saw-felloe').pk}/retire/"),
    "another's sign-in": lambda client, order: Client().force_login(Hand.objects.get(name="Tamsin").user),
    "what a command does": lambda client, order: place_hold(order, kind="timber", what="elm", at=NOW),
}
WORDS = {
    "word_hub": "nave",
    "word_hubs": "naves",
    "word_felloe": "felly",
    "word_felloes": "fellies",
    "word_tyre": "tire",
    "word_tyres": "tires",
}


def fact_of(order: Order) -> dict[str, object]:
    task, now = factories.task(order, "rough-spoke"), NOW.isoformat()
    told = {"token": uuid.uuid4(), "operation": task.operation_id, "lot": task.lot_id, "made": 1}
    return told | {"done_at": now, "sent_at": now}


@pytest.mark.parametrize("act", sorted(ACTS))
def test_what_is_saved_changes_it(owner: Client, tamsin: Hand, order: Order, act: str) -> None:
    path = page_of(order)
    seen = tag(owner, path)
    done = ACTS[act](owner, order)
    assert getattr(done, "status_code", 302) < 400
    assert again(owner, path, seen) == 200
    assert again(owner, path, tag(owner, path)) == 304


def test_another_hand_has_another_tag(owner: Client, tamsin: Hand, order: Order) -> None:
    other = Client()
    other.force_login(tamsin.user)
    theirs = tag(other, page_of(order))
    assert again(owner, page_of(order), theirs) == 200
    assert again(other, page_of(order), theirs) == 304


def test_who_signs_in_anew_gets_the_page_anew(owner: Client, wren: Hand, order: Order) -> None:
    seen = tag(owner, page_of(order))
    owner.cookies["csrftoken"] = "x" * 32
    assert again(owner, page_of(order), seen) == 200


def test_another_question_has_another_tag(owner: Client, order: Order) -> None:
    assert again(owner, "/orders/?q=gig", tag(owner, "/orders/")) == 200


def test_time_that_passes_changes_it(owner: Client, order: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "SESSION_ENDS", {"desk": (timedelta(days=2), timedelta(days=2))})
    minute, day = tag(owner, page_of(order)), tag(owner, "/orders/closed/")
    monkeypatch.setattr(timezone, "now", lambda: NOW + timedelta(minutes=1))
    assert again(owner, page_of(order), minute) == 200
    assert again(owner, "/orders/closed/", day) == 304
    monkeypatch.setattr(timezone, "now", lambda: NOW + timedelta(days=1))
    assert again(owner, "/orders/closed/", day) == 200


def test_other_code_changes_it(owner: Client, order: Order, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = tag(owner, page_of(order))
    monkeypatch.setattr(conditional, "code_version", lambda: "newer")
    assert again(owner, page_of(order), seen) == 200


def test_what_is_told_once_has_no_tag(owner: Client, order: Order) -> None:
    seen = tag(owner, page_of(order))
    told = owner.post(f"{page_of(order)}state/", {"seen": "taken", "state": "in_hand"})
    assert told.status_code == 302
    owner.post(f"{page_of(order)}holds/new/", {"kind": "timber", "what": "elm", "where": "order"})
    response = owner.get(page_of(order), headers={"If-None-Match": seen})
    assert "It waits for elm." in response.text
    assert "ETag" not in response
    assert "It waits for elm." not in owner.get(page_of(order)).text


def test_who_has_left_is_told_so_first(client: Client, tamsin: Hand, wren: Hand, order: Order) -> None:
    client.force_login(tamsin.user)
    seen = tag(client, page_of(order))
    Hand.objects.filter(pk=tamsin.pk).update(role=Hand.Role.SMITH)
    assert again(client, page_of(order), seen) == 403
    client.logout()
    assert again(client, page_of(order), seen) == 302


def test_what_is_gone_or_leads_elsewhere_has_no_tag(owner: Client, order: Order) -> None:
    assert "ETag" not in owner.get("/orders/99999/")
    assert "ETag" not in owner.get(f"/orders/?q={order.number}")


def test_what_is_sent_is_never_answered_from_what_was_seen(owner: Client, order: Order) -> None:
    response = owner.post(f"{page_of(order)}state/", {"seen": "ready", "state": "paid"}, headers={"If-None-Match": "*"})
    assert response.status_code == 409
    assert "ETag" not in response


def test_a_page_drawn_while_another_saves_is_asked_for_again(
    owner: Client, order: Order, monkeypatch: pytest.MonkeyPatch
) -> None:
    cost = orders.order_cost

    def saved_meanwhile(*args: object, **others: object) -> object:
        place_hold(order, kind="timber", what="elm", at=NOW)
        return cost(*args, **others)  # type: ignore[arg-type]

    owner.get(page_of(order))
    monkeypatch.setattr(orders, "order_cost", saved_meanwhile)
    stale = owner.get(page_of(order))["ETag"]
    monkeypatch.undo()
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    assert again(owner, page_of(order), stale) == 200
