"""The example shop: as much as it says, whole where it is closed, alive where it is open."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from statistics import median

import pytest
from django.contrib.auth import authenticate
from django.contrib.auth.hashers import check_password
from django.db.models import Min, Sum

from jobs.models import Hold, Lot, Measure, Operation, Order, Promise, Trip, Wheel
from jobs.models.operations import Work as WorkKind
from jobs.work import Work, load_work
from shop.costing import order_cost
from shop.example import SIGN_IN, ExampleRefused, Loaded, load_example
from shop.example.money import tyre_bar_pence
from shop.models import Device, Hand, Issue, Outwork, Quote, Rate, Revision, Shop
from tests.factories import makeup, take_away
from tests.shop.example_shop import TODAY
from tests.shop.example_shop import example as example
from timing.models import Stretch, Tally
from timing.recount import find_faults
from timing.standing import last_done

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("example")]
NOW = datetime.combine(TODAY, time(9), tzinfo=UTC)


def stretches(**told: object) -> int:
    return Stretch.objects.filter(**told).count()


def work_of(*orders: Order) -> Work:
    return load_work(list(orders), now=NOW, last_done=last_done(orders))


def order_at(carriage: str, state: str = Order.State.IN_HAND) -> Order:
    return Order.objects.get(carriage=carriage, state=state)


def made(work: Work, key: str) -> list[tuple[int, int]]:
    return [(task.made, task.wanted) for task in work.tasks() if task.operation.key == key]


def test_it_works(example: Loaded) -> None:
    shop = Shop.objects.get()
    assert shop.is_example
    assert shop.smith_days == [3]
    assert example.orders == Order.objects.count()
    assert example.stretches == Stretch.objects.count()
    assert 9_000 <= example.stretches <= 12_000


def test_quotations_stand_in_every_way() -> None:
    states = Counter(Revision.objects.values_list("state", flat=True))
    assert states.pop("accepted") > 5
    assert states == {"draft": 1, "refused": 1, "sent": 2}
    good_until = Revision.objects.sent().order_by("last_on").values_list("last_on", flat=True)
    assert good_until[0] < TODAY <= good_until[1]
    for quote in Quote.objects.exclude(order=None):
        order, revision = quote.order, quote.revisions.get()
        assert order is not None
        assert order.customer == quote.customer
        assert [lot.makeup for lot in order.lots.filter(dropped_at=None)] == [lot.makeup for lot in revision.lots.all()]
        assert revision.sent_at
        assert revision.answered_at
        assert revision.sent_at.date() < revision.answered_at.date() == order.taken_on
    assert {quote.order.is_open for quote in Quote.objects.exclude(order=None) if quote.order} == {True, False}


def test_counters_equal_facts() -> None:
    assert find_faults() == []


def test_there_are_orders_of_every_kind() -> None:
    assert Order.objects.closed().exclude(state=Order.State.DROPPED).count() >= 30
    assert set(Order.objects.values_list("state", flat=True)) == set(Order.State.values)
    assert set(Lot.objects.values_list("work", flat=True)) >= set(WorkKind.values) - {WorkKind.NEW_HUB}
    assert set(Counter(Wheel.objects.values_list("lot__order", flat=True)).values()) >= {1, 2, 3, 4}
    assert set(Lot.objects.values_list("hub", flat=True)) == {"wood", "bolted"}
    assert set(Lot.objects.values_list("rim", flat=True)) == {"sawn", "bent"}
    assert Lot.objects.exclude(library=None).values("library").distinct().count() >= 13


def test_an_order_with_hubs_of_its_own_copies_no_makers_wheel() -> None:
    lot = Lot.objects.get(hub="bolted")
    assert (lot.library, lot.order.carriage, lot.hub_timber) == (None, "Fire engine", "")
    assert not Operation.objects.filter(key="chop-mortise", tasks__lot=lot).exists()


def test_there_are_fourteen_months_of_it() -> None:
    first = Stretch.objects.aggregate(first=Min("done_on"))["first"]
    assert (TODAY - first).days >= 14 * 30.5
    months = set(Stretch.objects.values_list("done_on__year", "done_on__month"))
    assert len(months) >= 14
    assert not Stretch.objects.filter(done_on__gte=TODAY).exists()
    assert Stretch.objects.filter(done_on__gte=date(2026, 2, 27)).exists()


def test_the_people_can_sign_in_as_it_is_told() -> None:
    roles = Counter(Hand.objects.working().exclude(role__in=["owner", "desk"]).values_list("role", "apprentice"))
    assert roles == {("hand", False): 4, ("hand", True): 1, ("smith", False): 1}
    for one in SIGN_IN:
        hand = Hand.objects.get(name=one.name)
        assert hand.role == one.role
        if one.role == Hand.Role.HAND:
            assert bool(hand.pin_hash) == bool(one.secret)
            assert not one.secret or check_password(one.secret, hand.pin_hash)
            assert not hand.user.has_usable_password()
        else:
            assert authenticate(username=one.name, password=one.secret) == hand.user
    assert {bool(one.secret) for one in SIGN_IN if one.role == Hand.Role.HAND} == {True, False}
    assert not Device.objects.exists()


def test_what_is_closed_or_ready_is_whole() -> None:
    finished = list(Order.objects.filter(state__in=[Order.State.READY, Order.State.FETCHED, Order.State.PAID]))
    work = work_of(*finished)
    assert [task for task in work.tasks() if work.left(task)] == []
    assert all(order.ended_on for order in finished if order.state != Order.State.READY)


def test_spoiled_pieces_were_made_again() -> None:
    spoiled = Tally.objects.filter(spoiled__gt=0)
    assert 40 <= spoiled.count() <= 150
    assert set(spoiled.values_list("reason", flat=True)) == {"timber", "work", "other"}
    rough = work_of(*Order.objects.filter(state=Order.State.PAID))
    more = [task for task in rough.tasks() if task.operation.key == "rough-spoke" and task.made > task.wanted]
    assert more


def test_one_order_waits_for_a_hoop_at_the_forge() -> None:
    trip = Trip.objects.get(back_at=None)
    order = trip.task.lot.order
    assert (order, trip.task.operation.key) == (order_at("Wagonette"), "weld-tyre")
    assert trip.expected_on
    assert trip.expected_on > TODAY
    assert trip.expected_on.weekday() == 3
    work = work_of(order)
    assert all(good == wanted for good, wanted in made(work, "clean-off"))
    assert sorted(made(work, "run-wheel")) == [(0, 1), (0, 1), (1, 1), (1, 1)]
    ready = [task for task in work.tasks() if task.operation.key == "weld-tyre" and work.ready(task).units]
    assert ready


def test_one_order_is_half_driven() -> None:
    work = work_of(order_at("Two-horse wagon"))
    fore, hind = work.lots(order_at("Two-horse wagon"))
    driven = [task.made for task in work.tasks(lot=fore) if task.operation.key == "drive-spoke"]
    assert driven == [12, 5]
    assert [task.made for task in work.tasks(lot=hind) if task.operation.key == "chop-mortise"] == [9, 0]


def test_one_order_is_just_begun_and_waits_for_elm() -> None:
    order = order_at("Farm cart")
    hold = Hold.objects.get(order=order, lifted_at=None)
    assert hold.kind == Hold.Kind.TIMBER
    assert "lm" in hold.what
    work = work_of(order)
    assert {task.operation.key for task in work.tasks() if task.made} == {"rough-spoke"}
    assert not any(work.ready(task).units for task in work.tasks())


def test_one_order_is_being_painted() -> None:
    work = work_of(order_at("Dog-cart"))
    assert {task.operation.key for task in work.tasks() if work.left(task)} == {"coat", "line"}
    ((coats, wanted),) = made(work, "coat")
    assert 4 <= coats < wanted


def test_repairs_wait_for_the_customer_s_word() -> None:
    waiting = Hold.objects.filter(lifted_at=None, kind=Hold.Kind.CUSTOMER)
    assert waiting.count() == 2
    for hold in waiting:
        work = work_of(hold.order)
        assert {task.operation.key for task in work.tasks()} == {"take-in", "strip", "look-over"}
        assert not any(work.left(task) for task in work.tasks())
        assert hold.expected_on
    assert Hold.objects.filter(kind=Hold.Kind.CUSTOMER, lifted_at__isnull=False).count() >= 6


def day_of(hand: Hand) -> Iterator[list[tuple[datetime, datetime]]]:
    """The timed stretches that stand of each of a hand's days, helping too."""
    undone = Stretch.objects.exclude(cancels_token=None).values("cancels_token")
    timed = Stretch.objects.filter(cancels_token=None, started_at__isnull=False).exclude(token__in=undone)
    days: dict[date, list[tuple[datetime, datetime]]] = defaultdict(list)
    for mine in (timed.filter(hand=hand.user), timed.filter(helpers__hand=hand.user)):
        for day, start, end in mine.values_list("done_on", "started_at", "done_at"):
            days[day].append((start, end))
    yield from (sorted(day) for day in days.values())


