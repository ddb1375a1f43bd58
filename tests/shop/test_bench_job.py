"""The job in hand: its page, its clock, and turning from one job to another."""

import re
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.changes import change_makeup, drop_wheel
from jobs.models import Order
from jobs.orders import WheelRow
from shop.bench import Job, closing, go_on, turn_to
from shop.bench_page import RACK_TALL, drawn_height
from shop.models import Hand, Shop
from shop.people import DEVICE_COOKIE
from tests.factories import NOW, fact, makeup, take_pair, task
from tests.shop.benching import Bench, Wall, text_of
from timing.clock import clock_of, set_clock
from timing.models import Clock, Stretch
from timing.record import record


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def shown(bench: Bench) -> str:
    return text_of(bench.client.get(reverse("shop:bench-job")))


def last() -> Stretch:
    return Stretch.objects.latest("pk")


def test_it_works(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    record(fact(shave, bench.hand, made=23))
    assert bench.start(shave).status_code == 302
    page = shown(bench)
    assert "Osk, bench 2" in page
    assert "Shave spoke hind pair, wagonette 1" in page
    assert "23 of 28 shaved, 5 to go" in page
    assert "Clock running, 0 min" in page
    assert "All the rest (5)" in page
    assert "0.4 min each today, book 11" in page


def test_without_a_job_the_list_opens(order: Order, bench: Bench) -> None:
    assert bench.client.get(reverse("shop:bench-job")).headers["Location"] == reverse("shop:bench-jobs")


def test_the_clock_outlives_page_battery_and_session(order: Order, bench: Bench, wall: Wall) -> None:
    bench.start(task(order, "rough-spoke"))
    wall.on(hours=2, minutes=14)
    again = Bench(bench.hand, "bench 3").come_in()
    assert "Clock running, 2 h 14" in shown(again)


def test_changing_job_keeps_unfinished_time_with_the_work(order: Order, bench: Bench, wall: Wall) -> None:
    rough, saw = task(order, "rough-spoke"), task(order, "saw-felloe")
    bench.start(rough)
    wall.on(minutes=7)
    bench.start(saw)
    rough.refresh_from_db()
    assert (rough.made, rough.seconds) == (0, 420)
    clock = Clock.objects.get(hand=bench.hand.user)
    assert (clock.task, clock.started_at) == (saw, wall.now)


def test_start_on_the_same_job_again_changes_nothing(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=3)
    bench.start(rough)
    assert Clock.objects.get().started_at == NOW
    assert not Stretch.objects.exists()


def test_pause_and_go_on(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=5)
    bench.post("bench-pause", token=uuid.uuid4())
    assert 'data-clock="stopped">Clock stopped' in bench.job()
    wall.on(minutes=30)
    bench.post("bench-go-on")
    assert Clock.objects.get().started_at == wall.now
    rough.refresh_from_db()
    assert rough.seconds == 300


def test_pause_sent_twice_closes_once(order: Order, bench: Bench, wall: Wall) -> None:
    bench.start(task(order, "rough-spoke"))
    wall.on(minutes=5)
    token = uuid.uuid4()
    for _ in range(2):
        bench.post("bench-pause", token=token)
        wall.on(seconds=1)
    assert Stretch.objects.count() == 1


@pytest.mark.parametrize("kind", [None, "shop"])
def test_two_devices_that_close_one_stretch_at_once_keep_it_once(
    order: Order, osk: Hand, shop: Shop, kind: str | None
) -> None:
    """Both have read the clock before either writes."""
    rough, later = task(order, "rough-spoke"), NOW + timedelta(hours=2)
    set_clock(osk.user_id, now=NOW, started_at=NOW, task=rough)
    both = [closing(clock_of(osk.user_id), token=uuid.uuid4(), now=later, helper_ids=()) for _ in range(2)]
    for closed in both:
        turn_to(osk.user_id, Job(kind) if kind else None, shop, now=later, closed=closed)
    rough.refresh_from_db()
    assert rough.seconds == 7200
    clock = Clock.objects.get()
    assert (clock.task, clock.started_at) == ((None, later) if kind else (rough, None))


def test_time_that_a_tap_has_told_is_not_closed_again(order: Order, bench: Bench, wall: Wall, shop: Shop) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=10)
    closed = closing(clock_of(bench.hand.user_id), token=uuid.uuid4(), now=wall.now, helper_ids=())
    bench.tap(rough)
    turn_to(bench.hand.user_id, None, shop, now=wall.now, closed=closed)
    rough.refresh_from_db()
    assert (rough.made, rough.seconds) == (1, 600)


