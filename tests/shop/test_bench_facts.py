"""The tap: one documented form, kept once, answered with the job as it stands after it."""

import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Order
from shop.models import Hand
from tests.factories import NOW, fact, lot_of, take_pair, task
from tests.shop.benching import FRAGMENT, Bench, Wall, text_of
from timing.models import Clock, Stretch
from timing.record import record
from timing.recount import find_faults
from timing.setting_aside import AsideWish, set_aside

MOST_STATEMENTS = 12


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def last() -> Stretch:
    return Stretch.objects.latest("pk")


def test_it_works(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    answer = bench.tap(rough)
    assert answer.status_code == 200
    assert "1 of 28 roughed out, 27 to go" in text_of(answer)
    assert "<html" not in answer.content.decode()
    assert (last().seconds, last().hand) == (360, bench.hand.user)
    assert Clock.objects.get().started_at == wall.now


def test_each_tap_starts_where_the_last_one_ended(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    for minutes in (6, 7, 6.25):
        wall.on(minutes=minutes)
        bench.tap(rough)
    assert [row.seconds for row in Stretch.objects.order_by("pk")] == [360, 420, 375]
    # 1155 s over 3 are 385 s, 6.41… minutes.
    assert "6.4 min each today, book 6" in text_of(bench.client.get(reverse("shop:bench-job")))


def test_without_a_clock_a_tap_counts_untimed(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    assert bench.tap(rough).status_code == 200
    rough.refresh_from_db()
    assert (rough.made, rough.seconds, last().seconds) == (1, 0, None)


def test_a_replay_is_answered_as_the_first_time_and_counts_once(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    told = bench.fact(rough)
    first = bench.send(told)
    wall.on(hours=3)
    again = bench.send(told | {"sent_at": wall.now.isoformat()})
    assert (first.status_code, again.status_code) == (200, 200)
    assert "1 of 28 roughed out" in text_of(again)
    assert Stretch.objects.count() == 1


def test_a_token_with_other_content_is_refused_in_a_sentence(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    told = bench.fact(rough)
    bench.send(told)
    answer = bench.send(told | {"made": 2})
    assert answer.status_code == 422
    assert text_of(answer) == "This was sent before with other content: it is kept as it was then."


def test_two_taps_with_two_tokens_are_two(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    bench.tap(rough)
    bench.tap(rough)
    rough.refresh_from_db()
    assert rough.made == 2


def test_a_plain_form_answers_with_the_page_and_counts_once_if_sent_twice(
    order: Order, bench: Bench, wall: Wall
) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    told = bench.fact(rough, done_at=None, sent_at=None)
    first = bench.post("bench-fact", **told)
    wall.on(seconds=1)
    again = bench.post("bench-fact", **told)
    assert first.headers["Location"] == again.headers["Location"] == reverse("shop:bench-job")
    assert [row.seconds for row in Stretch.objects.all()] == [360]


def test_a_plain_form_with_a_used_token_and_another_number_is_refused(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    told = bench.fact(rough, done_at=None, sent_at=None)
    bench.post("bench-fact", **told)
    answer = bench.post("bench-fact", **(told | {"made": 5}))
    assert answer.status_code == 422
    assert "sent before with other content" in text_of(answer)
    assert "One done" in text_of(answer)


def test_a_device_whose_clock_is_wrong_is_allowed_for(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    ahead = timedelta(days=2)
    by_device = {
        "started_at": (NOW + ahead).isoformat(),
        "done_at": (wall.now + ahead).isoformat(),
        "sent_at": (wall.now + ahead).isoformat(),
    }
    assert bench.tap(rough, **by_device).status_code == 200
    assert (last().seconds, last().done_on) == (360, NOW.date())
    assert Clock.objects.get().started_at == wall.now


def test_a_fact_that_comes_late_does_not_turn_the_clock_back(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    late = bench.fact(rough)
    wall.on(minutes=6)
    bench.tap(rough)
    bench.send(late)
    assert Clock.objects.get().started_at == wall.now


def test_the_hand_is_the_one_signed_in_whatever_is_posted(order: Order, bench: Bench, wren: Hand) -> None:
    bench.tap(task(order, "rough-spoke"), hand_id=wren.user_id, entered_by=wren.user_id, hand=bench.hand.user_id)
    assert last().hand == bench.hand.user


def test_what_another_hand_tapped_is_not_counted_for_the_one_who_came_in_since(
    order: Order, bench: Bench, wren: Hand
) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    assert f'name="hand" value="{bench.hand.user_id}"' in bench.job()
    for page in ("bench-fact", "bench-number", "bench-undo", "bench-spoiled"):
        told = bench.fact(rough, hand=wren.user_id, cancels=uuid.uuid4(), reason="work", spoiled=1)
        assert bench.post(page, **(told | {"task": rough.pk})).status_code == 403
    assert not Stretch.objects.exists()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"made": "10000"}, "More than 999 at once can't be right: count again."),
        ({"made": "many"}, "“many” is no whole number (made)."),
        ({"made": "-1"}, "Made and spoiled are counted from 0 up."),
        ({"token": "x"}, "The token is missing or is no UUID."),
        ({"done_at": "yesterday"}, "“yesterday” is no moment"),
        ({"started_at": (NOW + timedelta(hours=1)).isoformat()}, "The stretch ends before it begins."),
        ({"done_at": (NOW + timedelta(hours=1)).isoformat()}, "The stretch ends in the future."),
        ({"lot": None}, "Say on which lot or wheel it was done."),
        ({"lot": "999999"}, "That operation is not among the work of that lot or wheel."),
        ({"operation": "999999"}, "There is no such operation."),
        ({"spoiled": "1"}, "Say why it was spoiled"),
        ({"kind": "play"}, "There is no kind of stretch called “play”."),
        ({"seconds": "-5"}, "A stretch can't have less than no time."),
    ],
)
def test_what_cannot_be_read_is_one_sentence(
    order: Order, bench: Bench, changes: dict[str, object], sentence: str
) -> None:
    answer = bench.tap(task(order, "rough-spoke"), **changes)
    assert answer.status_code == 422
    assert text_of(answer).startswith(sentence)
    assert not Stretch.objects.exists()


@pytest.mark.parametrize("state", ["enquiry", "ready", "fetched", "paid", "dropped"])
def test_no_state_of_an_order_refuses_a_fact(order: Order, bench: Bench, state: str) -> None:
    Order.objects.filter(pk=order.pk).update(state=state)
    assert bench.tap(task(order, "rough-spoke")).status_code == 200


def test_two_hands_on_one_task_both_count(order: Order, bench: Bench, wren: Hand) -> None:
    rough = task(order, "rough-spoke")
    other = Bench(wren, "bench 3").come_in()
    bench.start(rough)
    other.start(rough)
    other.tap(rough)
    answer = text_of(bench.tap(rough))
    assert "2 of 28 roughed out" in answer
    assert "Wren is at this too" in answer
    assert find_faults() == []


def test_a_fact_for_another_order_is_kept_and_answered(order: Order, bench: Bench) -> None:
    bench.start(task(order, "rough-spoke"))
    elsewhere = task(take_pair(carriage="Gig"), "saw-felloe")
    answer = bench.tap(elsewhere)
    assert answer.status_code == 200
    assert f'data-task="{elsewhere.pk}"' in answer.content.decode()


def test_helpers_and_rest_of_a_wheel(order: Order, bench: Bench, wren: Hand, wall: Wall) -> None:
    drive = task(order, "drive-spoke", order.lots.get().wheels.get(place="near_hind"))
    bench.start(drive)
    bench.post("bench-helpers", helper=wren.user_id)
    page = bench.job()
    assert 'Rest of this wheel <span id="all-left">(14)</span>' in page
    assert f'name="helper" value="{wren.user_id}"' in page
    wall.on(minutes=70)
    bench.tap(drive, made=14, helper=wren.user_id)
    drive.refresh_from_db()
    assert drive.made == 14
    assert [row.hand for row in last().helpers.all()] == [wren.user]


def test_helpers_are_forgotten_with_the_job(order: Order, bench: Bench, wren: Hand) -> None:
    bench.start(task(order, "rough-spoke"))
    bench.post("bench-helpers", helper=wren.user_id)
    bench.start(task(order, "saw-felloe"))
    assert 'name="helper"' not in bench.job()


def test_undo_takes_back_the_count_and_gives_the_piece_its_time(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=6)
    told = bench.fact(rough)
    assert "Undo last 1 roughed out" in text_of(bench.send(told))
    wall.on(minutes=1)
    undone = bench.send({"token": uuid.uuid4(), "cancels": told["token"]}, "bench-undo")
    assert undone.status_code == 200
    assert "0 of 28 roughed out" in text_of(undone)
    assert Clock.objects.get().started_at == NOW
    assert find_faults() == []


def test_undo_twice_takes_back_once(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    told = bench.fact(rough)
    bench.tap(rough)
    bench.send(told)
    for _ in range(2):
        bench.post("bench-undo", token=uuid.uuid4(), cancels=told["token"])
    rough.refresh_from_db()
    assert rough.made == 1


def test_undo_last_offers_nothing_that_the_hand_told_at_the_desk(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    bench.tap(rough, made=3)
    set_aside(AsideWish(uuid.uuid4(), rough.pk, 2, "now 12 spokes", bench.hand.user_id, NOW), now=NOW)
    assert "Undo last 3 roughed out" in text_of(bench.client.get(reverse("shop:bench-job")))


def test_nobody_undoes_the_work_of_another(order: Order, bench: Bench, wren: Hand) -> None:
    hers = fact(task(order, "rough-spoke"), wren)
    record(hers)
    answer = bench.send({"token": uuid.uuid4(), "cancels": hers.token}, "bench-undo")
    assert answer.status_code == 422
    assert "another hand's work" in text_of(answer)
    assert Stretch.objects.count() == 1


@pytest.mark.parametrize("page", ["bench-fact", "bench-undo"])
def test_what_is_refused_is_told_though_no_job_is_in_hand(page: str, bench: Bench) -> None:
    answer = bench.post(page, token="no token")
    assert answer.status_code == 422
    assert "Not saved" in text_of(answer)


def test_only_the_bench_posts_facts(order: Order, bram: Hand) -> None:
    client = Client()
    told = {"token": uuid.uuid4(), "operation": 1, "lot": 1, "made": 1}
    signed_out = client.post(reverse("shop:bench-fact"), told, headers=FRAGMENT)
    assert signed_out.headers["HX-Redirect"].startswith(reverse("shop:sign-in"))
    client.force_login(bram.user)
    assert client.post(reverse("shop:bench-fact"), told).status_code == 403


@pytest.mark.parametrize("key", ["rough-spoke", "drive-spoke"])
def test_a_tap_with_its_fragment_is_a_dozen_statements(order: Order, bench: Bench, wall: Wall, key: str) -> None:
    wheel = order.lots.get().wheels.get(place="near_hind") if key == "drive-spoke" else None
    job = task(order, key, wheel)
    bench.start(job)
    wall.on(minutes=6)
    told = bench.fact(job)
    with CaptureQueriesContext(connection) as queries:
        answer = bench.send(told)
    assert answer.status_code == 200
    # Beside what opens and closes the one transaction and, on PostgreSQL, the lock by which it holds its token.
    around = ("SAVEPOINT", "RELEASE", "SELECT pg_advisory_xact_lock")
    said = [query["sql"] for query in queries if not query["sql"].startswith(around)]
    assert len(said) <= MOST_STATEMENTS, "\n".join(said)


def test_a_tap_costs_the_same_for_two_wheels_as_for_many_orders(order: Order, bench: Bench, wall: Wall) -> None:
    counted = []
    for more in (0, 12):
        for _ in range(more):
            take_pair()
        with CaptureQueriesContext(connection) as queries:
            bench.tap(task(order, "rough-spoke"))
        counted.append(len(queries))
    assert counted[0] == counted[1]


def test_a_tap_says_that_the_order_was_dropped_meanwhile(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    assert "The order is" not in text_of(bench.tap(rough))
    Order.objects.filter(pk=order.pk).update(state=Order.State.DROPPED)
    answer = bench.tap(rough)
    assert "The order is dropped. What you do on it is kept all the same." in text_of(answer)
    assert "2 of 28 roughed out" in text_of(answer)


def test_a_tap_says_that_its_wheel_was_left_out_meanwhile(order: Order, bench: Bench) -> None:
    turn = task(order, "turn-hub", lot_of(order).wheels.all()[0])
    bench.start(turn)
    drop_wheel(turn.wheel, at=NOW)
    assert "This was left out of the order meanwhile." in text_of(bench.tap(turn))


def test_nothing_of_a_closed_order_is_offered_next(order: Order, bench: Bench) -> None:
    bench.start(task(order, "rough-spoke"))
    assert "Saw felloe" in bench.job()
    Order.objects.filter(pk=order.pk).update(state=Order.State.DROPPED)
    assert "Saw felloe" not in bench.job()
