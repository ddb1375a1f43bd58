"""The day book: filter, pages by key, sums, the file, and what the owner puts right."""

import csv
import io
import uuid
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from jobs.changes import drop_wheel
from jobs.models import Order, Task, Wheel
from shop.models import Hand, Shop
from tests.factories import NOW, fact, take_pair, task
from timing.corrections import DISPUTED
from timing.day_book import PAGE, Asked, Key, page, stretches, sums
from timing.facts import Cancel, Fact, Yield
from timing.models import Stretch
from timing.models.facts import Kind
from timing.moves import MoveWish, move_cut_again
from timing.record import cancel, record

URL = "/day-book/"
PERIOD = {"first": "2026-02-01", "last": "2026-03-31"}


def wheel(order: Order) -> Wheel:
    return Wheel.objects.filter(lot__order=order).order_by("number")[0]


def shop_work(hand: Hand, minutes: int, **changes: object) -> Fact:
    told: dict[str, object] = {"token": uuid.uuid4(), "hand_id": hand.user_id, "done_at": NOW, "kind": Kind.SHOP}
    return Fact(**(told | {"seconds": minutes * 60} | changes))  # type: ignore[arg-type]


@pytest.fixture
def hub(order: Order) -> Task:
    return task(order, "turn-hub", wheel(order))


def told(hub: Task, osk: Hand, **changes: object) -> Stretch:
    stretch = record(fact(hub, osk, **changes), now=NOW).stretch
    assert stretch
    return stretch


def test_it_works(owner: Client, hub: Task, osk: Hand) -> None:
    told(hub, osk, minutes=60, note="a hard one")
    text = owner.get(URL, PERIOD).content.decode()
    for words in ("1 stretch, 1 h in all", "Turn hub", "Osk", "a hard one", "Monday 2 March 2026"):
        assert words in text


def test_the_hour_is_the_shops_though_the_device_was_slow(owner: Client, hub: Task, osk: Hand) -> None:
    slow = NOW - timedelta(hours=3)
    told(hub, osk, done_at=slow, started_at=None, sent_at=slow)
    text = owner.get(URL, PERIOD).content.decode()
    assert "10.00" in text
    assert "07.00" not in text


def test_the_last_fortnight_is_the_usual_question(owner: Client, hub: Task, osk: Hand) -> None:
    told(hub, osk)
    assert "Nothing was told in this time." in owner.get(URL).content.decode()


def test_each_filter_narrows(order: Order, hub: Task, osk: Hand, bram: Hand) -> None:
    other = task(take_pair(), "rough-spoke")
    mine = told(hub, osk)
    theirs = told(other, bram, done_at=NOW - timedelta(days=2), started_at=None)
    swept = record(shop_work(bram, 5), now=NOW).stretch
    for asked, expected in (
        (Asked(), {mine, theirs, swept}),
        (Asked(from_on=date(2026, 3, 1)), {mine, swept}),
        (Asked(to_on=date(2026, 3, 1)), {theirs}),
        (Asked(hand_id=osk.user_id), {mine}),
        (Asked(order_number=other.lot.order.number), {theirs}),
        (Asked(operation_id=hub.operation_id), {mine}),
        (Asked(kind="shop"), {swept}),
        (Asked(source="desk"), set()),
    ):
        assert set(stretches(asked)) == expected


@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's own words for how it looks rows up")
def test_an_order_s_stretches_are_found_without_reading_the_whole_book(hub: Task) -> None:
    plan = stretches(Asked(order_number=hub.lot.order.number)).order_by("-done_on", "-id")[:PAGE].explain()
    assert "SEARCH timing_stretch USING INTEGER PRIMARY KEY" in plan
    assert "SCAN timing_stretch" not in plan


def test_a_helper_is_found_by_name(hub: Task, osk: Hand, bram: Hand) -> None:
    stretch = told(hub, osk, helper_ids=(bram.user_id,), minutes=30)
    assert set(stretches(Asked(hand_id=bram.user_id))) == {stretch}
    [one] = sums(Asked(hand_id=bram.user_id))
    assert (one.hand_id, one.seconds, one.helped_seconds) == (bram.user_id, 0, 1800)


def test_sums_by_hand_and_kind(hub: Task, osk: Hand, bram: Hand) -> None:
    told(hub, osk, minutes=60)
    told(hub, osk, minutes=None)
    undone = told(hub, osk, minutes=20)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, NOW), now=NOW)
    record(shop_work(osk, 15), now=NOW)
    found = {(one.hand_id, one.kind): one for one in sums(Asked())}
    work, swept = found[osk.user_id, "work"], found[osk.user_id, "shop"]
    assert (work.seconds, work.stretches, work.untimed) == (3600, 2, 1)
    assert (swept.seconds, swept.stretches) == (900, 1)