def test_going_on_is_one_write(osk: Hand) -> None:
    """In turn with the other writers, so that none of them finds the clock half moved."""
    with CaptureQueriesContext(connection) as seen:
        go_on(osk.user_id, at=NOW)
    assert [query["sql"].split()[0] for query in seen] == ["SAVEPOINT", "UPDATE", "RELEASE"]


@pytest.mark.parametrize(("note", "said"), [("a" * 201, "The note has 201 letters"), ("a\0b", "can't be kept")])
def test_a_note_that_cannot_be_kept_is_told_and_nothing_is_begun(
    order: Order, bench: Bench, wall: Wall, note: str, said: str
) -> None:
    answer = bench.client.post(reverse("shop:bench-start"), {"kind": "shop", "note": note}, follow=True)
    assert said in text_of(answer)  # type: ignore[arg-type]
    assert not Clock.objects.filter(started_at__isnull=False).exists()


def test_shop_work_is_a_stretch_with_its_note_and_no_task(order: Order, bench: Bench, wall: Wall) -> None:
    bench.post("bench-start", kind="shop", note="Sharpening")
    assert "Shop work Sharpening" in shown(bench)
    wall.on(minutes=20)
    bench.post("bench-start", kind="break", token=uuid.uuid4())
    stretch = last()
    assert (stretch.kind, stretch.note, stretch.seconds, stretch.operation) == ("shop", "Sharpening", 1200, None)
    assert not stretch.tallies.exists()
    wall.on(minutes=15)
    bench.post("bench-leave", token=uuid.uuid4())
    assert (last().kind, last().seconds, last().note) == ("break", 900, "")
    assert Clock.objects.get().started_at is None


@pytest.mark.parametrize(("told", "status"), [({"kind": "play"}, 404), ({"task": "0"}, 404), ({"task": "x"}, 404)])
def test_only_what_there_is_can_be_started(order: Order, bench: Bench, told: dict[str, str], status: int) -> None:
    assert bench.post("bench-start", **told).status_code == status


def test_others_at_the_same_task_are_named(order: Order, bench: Bench, wren: Hand) -> None:
    drive = task(order, "rough-spoke")
    bench.start(drive)
    Bench(wren, "bench 3").come_in().start(drive)
    page = shown(bench)
    assert "Wren is at this too" in page
    assert "Wren, Rough out spoke" in page


