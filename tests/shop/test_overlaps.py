"""Time told twice, in words on each page where a person would put it right."""

import csv
import io
import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.models import Order
from shop.models import Hand
from shop.views import day_book
from tests.factories import NOW, fact, task
from tests.shop.benching import Bench, Wall, text_of
from timing.facts import Fact
from timing.models import Stretch
from timing.models.facts import Kind
from timing.record import record

URL = "/day-book/"
PERIOD = {"first": "2026-02-01", "last": "2026-03-31"}
MINE = reverse("shop:bench-mine")


def told(order: Order, key: str, hand: Hand, *, ended: float = 0, minutes: float = 30, **changes: object) -> Stretch:
    """Work that ended so many minutes after ten."""
    at = NOW + timedelta(minutes=ended)
    moments = {"done_at": at, "started_at": at - timedelta(minutes=minutes)}
    stretch = record(fact(task(order, key), hand, **(moments | changes)), now=at).stretch  # type: ignore[arg-type]
    assert stretch
    return stretch


@pytest.fixture
def twice(order: Order, osk: Hand) -> tuple[Stretch, Stretch]:
    """Felloes sawn from 9.30 to 10.00, and spokes roughed out from 9.48 to 10.18 by the same hand."""
    return told(order, "saw-felloe", osk), told(order, "rough-spoke", osk, ended=18)


def test_each_row_of_the_day_book_names_the_other(owner: Client, twice: object) -> None:
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "2 overlap another of the same hand" in text
    assert "overlaps 12 min also told in Rough out spoke, 09.48 to 10.18" in text
    assert "overlaps 12 min also told in Saw felloe, 09.30 to 10.00" in text


def test_nothing_is_said_where_nothing_overlaps(owner: Client, order: Order, osk: Hand) -> None:
    told(order, "saw-felloe", osk)
    told(order, "rough-spoke", osk, ended=30)
    assert "overlap another" not in text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "also told in" not in text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]


def test_the_filter_shows_what_overlaps_alone(owner: Client, order: Order, osk: Hand, twice: object) -> None:
    told(order, "cut-foot", osk, ended=90)
    text = text_of(owner.get(URL, PERIOD | {"to_place": "overlapping"}))  # type: ignore[arg-type]
    assert "2 stretches, 1 h in all" in text
    assert "Cut foot of spoke 1" not in text


def test_the_count_leads_to_the_filter(owner: Client, twice: object) -> None:
    page = owner.get(URL, PERIOD).content.decode()
    assert 'href="?first=2026-02-01&amp;last=2026-03-31&amp;to_place=overlapping"' in page


def test_too_many_are_searched_only_when_asked_and_never_in_part(
    owner: Client, twice: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(day_book, "MOST_UNASKED", 1)
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "too many to search for overlaps unasked" in text
    assert "12 min also told in" in text
    monkeypatch.setattr(day_book, "MOST", 1)
    for url in (URL, reverse("shop:day-book-csv")):
        answer = owner.get(url, PERIOD | {"to_place": "overlapping"})
        assert answer.status_code == 422
        assert "ask for a shorter time" in answer.content.decode()


def test_the_file_has_the_seconds_once_a_stretch_and_the_other_by_its_token(
    owner: Client, twice: tuple[Stretch, Stretch]
) -> None:
    for asked in (PERIOD, PERIOD | {"to_place": "overlapping"}):
        lines = b"".join(owner.get(reverse("shop:day-book-csv"), asked)).decode()  # type: ignore[arg-type]
        rows = list(csv.DictReader(io.StringIO(lines, newline="")))
        assert [(row["overlap_seconds"], row["overlaps_with"]) for row in rows] == [
            ("720", str(twice[1].token)),
            ("720", str(twice[0].token)),
        ]


def test_what_is_put_right_is_told_what_it_overlaps(owner: Client, twice: tuple[Stretch, Stretch]) -> None:
    page = text_of(owner.get(reverse("shop:put-right", args=[twice[0].pk])))  # type: ignore[arg-type]
    assert "overlaps 12 min also told in Rough out spoke, 09.48 to 10.18" in page


def test_a_shorter_time_put_right_ends_it(owner: Client, twice: tuple[Stretch, Stretch]) -> None:
    day = {"on_day": "2", "on_month": "3", "on_year": "2026"}
    answers = {"token": uuid.uuid4(), "hand": twice[0].hand_id, "task": twice[0].tallies.get().task_id, "made": "1"}
    url = reverse("shop:put-right", args=[twice[0].pk])
    assert owner.post(url, answers | day | {"minutes": "18 min", "note": ""}).status_code == 302
    assert "also told in" not in text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]


