"""A number with its minutes, spoiled pieces, helpers."""

import uuid

import pytest
from django.urls import reverse

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import fact, task
from tests.shop.benching import Bench, Wall, text_of
from timing.models import Clock, Stretch
from timing.record import record
from timing.recount import find_faults


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def counters(row: Task) -> tuple[int, int, int]:
    row.refresh_from_db()
    return row.made, row.spoiled, row.lost


def number(bench: Bench, row: Task, **changes: object) -> object:
    return bench.post("bench-number", **bench.fact(row, done_at=None, sent_at=None, **changes))


def spoil(bench: Bench, row: Task, **told: object) -> object:
    return bench.post(
        "bench-spoiled", **({"token": uuid.uuid4(), "task": row.pk, "reason": "timber", "spoiled": 1} | told)
    )


def test_twelve_in_two_hours_ten(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=3)
    assert "Left empty, the clock’s 3 min is taken." in text_of(bench.client.get(reverse("shop:bench-number")))
    assert number(bench, rough, made=12, minutes="2 h 10").status_code == 302  # type: ignore[attr-defined]
    stretch = Stretch.objects.get()
    assert (stretch.seconds, stretch.tallies.get().made) == (7800, 12)
    assert Clock.objects.get().started_at == wall.now


def test_a_number_by_the_clock(order: Order, bench: Bench, wall: Wall) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    wall.on(minutes=30)
    number(bench, rough, made=5, minutes="")
    assert Stretch.objects.get().seconds == 1800


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"made": "10000"}, "More than 999 at once can't be right"),
        ({"made": "3/0"}, "Write a whole number, like 12."),
        ({"made": ""}, "Fill this in."),
        ({"made": "12", "minutes": "a while"}, "“a while” is no length of time"),
    ],
)
def test_a_bad_number_is_told_beside_its_answer(
    order: Order, bench: Bench, told: dict[str, str], sentence: str
) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    answer = number(bench, rough, **told)
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert sentence in text_of(answer)  # type: ignore[arg-type]
    assert f'value="{told["made"]}"' in answer.content.decode() or not told["made"]  # type: ignore[attr-defined]
    assert not Stretch.objects.exists()


