"""Nobody reaches another's things by guessing a number, and nobody's role reaches further than its own rooms."""

import uuid
from collections.abc import Mapping

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import Order, Task, Trip, Wheel
from shop.models import Hand
from tests import addresses, factories
from tests.addresses import ADDRESSES, Things
from tests.factories import fact, task
from tests.shop.test_addresses import Cast, cast, standing  # noqa: F401 - fixtures
from tests.written import install, written
from timing.models import Stretch
from timing.models.facts import Source
from timing.record import record

NESTED = sorted(
    name
    for name, address in ADDRESSES.items()
    if address.kwargs in (addresses.of_lot, addresses.of_wheel, addresses.of_hold, addresses.of_move)
)
# Osk is "hand": what he told is foreign to all these.
OTHERS = ("owner", "desk", "smith", "bench")


@pytest.fixture
def other(cast: Cast) -> Order:  # noqa: F811
    """Another order, of the same make-up."""
    return factories.take_pair()


def ask_all_ways(client: Client, url: str) -> set[int]:
    return {client.get(url).status_code, client.post(url, {"token": uuid.uuid4(), "hand": ""}).status_code}


@pytest.mark.parametrize("name", NESTED)
def test_a_thing_is_not_found_under_another_orders_number(name: str, cast: Cast, other: Order) -> None:  # noqa: F811
    """A lot, wheel, hold or move belongs to its order: the number and the id must go together."""
    kwargs = dict(ADDRESSES[name].kwargs(cast.things)) | {"number": other.number}
    if name == "move-undo":  # that move went to a third order
        other.refresh_from_db()
    install()
    url = reverse(f"shop:{name}", kwargs=kwargs)
    assert ask_all_ways(cast.clients["owner"], url) <= {404, 405}
    assert written() == {}


def own(cast: Cast) -> Stretch:  # noqa: F811
    return addresses.own_stretch(cast.things, cast.things.hand)


@pytest.mark.parametrize("role", OTHERS)
@pytest.mark.parametrize("name", ["bench-correct", "bench-dispute"])
def test_a_stretch_is_its_own_hands_at_the_bench(name: str, role: str, cast: Cast) -> None:  # noqa: F811
    url = reverse(f"shop:{name}", kwargs={"token": str(own(cast).token)})
    install()
    assert ask_all_ways(cast.clients[role], url) == {403 if role == "smith" else 404}
    assert written() == {}


@pytest.mark.parametrize("role", OTHERS)
def test_another_hands_work_is_not_undone_at_the_bench(role: str, cast: Cast) -> None:  # noqa: F811
    told = {"token": uuid.uuid4(), "cancels": own(cast).token, "done_at": timezone.now().isoformat()}
    install()
    assert cast.clients[role].post(reverse("shop:bench-undo"), told).status_code in (403, 422)
    assert written() == {}


@pytest.mark.parametrize("role", OTHERS)
def test_another_hands_page_shows_none_of_it(role: str, cast: Cast) -> None:  # noqa: F811
    record(fact(cast.things.task, cast.things.hand, note="only for Osk to read"), now=factories.NOW)
    for page in ("bench-mine", "bench-job"):
        assert "only for Osk to read" not in cast.clients[role].get(reverse(f"shop:{page}")).content.decode()


@pytest.mark.parametrize("role", OTHERS)
def test_a_fact_in_another_hands_name_is_refused(role: str, cast: Cast) -> None:  # noqa: F811
    there = cast.things.task
    told = {"token": uuid.uuid4(), "operation": there.operation_id, "lot": there.lot_id, "made": 1}
    install()
    answer = cast.clients[role].post(reverse("shop:bench-fact"), told | {"hand": cast.things.hand.user_id})
    assert answer.status_code == 403
    assert written() == {}


def told_from_the_list(there: Task, by: Hand) -> Stretch:
    now = timezone.now()
    stretch = record(fact(there, by, minutes=None, done_at=now, source=Source.LIST), now=now).stretch
    assert stretch is not None
    return stretch


@pytest.mark.parametrize("role", ["smith", "bench"])
def test_what_another_told_from_a_list_is_theirs_or_the_desks_to_undo(role: str, cast: Cast) -> None:  # noqa: F811
    stretch = told_from_the_list(cast.things.iron, cast.things.hand)
    install()
    assert cast.clients[role].post(reverse("shop:trade-undo", args=[stretch.pk])).status_code == 403
    assert written() == {}


def of_the_bench(things: Things) -> Mapping[str, int]:
    """What a smith's account has no list for, by address: a painter's task, its trip, what was told of it."""
    wheel = Wheel.objects.filter(lot=things.lot)[0]
    there = task(things.order, "paint", wheel) if Task.objects.filter(operation__key="paint").exists() else None
    there = there or Task.objects.filter(operation__trade="painter", lot=things.lot)[0]
    trip = Trip.objects.create(task=there, to_whom="the painter", sent_at=factories.NOW, token=uuid.uuid4())
    told = told_from_the_list(there, things.hand)
    return {
        "trade-piece": there.pk,
        "trade-send": there.pk,
        "trade-made": there.pk,
        "trade-back": trip.pk,
        "trade-undo": told.pk,
    }


def test_the_smith_has_the_smiths_list_only(cast: Cast) -> None:  # noqa: F811
    foreign = of_the_bench(cast.things)
    assert set(foreign) == {name for name in ADDRESSES if name.startswith("trade-")}
    install()
    for name, pk in foreign.items():
        assert ask_all_ways(cast.clients["smith"], reverse(f"shop:{name}", args=[pk])) <= {403, 405}, name
    assert cast.clients["smith"].get(reverse("shop:trade", args=["painter"])).status_code == 403
    assert written() == {}


@pytest.mark.parametrize("name", sorted(name for name, address in ADDRESSES.items() if "bench" not in address.roles))
def test_a_pin_opens_the_bench_only(name: str, cast: Cast) -> None:  # noqa: F811
    """Even an owner's: signed in at the bench they are a hand at the bench."""
    own = ("bench-correct", "bench-dispute", "bench-pay-sheet", "bench-notice", "bench-notice-paper")
    if "anyone" in ADDRESSES[name].roles or name in own:
        return  # the door, and what is one's own
    url = reverse(f"shop:{name}", kwargs=ADDRESSES[name].kwargs(cast.things))
    install()
    assert ask_all_ways(cast.clients["bench"], url) <= {403, 405}
    assert written() == {}


@pytest.mark.parametrize("role", ["hand", "bench", "smith"])
@pytest.mark.parametrize("page", ["order", "wheel", "lot", "order-book", "smith", "trade-piece", "as-made"])
def test_who_does_not_keep_orders_sees_no_money(page: str, role: str, cast: Cast) -> None:  # noqa: F811
    things = cast.things
    addresses.of_outwork(things)
    things.order.customer.contact = "0117 496 0000"
    things.order.customer.save(update_fields=["contact"])
    answer = cast.clients[role].get(reverse(f"shop:{page}", kwargs=ADDRESSES[page].kwargs(things)))
    assert answer.status_code in (200, 403)
    assert "£" not in answer.content.decode()
    assert "12.50" not in answer.content.decode()