def test_nobody_is_in_two_places() -> None:
    for hand in Hand.objects.filter(role__in=["hand", "smith"]):
        for day in day_of(hand):
            for (_, end), (start, _) in pairwise(day):
                assert end <= start, f"{hand} works twice at {start}"


def test_days_are_worked_in_the_shop_s_own_time() -> None:
    """Nobody starts before half past seven or on a Sunday, in summer or winter."""
    zone = Shop.objects.get().zone
    starts = Stretch.objects.filter(started_at__isnull=False).values_list("started_at", flat=True)
    local = [start.astimezone(zone) for start in starts]
    assert min(start.time() for start in local) == time(7, 30)
    assert max(start.time() for start in local) < time(17, 30)
    assert {start.weekday() for start in local} == {0, 1, 2, 3, 4, 5}
    assert not any(time(12, 0) < start.time() < time(12, 45) for start in local)
    assert {start.utcoffset() for start in local} == {timedelta(0), timedelta(hours=1)}


def test_the_smith_comes_on_thursdays() -> None:
    days = Stretch.objects.filter(hand__username="Bram", cancels_token=None).values_list("done_on", flat=True)
    assert {day.weekday() for day in days} == {3}
    assert {trip.sent_at.weekday() for trip in Trip.objects.all()} == {3}