def test_waits_that_are_not_met_warn_and_refuse_nothing(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    bench.start(shave)
    assert "Waits for “cut foot”, 0 of 28." in shown(bench)
    assert bench.tap(shave).status_code == 200


def test_a_wheel_dropped_meanwhile_is_told_and_work_on_it_kept(order: Order, bench: Bench) -> None:
    wheel = order.lots.get().wheels.get(place="off_hind")
    turn = task(order, "turn-hub", wheel)
    bench.start(turn)
    drop_wheel(wheel, at=NOW)
    assert "left out of the order meanwhile" in shown(bench)
    assert bench.tap(turn).status_code == 200
    turn.refresh_from_db()
    assert turn.made == 1


@pytest.mark.parametrize("key", ["shave-spoke", "saw-felloe"])
def test_loose_pieces_dropped_meanwhile_are_told_and_work_on_them_kept(order: Order, bench: Bench, key: str) -> None:
    """Another make-up drops the old spokes and felloes: whoever is on them goes on, without a rack."""
    loose = task(order, key)
    bench.start(loose)
    change_makeup(list(loose.lot.wheels.all()), makeup(spokes=12, felloes=6), name="lighter", at=NOW)
    loose.refresh_from_db()
    assert loose.dropped_at is not None
    assert "This was left out of the order meanwhile." in shown(bench)
    assert bench.tap(loose).status_code == 200
    loose.refresh_from_db()
    assert loose.made == 1


def test_the_next_wheel_is_offered_by_name(order: Order, bench: Bench) -> None:
    near = order.lots.get().wheels.get(place="near_hind")
    turn = task(order, "turn-hub", near)
    bench.start(turn)
    assert "Next: off hind" in bench.tap(turn).content.decode()


def test_what_is_ready_next_in_the_order_stands_below(order: Order, bench: Bench) -> None:
    take_pair(carriage="Gig")
    bench.start(task(order, "rough-spoke"))
    page = shown(bench)
    assert "Saw felloe hind pair, wagonette 1: 14 ready" in page
    assert "gig 2" not in page


def test_the_piece_in_hand_is_outlined_and_ids_are_unique(order: Order, bench: Bench) -> None:
    near = order.lots.get().wheels.get(place="near_hind")
    for key, wheel in (("drive-spoke", near), ("rough-spoke", None)):
        bench.start(task(order, key, wheel))
        page = bench.job()
        assert page.count("w-hand") >= 1
        ids = [part.split('"')[0] for part in page.split(' id="')[1:]]
        assert len(ids) == len(set(ids))


def test_in_the_rack_the_next_piece_without_this_operation_is_in_hand(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    record(fact(rough, bench.hand, made=4))
    bench.start(rough)
    rack = bench.job().split('class="w-rack"')[1].split("</svg>")[0]
    pieces = re.findall(r'class="(w-(?!rail)[^"]*)"', rack)
    assert [place for place, classes in enumerate(pieces) if "w-hand" in classes] == [4]


def test_a_revoked_device_has_no_bench(order: Order, bench: Bench) -> None:
    bench.client.cookies[DEVICE_COOKIE] = "another"
    assert bench.client.get(reverse("shop:bench-job")).status_code == 302


def test_only_posts_move_the_clock(order: Order, bench: Bench) -> None:
    for page in ("bench-start", "bench-pause", "bench-go-on", "bench-leave", "bench-fact", "bench-undo"):
        assert bench.client.get(reverse(f"shop:{page}")).status_code == 405


def test_an_owner_may_work_at_the_bench_from_the_desk(order: Order, owner: Client, wall: Wall) -> None:
    owner.post(reverse("shop:bench-start"), {"task": task(order, "rough-spoke").pk})
    wall.on(minutes=1)
    left = owner.post(reverse("shop:bench-leave"), {"token": uuid.uuid4()})
    assert left.headers["Location"] == reverse("shop:bench-jobs")
    assert last().seconds == 60


def test_the_page_costs_as_many_queries_for_twelve_wheels_as_for_two(order: Order, bench: Bench) -> None:
    rows = [WheelRow(makeup(), "loose ones", ["loose"] * 12)]
    counted = []
    for job in (task(order, "rough-spoke"), task(take_pair(rows=rows), "rough-spoke")):
        bench.start(job)
        with CaptureQueriesContext(connection) as queries:
            assert "0 of" in shown(bench)
        counted.append(len(queries))
    assert counted[0] == counted[1]
    assert counted[0] <= 24


def test_of_many_wheels_two_are_drawn_and_the_others_told(order: Order, bench: Bench) -> None:
    four = take_pair(rows=[WheelRow(makeup(), "set of four", ["near_fore", "off_fore", "near_hind", "off_hind"])])
    near = four.lots.get().wheels.get(place="near_hind")
    record(fact(task(four, "turn-hub", four.lots.get().wheels.get(place="off_fore")), bench.hand))
    bench.start(task(four, "turn-hub", near))
    assert bench.job().count('class="w-wheel') == 2
    assert "near fore: 0 of 1 turned; off fore: 1 of 1 turned" in shown(bench)
    twelve = take_pair(rows=[WheelRow(makeup(), "loose ones", ["loose"] * 12)])
    bench.start(task(twelve, "rough-spoke"))
    assert "10 more wheels" in shown(bench)


def test_a_great_pile_is_drawn_no_taller_than_its_place(order: Order, bench: Bench) -> None:
    twelve = take_pair(rows=[WheelRow(makeup(), "loose ones", ["loose"] * 12)])
    saw = task(twelve, "saw-felloe")
    record(fact(saw, bench.hand, made=40))
    bench.start(saw)
    rack = bench.job().split('class="w-rack"')[1].split("</svg>")[0]
    assert drawn_height(f"<svg{rack}") <= RACK_TALL
    assert rack.count("w-hand") == 1
    assert "40 of 84 sawn, 44 to go" in rack


def test_the_pace_is_exact_and_counts_unfinished_time_and_only_timed_pieces(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    for made, minutes in ((1, 10.5), (1, 11), (0, 1), (5, None)):
        record(fact(shave, bench.hand, made=made, minutes=minutes))
    bench.start(shave)
    # 22.5 minutes over two timed pieces: 11.25.
    assert "11.3 min each today, book 11" in shown(bench)


def test_no_more_is_offered_at_one_touch_than_is_taken(bench: Bench) -> None:
    order = take_pair(rows=[WheelRow(makeup(), "loose wheels", ["loose"] * 80)])
    shave = task(order, "shave-spoke")
    bench.start(shave)
    page = shown(bench)
    assert "of 1120 shaved" in page
    assert "All the rest" not in page
    record(fact(shave, bench.hand, made=121), now=NOW)
    assert "All the rest (999)" in shown(bench)
