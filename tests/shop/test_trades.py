"""The smith's list: what is on it and when, and what is pressed on it."""

import uuid
from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.models import Measure, Order, Task, Trip, Wheel
from jobs.models.operations import Operation
from jobs.orders import place_hold
from shop.charges import take_back
from shop.models import Hand, Outwork, Shop
from shop.trade_page import ordinal, weekday_in_words
from shop.trades import When, done_today, next_day, read_list
from tests.factories import NOW, fact, take_pair, task
from timing.corrections import as_told, correct, with_changes
from timing.models import Stretch
from timing.record import record
from timing.setting_aside import AsideWish, set_aside


def wheel(order: Order) -> Wheel:
    return Wheel.objects.filter(lot__order=order).order_by("number")[0]


def finish_up_to(order: Order, key: str, osk: Hand) -> None:
    """Everything before an operation of the wheels is done, untimed."""
    last = Operation.objects.get(key=key).position
    tasks = Task.objects.filter(lot__order=order, operation__position__lt=last).select_related("operation")
    for one in tasks.order_by("operation__position"):
        record(fact(one, osk, made=one.wanted, minutes=None), now=NOW)


@pytest.fixture
def hooped(order: Order, osk: Hand) -> Task:
    """Both wheels are ready for their tyres; the task is the first wheel's hoop."""
    finish_up_to(order, "weld-tyre", osk)
    return task(order, "weld-tyre", wheel(order))


def post(client: Client, name: str, pk: int, **answers: object) -> int:
    return client.post(reverse(f"shop:{name}", args=[pk]), {"token": uuid.uuid4()} | answers).status_code


def test_a_fresh_order_wants_nothing_of_the_smith_yet(order: Order) -> None:
    listed = read_list("smith", now=NOW)
    assert listed.wanted == []
    assert {row.when for row in listed.rows} == {When.LATER}


def test_bands_wait_for_hubs_that_are_at_hand(order: Order, osk: Hand) -> None:
    record(fact(task(order, "get-out-hub"), osk, made=2), now=NOW)
    [row] = read_list("smith", now=NOW).wanted
    assert (row.task.operation.key, row.when, row.left) == ("make-band", When.SOON, 4)


def test_a_hoop_is_listed_once_with_what_follows(hooped: Task) -> None:
    listed = read_list("smith", now=NOW)
    assert [row.task.operation.key for row in listed.wanted] == ["weld-tyre", "weld-tyre"]
    assert {row.task.operation.key for row in listed.then(listed.wanted[0])} == {"fire", "shrink-tyre"}


def test_the_longest_waiting_is_first(hooped: Task, osk: Hand) -> None:
    other = take_pair()
    last = Operation.objects.get(key="weld-tyre").position
    earlier = NOW - timedelta(days=3)
    for one in Task.objects.filter(lot__order=other, operation__position__lt=last).order_by("operation__position"):
        record(fact(one, osk, made=one.wanted, minutes=None, done_at=earlier), now=NOW)
    assert [row.order.number for row in read_list("smith", now=NOW).wanted] == [other.number] * 2 + [1] * 2


def test_a_device_that_is_slow_makes_nothing_wait_longer(order: Order, osk: Hand) -> None:
    slow = NOW - timedelta(hours=3)
    for hub in Task.objects.filter(lot__order=order, operation__key__in=("get-out-hub", "turn-hub")):
        told = fact(hub, osk, made=hub.wanted, done_at=slow, started_at=None, sent_at=slow)
        record(told, now=NOW)
    [row] = read_list("smith", now=NOW).wanted
    assert (row.task.operation.key, row.since) == ("make-band", NOW)


@pytest.mark.parametrize(
    ("days", "today", "expected"),
    [
        ([3], date(2026, 2, 24), date(2026, 2, 26)),  # a Tuesday, and the Thursday after
        ([3], date(2026, 2, 26), date(2026, 2, 26)),
        ([0, 3], date(2026, 2, 27), date(2026, 3, 2)),
        ([], date(2026, 2, 27), None),
    ],
)
def test_the_smiths_next_day(days: list[int], today: date, expected: date | None) -> None:
    assert next_day(days, today) == expected


def test_the_page_groups_by_bar_and_gives_no_lengths(owner: Client, hooped: Task) -> None:
    page = owner.get(reverse("shop:smith")).content.decode()
    assert "Bar 38.1 × 12.7 mm" in page
    assert "measure the rim" in page
    assert "Hot work." in page
    assert "60 minutes" in page
    assert "°C" not in page