def test_pages_by_key_meet_without_gap_or_overlap(osk: Hand) -> None:
    for day in range(PAGE + 20):
        at = NOW - timedelta(days=day // 3)
        record(shop_work(osk, 1, done_at=at), now=NOW)
    first = page(Asked())
    second = page(Asked(), before=first.older)
    seen = [row.pk for row in (*first.rows, *second.rows)]
    assert seen == list(Stretch.objects.newest_first().values_list("pk", flat=True))
    assert (first.newer, second.older) == (None, None)
    back = page(Asked(), after=second.newer)
    assert [row.pk for row in back.rows] == [row.pk for row in first.rows]


@pytest.mark.parametrize("text", ["", "x", "2026-13-01.4", "2026-03-02", "2026-03-02.x"])
def test_a_bad_key_begins_at_the_newest(owner: Client, shop: object, text: str) -> None:
    assert Key.read(text) is None
    assert owner.get(URL, PERIOD | {"before": text}).status_code == 200


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"first": "soon"}, "That is not a day"),
        ({"first": "2026-03-02", "last": "2026-03-01"}, "The period ends before it begins."),
        ({"order": "0"}, "Write 1 or more."),
    ],
)
def test_a_bad_question_gets_a_sentence(owner: Client, shop: object, asked: dict[str, str], sentence: str) -> None:
    for url in (URL, reverse("shop:day-book-csv")):
        response = owner.get(url, asked)
        assert response.status_code == 422
        assert sentence in response.content.decode()


def test_undone_work_is_struck_out_in_words(owner: Client, hub: Task, osk: Hand) -> None:
    stretch = told(hub, osk)
    cancel(Cancel(uuid.uuid4(), stretch.token, osk.user_id, NOW), now=NOW)
    text = owner.get(URL, PERIOD).content.decode()
    assert "<s>Turn hub</s>" in text
    assert "undoes an earlier entry" in text
    assert "0 stretches" not in text


def test_work_on_what_was_left_out_is_for_a_person_to_place(owner: Client, order: Order, hub: Task, osk: Hand) -> None:
    early = told(hub, osk)
    drop_wheel(wheel(order), at=NOW)
    late = record(fact(hub, osk), now=NOW + timedelta(hours=1)).stretch
    assert {row.pk: row.to_place for row in page(Asked()).rows} == {early.pk: False, late.pk: True}  # type: ignore[union-attr,attr-defined]
    assert list(stretches(Asked(only_to_place=True))) == [late]
    assert owner.get(URL, PERIOD).content.decode().count("for a person to place") == 1


def test_a_dispute_is_shown(owner: Client, hub: Task, osk: Hand) -> None:
    told(hub, osk, note=f"{DISPUTED}it was two")
    text = owner.get(URL, PERIOD).content.decode()
    assert "disputed" in text
    assert "it was two" in text


def test_the_file_sums_as_the_facts_do(owner: Client, hub: Task, osk: Hand, bram: Hand) -> None:
    told(hub, osk, minutes=60, note="=cmd()", helper_ids=(bram.user_id,))
    undone = told(hub, osk, minutes=20)
    cancel(Cancel(uuid.uuid4(), undone.token, osk.user_id, NOW), now=NOW)
    response = owner.get(reverse("shop:day-book-csv"), PERIOD)
    assert response.headers["Content-Type"] == "text/csv; charset=utf-8"
    rows = list(csv.DictReader(io.StringIO(b"".join(response).decode(), newline="")))  # type: ignore[arg-type]
    assert sum(int(row["seconds"]) for row in rows) == 3600
    assert sum(int(row["made"]) for row in rows) == 1
    assert (rows[0]["note"], rows[0]["helpers"], rows[0]["operation"]) == ("'=cmd()", "Bram", "Turn hub")
    assert [row["undone"] for row in rows] == ["0", "1", "0"]


def right(stretch: Stretch, **changes: object) -> dict[str, object]:
    answers = {"token": uuid.uuid4(), "hand": stretch.hand_id, "task": stretch.tallies.get().task_id, "made": "1"}
    return answers | {"on_day": "2", "on_month": "3", "on_year": "2026", "minutes": "10 min", "note": ""} | changes


def test_the_owner_puts_a_stretch_right(owner: Client, order: Order, hub: Task, osk: Hand, bram: Hand) -> None:
    stretch = told(hub, osk, minutes=10)
    off = Wheel.objects.filter(lot__order=order).order_by("number")[1]
    answers = right(stretch, hand=bram.user_id, task=task(order, "turn-hub", off).pk, minutes="25", on_day="1")
    url = reverse("shop:put-right", args=[stretch.pk])
    for _ in range(2):
        assert owner.post(url, answers).status_code == 302
    fresh = Stretch.objects.get(token=answers["token"])
    assert (fresh.hand, fresh.seconds, fresh.done_on) == (bram.user, 1500, date(2026, 3, 1))
    assert fresh.entered_by == Hand.objects.get(name="Wren").user
    hub.refresh_from_db()
    assert (hub.made, hub.seconds) == (0, 0)
    assert task(order, "turn-hub", off).made == 1


