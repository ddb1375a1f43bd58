"""What the bench asks before it keeps a stretch: dinner, and more than sixteen hours."""

import re
import uuid
from datetime import UTC, datetime, time, timedelta
from html import unescape

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoAssertNumQueries

from jobs.models import Order, Task
from shop.models import Hand, Shop
from tests.factories import task
from tests.shop.benching import Bench, Wall, text_of
from timing.models import Clock, Stretch

MORNING = datetime(2026, 3, 2, 11, 30, tzinfo=UTC)


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    wall = Wall(monkeypatch)
    wall.now = MORNING
    return wall


@pytest.fixture
def rough(order: Order, shop: Shop) -> Task:
    Shop.objects.update(dinner_from=time(12, 0), dinner_to=time(12, 45))
    return task(order, "rough-spoke")


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def replies(answer: HttpResponse) -> list[dict[str, str]]:
    """The fields of each form of a question, as a touch on its button would post them."""
    found = []
    for form in re.findall(r"<form.*?</form>", answer.content.decode(), re.DOTALL):
        pairs = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', form)
        found.append({name: unescape(value) for name, value in pairs if name != "csrfmiddlewaretoken"})
    return [fields for fields in found if "done_at" in fields]


def kept() -> list[tuple[str, int | None]]:
    return [(row.kind, row.seconds) for row in Stretch.objects.order_by("pk")]


def test_a_stretch_over_dinner_asks(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=2)
    answer = bench.tap(rough)
    assert answer.status_code == 422
    assert "Take off 12.00 to 12.45?" in text_of(answer)
    assert "Take off dinner: 1 h 15" in text_of(answer)
    assert "I worked through: 2 h" in text_of(answer)
    assert kept() == []


def test_dinner_comes_off_with_one_touch_and_is_a_break(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=2)
    off, _ = replies(bench.tap(rough))
    wall.on(seconds=20)
    assert bench.send(off).status_code == 200
    assert kept() == [("work", 75 * 60), ("break", 45 * 60)]
    dinner = Stretch.objects.get(kind="break")
    assert (dinner.started_at, dinner.done_at) == (
        MORNING.replace(hour=12, minute=0),
        MORNING.replace(hour=12, minute=45),
    )
    assert Clock.objects.get().started_at == MORNING + timedelta(hours=2)
    assert bench.send(off).status_code == 200
    assert len(kept()) == 2


def test_worked_through_counts_it_all(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=2)
    _, through = replies(bench.tap(rough))
    assert bench.send(through).status_code == 200
    assert kept() == [("work", 7200)]


@pytest.mark.parametrize(("start", "minutes"), [(11.5, 40), (12.25, 60), (13, 60), (8, 60)])
def test_a_stretch_that_did_not_run_over_all_of_dinner_is_not_asked_about(
    rough: Task, bench: Bench, wall: Wall, start: float, minutes: int
) -> None:
    wall.now = MORNING.replace(hour=0, minute=0) + timedelta(hours=start)
    bench.start(rough)
    wall.on(minutes=minutes)
    assert bench.tap(rough).status_code == 200


def test_dinner_is_by_the_clock_of_the_shop(rough: Task, bench: Bench, wall: Wall) -> None:
    Shop.objects.update(time_zone="America/New_York")
    bench.start(rough)
    wall.on(hours=2)
    assert bench.tap(rough).status_code == 200
    wall.on(hours=5)
    assert "Take off 12.00 to 12.45?" in text_of(bench.tap(rough))


def test_dinner_is_found_though_the_device_is_hours_wrong(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=2)
    wrong = timedelta(hours=-7)
    moments = {"started_at": MORNING + wrong, "done_at": wall.now + wrong, "sent_at": wall.now + wrong}
    off, _ = replies(bench.tap(rough, **{name: moment.isoformat() for name, moment in moments.items()}))
    assert bench.send(off | {"sent_at": moments["sent_at"].isoformat()}).status_code == 200
    assert kept() == [("work", 75 * 60), ("break", 45 * 60)]


def test_a_pause_over_dinner_asks_on_a_page_and_then_stops(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=2)
    asked = bench.post("bench-pause", token=uuid.uuid4())
    assert asked.status_code == 422
    assert "<html" in asked.content.decode()
    off, _ = replies(asked)
    wall.on(minutes=1)
    assert bench.post("bench-pause", **off).status_code == 302
    assert kept() == [("work", 75 * 60), ("break", 45 * 60)]
    assert Clock.objects.get().started_at is None


def test_changing_job_over_dinner_asks_and_then_starts(order: Order, rough: Task, bench: Bench, wall: Wall) -> None:
    saw = task(order, "saw-felloe")
    bench.start(rough)
    wall.on(hours=2)
    _, through = replies(bench.start(saw))
    assert bench.post("bench-start", **through).status_code == 302
    assert kept() == [("work", 7200)]
    assert Clock.objects.get().task == saw