def test_to_the_forge_back_and_made(owner: Client, hooped: Task, bram: Hand) -> None:
    Shop.objects.update(smith_name="Bram", smith_days=[0, 1, 2, 3, 4, 5, 6])
    assert post(owner, "trade-send", hooped.pk, usual="1") == 302
    trip = Trip.objects.get()
    assert (trip.to_whom, trip.pieces, trip.expected_on) == ("Bram", 1, timezone.now().date())
    assert post(owner, "trade-back", trip.pk) == 302
    assert post(owner, "trade-made", hooped.pk, units="1") == 302
    trip.refresh_from_db()
    hooped.refresh_from_db()
    assert (trip.back_at is not None, hooped.made) == (True, 1)
    stretch = Stretch.objects.newest_first()[0]
    assert (stretch.hand, stretch.seconds, stretch.source) == (bram.user, None, "list")


def test_pressed_twice_counts_once(owner: Client, hooped: Task) -> None:
    token = uuid.uuid4()
    for name, answers in (("trade-send", {"usual": "1"}), ("trade-made", {"units": "1"})):
        for _ in range(2):
            assert post(owner, name, hooped.pk, token=token, **answers) == 302
    hooped.refresh_from_db()
    assert (Trip.objects.count(), hooped.made) == (1, 1)


def test_a_piece_goes_away_once(owner: Client, hooped: Task) -> None:
    assert post(owner, "trade-send", hooped.pk, usual="1") == 302
    response = owner.post(reverse("shop:trade-send", args=[hooped.pk]), {"token": uuid.uuid4(), "usual": "1"})
    assert response.status_code == 422
    assert "It is away already." in response.content.decode()


def test_back_with_its_price(owner: Client, hooped: Task) -> None:
    post(owner, "trade-send", hooped.pk, usual="1", to_whom="Forge Lane")
    trip = Trip.objects.get()
    told = {"token": uuid.uuid4(), "units": "1", "amount": "42.50"}
    for _ in range(2):
        assert post(owner, "trade-back", trip.pk, **told) == 302
    row = Outwork.objects.get()
    assert (row.amount_pence, row.trip, row.to_whom, row.wheel_id) == (4250, trip, "Forge Lane", hooped.wheel_id)
    hooped.refresh_from_db()
    assert hooped.made == 1


def test_what_is_told_of_a_piece_that_another_brought_back_is_kept(owner: Client, hooped: Task) -> None:
    """One presses Back on the list while another fills in the piece's own page."""
    post(owner, "trade-send", hooped.pk, usual="1")
    trip = Trip.objects.get()
    assert post(owner, "trade-back", trip.pk) == 302
    trip.refresh_from_db()
    back_at = trip.back_at
    told = {"token": uuid.uuid4(), "units": "1", "amount": "12.50"}
    for _ in range(2):
        assert post(owner, "trade-back", trip.pk, **told) == 302
    hooped.refresh_from_db()
    trip.refresh_from_db()
    row = Outwork.objects.get()
    assert (hooped.made, row.amount_pence, row.trip, trip.back_at) == (1, 1250, trip, back_at)


def test_a_trip_is_priced_once(owner: Client, hooped: Task) -> None:
    """The second of two who enter its price sees what the first wrote, and keeps what they filled in."""
    post(owner, "trade-send", hooped.pk, usual="1")
    trip = Trip.objects.get()
    assert post(owner, "trade-back", trip.pk, units="1", amount="12.50") == 302
    told = {"token": uuid.uuid4(), "units": "1", "amount": "13.75"}
    response = owner.post(reverse("shop:trade-back", args=[trip.pk]), told)
    assert response.status_code == 422
    page = response.content.decode()
    assert "Its price is entered already: take that back first if it is wrong." in page
    assert 'value="13.75"' in page
    hooped.refresh_from_db()
    assert (hooped.made, Outwork.objects.count()) == (1, 1)
    assert post(owner, "trade-back", trip.pk, units="1") == 302


def test_a_price_taken_back_may_be_entered_anew(owner: Client, hooped: Task, wren: Hand) -> None:
    post(owner, "trade-send", hooped.pk, usual="1")
    trip = Trip.objects.get()
    post(owner, "trade-back", trip.pk, amount="12.50")
    take_back(Outwork.objects.get(), token=uuid.uuid4(), reason="a slip", by=wren.user, at=NOW)
    assert post(owner, "trade-back", trip.pk, amount="13.75") == 302
    assert list(Outwork.objects.filter(trip=trip, cancels=None).values_list("amount_pence", flat=True)) == [1250, 1375]