def test_putting_right_the_note_keeps_the_seconds(owner: Client, hub: Task, osk: Hand) -> None:
    stretch = told(hub, osk, minutes=10.4)
    owner.post(reverse("shop:put-right", args=[stretch.pk]), right(stretch, note="elm"))
    hub.refresh_from_db()
    assert (hub.seconds, hub.made) == (624, 1)


def test_a_stretch_on_several_tasks_keeps_what_it_made(owner: Client, order: Order, hub: Task, osk: Hand) -> None:
    tasks = list(Task.objects.filter(lot__order=order, operation__key="turn-hub"))
    yields = tuple(Yield(made=1, task_id=one.pk) for one in tasks)
    stretch = told(hub, osk, minutes=60, yields=yields)
    answers = {"token": uuid.uuid4(), "hand": osk.user_id, "minutes": "1 h 30", "note": ""}
    answers |= {"on_day": "2", "on_month": "3", "on_year": "2026"}
    assert owner.post(reverse("shop:put-right", args=[stretch.pk]), answers).status_code == 302
    rows = Task.objects.filter(pk__in=[one.pk for one in tasks]).values_list("made", "seconds")
    assert list(rows) == [(1, 2700), (1, 2700)]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"made": "-1"}, "Write 0 or more."),
        ({"minutes": "17 h"}, "more than 16 hours"),
        ({"on_year": "2190"}, "That day has not come yet."),
        ({"task": "0"}, "That is not offered here"),
    ],
)
def test_bad_answers_change_nothing(
    owner: Client, hub: Task, osk: Hand, changes: dict[str, str], sentence: str
) -> None:
    stretch = told(hub, osk)
    response = owner.post(reverse("shop:put-right", args=[stretch.pk]), right(stretch, **changes))
    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert Stretch.objects.count() == 1


def test_a_spoiled_hub_is_told_in_the_shops_own_words(owner: Client, hub: Task, osk: Hand) -> None:
    Shop.objects.update(word_hub="nave", word_hubs="naves")
    spoiled = Yield(spoiled=1, reason="timber", wheel_id=hub.wheel_id)
    stretch = told(hub, osk, yields=(spoiled,))
    page = owner.get(f"/day-book/{stretch.pk}/put-right/").content.decode()
    assert "The nave was made anew with this entry" in page


def test_what_goes_with_a_move_is_undone_with_the_move(owner: Client, order: Order, osk: Hand) -> None:
    rough, foot, there = task(order, "rough-spoke"), task(order, "cut-foot"), task(take_pair(), "rough-spoke")
    for one in (rough, foot):
        record(fact(one, osk, made=4), now=NOW)
    wish = MoveWish(uuid.uuid4(), rough.pk, there.pk, 2, "thinner", osk.user_id, NOW)
    move_cut_again(wish, stage_task_id=foot.pk, now=NOW)
    aside = Stretch.objects.latest("pk")
    page = owner.get(f"/day-book/{aside.pk}/put-right/").content.decode()
    assert "With this entry pieces went back to be cut again" in page
    answer = owner.post(f"/day-book/{aside.pk}/undo/", follow=True)
    assert "undo the move, and it is undone too" in answer.content.decode()
    assert not Stretch.objects.exclude(cancels_token=None).exists()


def test_undone_twice_is_undone_once(owner: Client, hub: Task, osk: Hand) -> None:
    stretch = told(hub, osk)
    for _ in range(2):
        assert owner.post(reverse("shop:day-book-undo", args=[stretch.pk])).status_code == 302
    assert Stretch.objects.count() == 2


def test_only_the_owner_puts_right(client: Client, hub: Task, osk: Hand, tamsin: Hand) -> None:
    stretch = told(hub, osk)
    client.force_login(tamsin.user)
    assert client.get(URL, PERIOD).status_code == 200
    assert client.get(reverse("shop:put-right", args=[stretch.pk])).status_code == 403
    assert client.post(reverse("shop:day-book-undo", args=[stretch.pk])).status_code == 403
    client.force_login(osk.user)
    assert client.get(URL).status_code == 403


def test_the_queries_do_not_grow_with_the_rows(owner: Client, order: Order, hub: Task, osk: Hand, bram: Hand) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            owner.get(URL, PERIOD)
        return len(seen)

    for _ in range(2):
        told(hub, osk, helper_ids=(bram.user_id,))
    few = queries()
    for one in Task.objects.filter(lot__order=order).select_related("operation"):
        record(fact(one, osk, helper_ids=(bram.user_id,)), now=NOW)
    assert queries() == few