def test_more_than_sixteen_hours_asks_and_yes_keeps_it(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=22)
    bench.come_in()
    answer = bench.tap(rough)
    assert answer.status_code == 422
    assert "The clock ran for 22 h. Is that right?" in text_of(answer)
    yes = replies(answer)[0]
    assert bench.send(yes).status_code == 200
    assert kept() == [("work", 22 * 3600)]


def test_more_than_sixteen_hours_may_be_put_right_in_words(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(hours=22)
    bench.come_in()
    typed = replies(bench.tap(rough))[1]
    assert bench.send(typed | {"minutes": "a while"}).status_code == 422
    assert bench.send(typed | {"minutes": "2 h 10"}).status_code == 200
    assert kept() == [("work", 7800)]
    assert Clock.objects.get().started_at == wall.now


def test_a_clock_left_running_overnight_is_put_right_at_the_next_job(
    order: Order, rough: Task, bench: Bench, wall: Wall
) -> None:
    bench.start(rough)
    wall.on(hours=22)
    bench.come_in()
    asked = bench.start(task(order, "saw-felloe"))
    assert "The clock ran for 22 h" in text_of(asked)
    typed = replies(asked)[1]
    assert bench.post("bench-start", **typed, minutes="40").status_code == 302
    assert kept() == [("work", 2400)]


def test_more_than_seven_days_can_only_be_put_right(rough: Task, bench: Bench, wall: Wall) -> None:
    bench.start(rough)
    wall.on(days=8)
    bench.come_in()
    asked = bench.post("bench-pause", token=uuid.uuid4())
    assert "more than seven days can’t be one stretch" in text_of(asked)
    (typed,) = replies(asked)
    assert bench.post("bench-pause", **typed, confirmed=1).status_code == 422
    assert kept() == []
    assert bench.post("bench-pause", **typed, minutes="3 h").status_code == 302
    assert kept() == [("work", 10800)]


def test_more_spoiled_than_there_could_be_is_asked_about(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    told = bench.fact(shave, made=0, spoiled=500, reason="timber")
    answer = bench.send(told)
    assert answer.status_code == 422
    assert "500 spoiled, of 28 wanted and 0 made. Is that right?" in text_of(answer)
    assert not Stretch.objects.exists()
    (reply,) = replies(answer)
    assert bench.send(reply).status_code == 200
    shave.refresh_from_db()
    assert shave.spoiled == 500
    # Kept already: the same again, unconfirmed, is no new slip.
    assert bench.send(told).status_code == 200


def test_as_many_spoiled_as_there_could_be_are_taken(order: Order, bench: Bench) -> None:
    shave = task(order, "shave-spoke")
    bench.tap(shave, made=2)
    assert bench.tap(shave, made=0, spoiled=30, reason="timber").status_code == 200
    assert bench.tap(shave, made=0, spoiled=31, reason="timber").status_code == 422


def test_too_many_and_too_long_are_two_questions(order: Order, bench: Bench, wall: Wall) -> None:
    shave = task(order, "shave-spoke")
    begun = wall.now.isoformat()
    wall.on(hours=17)
    bench.come_in()
    answer = bench.send(bench.fact(shave, made=0, spoiled=500, reason="timber", started_at=begun))
    answer = bench.send(replies(answer)[0])
    assert "The clock ran for 17 h" in text_of(answer)
    assert bench.send(replies(answer)[0]).status_code == 200


def test_a_tap_that_spoils_nothing_asks_nothing_more(
    order: Order, bench: Bench, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    shave = task(order, "shave-spoke")
    bench.tap(shave)
    with CaptureQueriesContext(connection) as made:
        bench.tap(shave)
    with django_assert_num_queries(len(made)):
        bench.tap(shave, made=0, spoiled=1, reason="timber")


def test_the_page_of_spoiled_pieces_asks_too(order: Order, bench: Bench) -> None:
    """Without JavaScript, by plain forms."""
    shave = task(order, "shave-spoke")
    bench.start(shave)
    told = {"token": uuid.uuid4(), "task": shave.pk, "spoiled": 500, "reason": "timber"}
    answer = bench.post("bench-spoiled", **told)
    assert answer.status_code == 422
    assert "500 spoiled, of 28 wanted" in text_of(answer)
    assert "No: count again" in text_of(answer)
    assert not Stretch.objects.filter(tallies__spoiled__gt=0).exists()
    assert bench.post("bench-spoiled", **replies(answer)[0]).status_code == 302
    shave.refresh_from_db()
    assert shave.spoiled == 500