def test_a_hand_sees_it_among_the_own_work(
    twice: tuple[Stretch, Stretch], osk: Hand, monkeypatch: pytest.MonkeyPatch
) -> None:
    Wall(monkeypatch)
    page = text_of(Bench(osk).come_in().client.get(MINE))
    assert "overlaps 12 min also told in Rough out spoke, 09.48 to 10.18" in page


def test_a_helpers_own_time_is_named(owner: Client, order: Order, osk: Hand, bram: Hand) -> None:
    told(order, "saw-felloe", osk, helper_ids=(bram.user_id,))
    told(order, "rough-spoke", bram)
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "30 min of Bram’s also told in Rough out spoke, 09.30 to 10.00" in text
    assert "30 min also told in Saw felloe by Osk, 09.30 to 10.00" in text


def test_two_who_work_together_twice_are_told_in_one_sentence(
    owner: Client, order: Order, osk: Hand, bram: Hand
) -> None:
    told(order, "saw-felloe", osk, helper_ids=(bram.user_id,))
    told(order, "rough-spoke", osk, helper_ids=(bram.user_id,), ended=90, minutes=95)
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "overlaps 5 min and 5 min of Bram’s also told in Rough out spoke, 09.55 to 11.30" in text


def test_another_day_is_named(owner: Client, order: Order, osk: Hand) -> None:
    told(order, "saw-felloe", osk, ended=13 * 60, minutes=120)
    told(order, "rough-spoke", osk, ended=15 * 60, minutes=180)
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert "1 h also told in Rough out spoke, 22.00 to 01.00 on 3 March 2026" in text


def test_the_facts_of_a_cost_say_so_too(owner: Client, order: Order, twice: tuple[Stretch, Stretch]) -> None:
    page = text_of(owner.get(reverse("shop:task-facts", args=[twice[0].tallies.get().task_id])))  # type: ignore[arg-type]
    assert "overlaps 12 min also told in Rough out spoke, 09.48 to 10.18" in page
    cost = owner.get(reverse("shop:cost", args=[order.number])).content.decode()
    assert f"/day-book/?order={order.number}&amp;to_place=overlapping" in cost


def test_many_pieces_in_a_clock_left_running_are_summed(owner: Client, order: Order, osk: Hand) -> None:
    record(Fact(uuid.uuid4(), osk.user_id, NOW, Kind.SHOP, started_at=NOW - timedelta(hours=2)), now=NOW)
    for ended in range(-100, 0, 20):
        told(order, "rough-spoke", osk, ended=ended, minutes=20 if ended > -100 else 10)
    text = text_of(owner.get(URL, PERIOD))  # type: ignore[arg-type]
    assert text.count("20 min also told in Rough out spoke") == 2
    assert "50 min also told in 3 more" in text


def test_the_queries_do_not_grow_with_the_overlaps(owner: Client, order: Order, osk: Hand, twice: object) -> None:
    def queries(url: str) -> int:
        with CaptureQueriesContext(connection) as seen:
            b"".join(owner.get(url, PERIOD))  # type: ignore[arg-type]
        return len(seen)

    pages = [URL, reverse("shop:day-book-csv")]
    few = [queries(url) for url in pages]
    for ended in range(20):
        told(order, "rough-spoke", osk, ended=ended * 5)
    assert [queries(url) for url in pages] == few