def test_back_with_minutes_is_timed(owner: Client, hooped: Task, bram: Hand) -> None:
    post(owner, "trade-send", hooped.pk, usual="1")
    assert post(owner, "trade-back", Trip.objects.get().pk, units="1", minutes="55") == 302
    assert Stretch.objects.newest_first()[0].seconds == 3300


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        ({"units": "1", "minutes": "5", "amount": "3"}, "not both"),
        ({"minutes": "5"}, "Say how many were made in those minutes."),
        ({"amount": "x"}, "is not an amount of money"),
    ],
)
def test_back_refuses_what_cannot_be_meant(owner: Client, hooped: Task, answers: dict[str, str], sentence: str) -> None:
    post(owner, "trade-send", hooped.pk, usual="1")
    trip = Trip.objects.get()
    response = owner.post(reverse("shop:trade-back", args=[trip.pk]), {"token": uuid.uuid4()} | answers)
    assert response.status_code == 422
    assert sentence in response.content.decode()
    trip.refresh_from_db()
    assert trip.back_at is None


def test_a_slip_is_undone_from_the_list(owner: Client, hooped: Task) -> None:
    post(owner, "trade-made", hooped.pk, units="1")
    made = Stretch.objects.newest_first()[0]
    assert "Said today" in owner.get(reverse("shop:smith")).content.decode()
    for _ in range(2):
        assert owner.post(reverse("shop:trade-undo", args=[made.pk])).status_code == 302
    hooped.refresh_from_db()
    assert hooped.made == 0
    assert "Said today" not in owner.get(reverse("shop:smith")).content.decode()


def test_a_slip_that_two_undo_at_once_is_undone_once(owner: Client, client: Client, hooped: Task, bram: Hand) -> None:
    post(owner, "trade-made", hooped.pk, units="1", hand=bram.pk)
    made = Stretch.objects.newest_first()[0]
    assert made.hand == bram.user
    client.force_login(bram.user)
    for one in (owner, client):
        assert one.post(reverse("shop:trade-undo", args=[made.pk])).status_code == 302
    assert Stretch.objects.filter(cancels_token=made.token).count() == 1
    undoing = Stretch.objects.get(cancels_token=made.token)
    assert owner.post(reverse("shop:trade-undo", args=[undoing.pk])).status_code == 404


def test_a_hand_undoes_what_they_told_or_did_and_no_more(
    owner: Client, client: Client, hooped: Task, osk: Hand, bram: Hand
) -> None:
    """What the owner put down for the smith is not for every hand to take back."""
    post(owner, "trade-made", hooped.pk, units="1", hand=bram.pk)
    made = Stretch.objects.newest_first()[0]
    client.force_login(osk.user)
    assert client.post(reverse("shop:trade-undo", args=[made.pk])).status_code == 403
    assert not Stretch.objects.filter(cancels_token=made.token).exists()
    assert post(client, "trade-made", hooped.pk, units="1", hand=bram.pk) == 302
    own = Stretch.objects.newest_first()[0]
    assert client.post(reverse("shop:trade-undo", args=[own.pk])).status_code == 302


def test_what_is_put_right_or_set_aside_at_the_desk_was_not_said_from_the_list(
    client: Client, order: Order, osk: Hand, wren: Hand, tamsin: Hand
) -> None:
    """The owner's correction is the owner's to undo, in the day book."""
    now, spokes = timezone.now(), task(order, "shave-spoke")
    told = record(fact(spokes, osk, made=3, minutes=None, done_at=now), now=now).stretch
    assert told
    new = with_changes(as_told(told, list(told.tallies.all()), token=uuid.uuid4()), made=5, seconds=None, note="")
    right = correct(told, new, by_id=wren.user_id, now=now, source=Stretch.Source.DESK).stretch
    assert right
    aside = set_aside(AsideWish(uuid.uuid4(), spokes.pk, 2, "now 12", tamsin.user_id, now), now=now).stretch
    assert aside
    assert done_today("other", timezone.localdate(timezone=Shop.objects.get().zone)) == []
    client.force_login(tamsin.user)
    for desk_work in (right, aside):
        assert client.post(reverse("shop:trade-undo", args=[desk_work.pk])).status_code == 403
        assert not Stretch.objects.filter(cancels_token=desk_work.token).exists()


def test_bench_work_is_not_undone_from_a_list(owner: Client, hooped: Task, osk: Hand) -> None:
    told = record(fact(hooped, osk), now=NOW).stretch
    assert told
    assert owner.post(reverse("shop:trade-undo", args=[told.pk])).status_code == 403