def test_a_number_that_is_very_long_is_asked_about(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    bench.start(rough)
    told = bench.fact(rough, done_at=None, sent_at=None, made=12)
    asked = bench.post("bench-number", **told, minutes="17 h")
    assert "say again that it is right" in text_of(asked)
    assert 'name="seconds" value="61200"' in asked.content.decode()
    assert bench.post("bench-number", **told, seconds=61200, confirmed=1).status_code == 302
    assert Stretch.objects.get().seconds == 61200


def test_a_spoiled_piece_takes_the_time_since_the_last(order: Order, bench: Bench, wall: Wall) -> None:
    shave = task(order, "shave-spoke")
    record(fact(task(order, "rough-spoke"), bench.hand, made=28))
    bench.start(shave)
    wall.on(minutes=9)
    assert spoil(bench, shave, started_at=Clock.objects.get().started_at.isoformat()).status_code == 302  # type: ignore[attr-defined, union-attr]
    assert counters(shave) == (0, 1, 0)
    assert Stretch.objects.latest("pk").seconds == 540
    rough = bench.client.get(reverse("shop:bench-jobs"), {"find": order.number})
    assert "Rough out spoke hind pair: 1 ready" in text_of(rough)


def test_a_spoiled_piece_that_was_counted_is_taken_off(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    record(fact(shave, bench.hand, made=3))
    bench.start(shave)
    assert "How many of them had been counted done?" in text_of(bench.client.get(reverse("shop:bench-spoiled")))
    spoil(bench, shave, lost=1, reason="work")
    assert "2 of 28 shaved, 26 to go" in text_of(bench.client.get(reverse("shop:bench-job")))


def test_more_than_was_counted_cannot_be_lost(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    record(fact(shave, bench.hand, made=3))
    bench.start(shave)
    answer = spoil(bench, shave, lost=4)
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert "There are only 3 counted." in text_of(answer)  # type: ignore[arg-type]


def test_spoiled_needs_a_reason(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    bench.start(shave)
    assert spoil(bench, shave, reason="").status_code == 422  # type: ignore[attr-defined]
    assert not Stretch.objects.exists()


def test_spoiled_sent_twice_counts_once(order: Order, bench: Bench, wall: Wall) -> None:
    shave = task(order, "shave-spoke")
    bench.start(shave)
    token = uuid.uuid4()
    for _ in range(2):
        spoil(bench, shave, token=token)
        wall.on(seconds=1)
    assert counters(shave) == (0, 1, 0)


def test_a_spoiled_hub_says_what_was_saved_and_work_goes_on_with_the_new(order: Order, bench: Bench) -> None:
    wheel = order.lots.get().wheels.get(place="near_hind")
    for key, made in (("chop-mortise", 14), ("shrink-band", 2), ("drive-spoke", 9)):
        record(fact(task(order, key, wheel), bench.hand, made=made))
    trim = task(order, "trim-mortise", wheel)
    bench.start(trim)
    page = text_of(bench.client.get(reverse("shop:bench-spoiled")))
    assert "How many of the 9 spokes in it were saved?" in page
    assert "How many of the 2 bands in it were saved?" in page
    too_many = spoil(bench, trim, saved_spoke=10, saved_band=2)
    assert "There are only 9 spokes." in text_of(too_many)  # type: ignore[arg-type]
    assert spoil(bench, trim, saved_spoke=6, saved_band=2).status_code == 302  # type: ignore[attr-defined]
    trim.refresh_from_db()
    assert trim.dropped_at is not None
    clock = Clock.objects.get()
    assert clock.task == task(order, "trim-mortise", wheel) != trim
    assert find_faults() == []


def test_a_spoiled_hub_is_undone_from_its_job(order: Order, bench: Bench) -> None:
    wheel = order.lots.get().wheels.get(place="near_hind")
    record(fact(task(order, "chop-mortise", wheel), bench.hand, made=14))
    trim = task(order, "trim-mortise", wheel)
    bench.start(trim)
    spoil(bench, trim)
    page = bench.client.get(reverse("shop:bench-job"))
    assert "Undo last Chop mortise: 1 spoiled" in text_of(page)
    bench.send({"token": uuid.uuid4(), "cancels": Stretch.objects.latest("pk").token}, "bench-undo")
    trim.refresh_from_db()
    assert trim.dropped_at is None
    assert Clock.objects.get().task == trim
    assert find_faults() == []


def test_a_piece_found_spoiled_elsewhere_in_the_wheel_takes_no_time_of_this_job(
    order: Order, bench: Bench, wall: Wall
) -> None:
    wheel = order.lots.get().wheels.get(place="near_hind")
    drive = task(order, "drive-spoke", wheel)
    record(fact(drive, bench.hand, made=14))
    chamfer = task(order, "chamfer-felloe", wheel)
    bench.start(chamfer)
    wall.on(minutes=4)
    page = text_of(bench.client.get(reverse("shop:bench-spoiled")))
    assert "Drive spoke to the dish gauge: one that was driven" in page
    there = text_of(bench.client.get(reverse("shop:bench-spoiled"), {"task": drive.pk}))
    assert "Found spoiled after it was driven" in there
    spoil(bench, drive, lost=1)
    assert counters(drive) == (14, 1, 1)
    assert Stretch.objects.latest("pk").seconds is None
    assert Clock.objects.get().started_at == wall.now.replace(minute=0)


@pytest.mark.parametrize("asked", ["0", "x", "999999"])
def test_work_of_another_lot_is_not_there(order: Order, bench: Bench, asked: str) -> None:
    bench.start(task(order, "shave-spoke"))
    assert bench.client.get(reverse("shop:bench-spoiled"), {"task": asked}).status_code == 404


@pytest.mark.parametrize("page", ["bench-number", "bench-spoiled", "bench-helpers"])
def test_without_a_job_these_lead_to_the_list(order: Order, bench: Bench, page: str) -> None:
    assert bench.client.get(reverse(f"shop:{page}")).headers["Location"] == reverse("shop:bench-jobs")


def test_helpers_are_ticked_and_named(order: Order, bench: Bench, wren: Hand) -> None:
    bench.start(task(order, "drive-spoke", order.lots.get().wheels.get(place="near_hind")))
    page = text_of(bench.client.get(reverse("shop:bench-helpers")))
    assert "Usually 2 hands." in page
    assert "Wren" in page
    bench.post("bench-helpers", helper=[wren.user_id, bench.hand.user_id, 999999, "x"])
    assert "With Wren" in text_of(bench.client.get(reverse("shop:bench-job")))
    assert bench.client.session["bench_helpers"]["users"] == [wren.user_id]