def test_it_is_told_as_people_tell_it() -> None:
    """Slips, breaks, shop work, help and lumps are all there."""
    assert {kind for kind in Stretch.Kind.values if stretches(kind=kind)} == set(Stretch.Kind.values)
    work = stretches(kind=Stretch.Kind.WORK)
    assert 0.003 * work < Stretch.objects.exclude(cancels_token=None).count() < 0.02 * work
    assert 0.003 * work < stretches(kind=Stretch.Kind.WORK, seconds=None) < 0.03 * work
    assert Stretch.objects.filter(helpers__isnull=False).count() > 500
    assert Tally.objects.filter(made__gte=7).count() > 300
    assert Tally.objects.filter(made=0, spoiled=0, stretch__cancels_token=None).count() > 100
    assert Stretch.objects.filter(tallies__task__operation__key="fire").count() > 25


def test_one_clock_in_a_hundred_was_left_running() -> None:
    book = dict(Operation.objects.values_list("pk", "book_seconds"))
    units = Stretch.objects.filter(cancels_token=None, kind=Stretch.Kind.WORK, seconds__gt=0).annotate(
        n=Sum("tallies__made")
    )
    strays = sum(
        seconds > 3.5 * (book[key] or 0) * max(1, n)
        for key, seconds, n in units.values_list("operation", "seconds", "n")
    )
    assert 0.008 * units.count() < strays < 0.03 * units.count()


def test_a_batch_begins_slowly_and_gets_quicker() -> None:
    """The first piece holds the setting-up, and later pieces take less than early ones, over all long batches."""
    taps = Stretch.objects.filter(cancels_token=None, tallies__made=1, operation__per="spoke", seconds__gt=0)
    batches: dict[tuple[object, ...], list[int]] = defaultdict(list)
    places = ("hand", "operation", "tallies__task__lot__order")
    for *batch, seconds in taps.order_by("done_at").values_list(*places, "seconds"):
        batches[tuple(batch)].append(seconds)
    long = [batch for batch in batches.values() if len(batch) >= 18]
    assert len(long) >= 40
    assert median(batch[0] / median(batch) for batch in long) > 1.3
    assert median(median(batch[1:6]) / median(batch[12:18]) for batch in long) > 1.08


def test_money_and_measures_are_there() -> None:
    assert Rate.objects.filter(kind=Rate.Kind.OVERHEAD).count() == 2
    costs = Rate.objects.filter(kind=Rate.Kind.COST, hand__username="Osk").order_by("from_on")
    assert costs[0].amount_millipence < costs[1].amount_millipence
    assert costs[0].from_on <= Stretch.objects.aggregate(first=Min("done_on"))["first"]
    assert Outwork.objects.filter(trip__isnull=False).count() == Trip.objects.exclude(back_at=None).count()
    assert Issue.objects.filter(lot=None).exists()
    assert Issue.objects.filter(lot__isnull=False).exists()
    assert set(Measure.objects.values_list("kind", flat=True)) == set(Measure.Kind.values)
    assert Promise.objects.exclude(reason="").count() >= 8
    assert not Promise.objects.exclude(reason="").filter(told_on=None).exists()


def test_tyre_bar_is_sold_by_its_weight() -> None:
    # 46 in over the wood, a bar of 1 1/2 x 1/2 in: 3.1416 x 1.1811 m x 0.0381 m x 0.0127 m is 0.0017954 m3, 14.094 kg.
    assert tyre_bar_pence(makeup()) == 2678
    bars = set(Issue.objects.filter(what="Tyre bar").values_list("amount_pence", "lot__tyre_width_nm"))
    assert len({pence for pence, _ in bars}) >= 5
    assert all(200 < pence < 40_000 for pence, _ in bars)


def test_what_the_forge_made_has_its_price_and_is_not_called_untimed() -> None:
    for trip in Trip.objects.exclude(back_at=None).select_related("task__lot__order")[:5]:
        assert Tally.objects.get(task=trip.task, made=1).seconds is None
        notes = " ".join(order_cost(trip.task.lot.order).notes)
        assert "weld" not in notes
    take_away(Outwork.objects.filter(trip=trip))
    assert "weld" in " ".join(order_cost(trip.task.lot.order).notes)


def test_it_goes_only_into_an_empty_shop() -> None:
    before = Stretch.objects.count()
    with pytest.raises(ExampleRefused, match="goes only into an empty one"):
        load_example(TODAY)
    assert Stretch.objects.count() == before