def test_a_smith_sees_the_smiths_list_only(client: Client, hooped: Task, bram: Hand) -> None:
    client.force_login(bram.user)
    assert client.get(reverse("shop:smith")).status_code == 200
    assert client.get(reverse("shop:trade-piece", args=[hooped.pk])).status_code == 200
    assert client.get(reverse("shop:trade", args=["painter"])).status_code == 403
    coat = Task.objects.filter(operation__trade="painter")[0]
    assert client.get(reverse("shop:trade-piece", args=[coat.pk])).status_code == 403
    assert client.get(reverse("shop:day-book")).status_code == 403


def test_an_unknown_trade_is_not_there(owner: Client) -> None:
    assert owner.get(reverse("shop:trade", args=["cooper"])).status_code == 404


def test_measures_as_made(owner: Client, order: Order) -> None:
    there = wheel(order)
    url = reverse("shop:as-made", args=[order.number, there.pk])
    for _ in range(2):
        assert owner.post(url, {"run": "10 ft", "draw": "12 mm"}).status_code == 302
    assert dict(Measure.objects.values_list("kind", "value_nm")) == {"run": 3_048_000_000, "draw": 12_000_000}
    assert Measure.objects.count() == 2
    owner.post(url, {"run": "3050"})
    page = owner.get(url).content.decode()
    assert "<b>Run of the rim: 3050 mm</b>" in page
    assert "<s>3048 mm</s>" in page


@pytest.mark.parametrize(("answers", "sentence"), [({}, "one measure at least"), ({"run": "3/0"}, "3/0")])
def test_bad_measures_get_a_sentence(owner: Client, order: Order, answers: dict[str, str], sentence: str) -> None:
    url = reverse("shop:as-made", args=[order.number, wheel(order).pk])
    response = owner.post(url, {"draw": ""} | answers)
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Measure.objects.exists()


def test_the_queries_do_not_grow_with_the_orders(
    owner: Client, hooped: Task, django_assert_max_num_queries: object
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            owner.get(reverse("shop:smith"))
        return len(seen)

    few = queries()
    for _ in range(5):
        take_pair()
    assert queries() == few


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (date(2026, 2, 26), "Thursday 26th"),
        (date(2026, 3, 3), "Tuesday 3 March"),
        (date(2026, 5, 1), "1 May"),
        (date(2027, 5, 1), "1 May 2027"),
    ],
)
def test_days_are_said_as_near_as_they_are(day: date, words: str) -> None:
    assert weekday_in_words(day, date(2026, 2, 24)) == words


@pytest.mark.parametrize(
    ("number", "words"), [(1, "1st"), (2, "2nd"), (3, "3rd"), (4, "4th"), (11, "11th"), (22, "22nd")]
)
def test_days_of_the_month_are_numbered_as_spoken(number: int, words: str) -> None:
    assert ordinal(number) == words


def test_a_hold_keeps_a_piece_off_the_list(hooped: Task) -> None:
    place_hold(hooped.lot.order, kind="goods", what="bar", at=NOW, wheel=hooped.wheel)
    rows = {row.task.pk: row.when for row in read_list("smith", now=NOW).rows}
    assert rows[hooped.pk] == When.LATER


def test_what_goes_to_the_painter_is_not_with_the_smith(owner: Client, order: Order) -> None:
    Shop.objects.update(smith_name="Rook's forge", smith_days=[3])
    coat = Task.objects.filter(lot__order=order, operation__trade="painter")[0]
    page = owner.get(reverse("shop:trade-piece", args=[coat.pk])).content.decode()
    assert "Rook" not in page
    assert post(owner, "trade-send", coat.pk, usual="1", pieces="1") == 302
    trip = Trip.objects.get(task=coat)
    assert (trip.to_whom, trip.expected_on) == ("the painter", None)


def test_a_list_for_the_painter(owner: Client, order: Order) -> None:
    page = owner.get(reverse("shop:trade", args=["painter"])).content.decode()
    assert "Painter&#x27;s list" in page
    assert "Measured" not in page


def test_bench_work_sent_out_is_on_its_own_list(owner: Client, order: Order) -> None:
    box = Task.objects.filter(lot__order=order, operation__key="fit-box")[0]
    assert post(owner, "trade-send", box.pk, to_whom="Corner foundry") == 302
    page = owner.get(reverse("shop:trade", args=["other"])).content.decode()
    assert "Corner foundry" in page


@pytest.mark.parametrize(("pieces", "sentence"), [("3", "Of it only 1 is here"), ("0", "Write 1 or more.")])
def test_no_more_is_sent_than_there_is(owner: Client, hooped: Task, pieces: str, sentence: str) -> None:
    told = {"token": uuid.uuid4(), "to_whom": "Bram", "pieces": pieces}
    response = owner.post(reverse("shop:trade-send", args=[hooped.pk]), told)
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Trip.objects.exists()
