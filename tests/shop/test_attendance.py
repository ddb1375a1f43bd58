"""Coming and going kept as facts: at the bench in one touch, at the desk entered and put right."""

import re
import uuid
from datetime import date, timedelta

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from jobs.models import Order
from shop.models import Attendance, Hand
from tests.factories import task
from tests.shop.benching import Bench, Wall, text_of
from timing.models import Clock, Stretch

TELL = "bench-here-tell"
MONDAY = {"on_day": "2", "on_month": "March", "on_year": "2026"}


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    return Wall(monkeypatch)


@pytest.fixture
def bench(osk: Hand, wall: Wall) -> Bench:
    return Bench(osk).come_in()


def shown(page: HttpResponse) -> list[str]:
    """The states whose touches are offered, of all that the page holds for a script to show."""
    found = re.findall(r'data-then="[^"]*" data-here="([a-z ]+)"( hidden)?>', page.content.decode())
    return [state for state, hidden in found if not hidden]


def touch(bench: Bench, kind: str, **fields: object) -> int:
    return bench.post(TELL, kind=kind, **{"token": uuid.uuid4(), **fields}).status_code


def test_a_day_in_four_touches_leaves_the_job_clock_alone(bench: Bench, wall: Wall, order: Order) -> None:
    assert shown(bench.client.get("/bench/jobs/")) == ["out"]
    assert touch(bench, "came") == 302
    bench.start(task(order, "shave-spoke"))
    wall.on(hours=2)
    assert bench.post(TELL, kind="break", token=uuid.uuid4())["Location"] == reverse("shop:bench-here")
    rest = text_of(bench.client.get("/bench/here/"))
    assert "Your clock runs at shave spoke since 10.00: stop it?" in rest
    assert "You are on a break since 12.00." in rest
    assert shown(bench.client.get("/bench/jobs/")) == ["resting", "here resting"]
    wall.on(minutes=45)
    assert bench.post(TELL, kind="back", token=uuid.uuid4())["Location"] == reverse("shop:bench-job")
    wall.on(hours=4, minutes=15)
    assert touch(bench, "went") == 302
    home = text_of(bench.client.get("/bench/here/"))
    assert "Stop it, and end the day" in home
    assert "came 10.00, break from 12.00, back from it 12.45, went 17.00 45 min 6 h 15" in home
    clock = Clock.objects.get()
    assert (clock.started_at is not None, Stretch.objects.count()) == (True, 0)
    assert [row.done_on for row in Attendance.objects.all()] == [date(2026, 3, 2)] * 4


def test_the_same_touch_is_kept_once_and_never_as_another(bench: Bench, osk: Hand, wall: Wall) -> None:
    token = uuid.uuid4()
    assert touch(bench, "came", token=token) == 302
    wall.on(minutes=3)
    assert touch(bench, "came", token=token) == 302  # the plain form once more, which names no moment
    refused = bench.post(TELL, kind="went", token=token)
    assert (refused.status_code, "sent before with other content" in text_of(refused)) == (422, True)
    (row,) = Attendance.objects.all()
    assert (row.kind, row.hand, row.source) == ("came", osk.user, "bench")


def test_a_device_tells_late_by_its_own_clock(bench: Bench, wall: Wall) -> None:
    """Tapped at 7.50 by a device ten minutes slow, and sent at ten: it was eight."""
    tapped, sent = wall.now - timedelta(hours=2, minutes=10), wall.now - timedelta(minutes=10)
    told = {"token": uuid.uuid4(), "kind": "came", "done_at": tapped.isoformat(), "sent_at": sent.isoformat()}
    assert [bench.send(told, TELL).status_code for _ in range(2)] == [200, 200]
    assert "You are here since 8.00." in text_of(bench.client.get("/bench/here/"))
    assert Attendance.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"kind": "lunch"}, "“lunch” is none (kind)"),
        ({"kind": "came", "done_at": "2026-03-02T11:00:00+00:00"}, "That moment has not come yet."),
        ({"kind": "came", "done_at": "today"}, "“today” is no moment (done_at)"),
        ({"kind": "came", "token": "x"}, "The token is missing or is no UUID."),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(bench: Bench, fields: dict[str, str], said: str) -> None:
    answer = bench.send({"token": str(uuid.uuid4()), **fields}, TELL)
    assert (answer.status_code, said in text_of(answer)) == (422, True)
    assert not Attendance.objects.exists()


def test_nobody_is_told_as_come_by_another(bench: Bench, wren: Hand) -> None:
    assert touch(bench, "came", hand=wren.user_id) == 403


def test_the_desk_enters_a_night_and_puts_a_going_right(client: Client, tamsin: Hand, osk: Hand, wall: Wall) -> None:
    wall.on(days=1)
    client.force_login(tamsin.user)
    form = {"token": str(uuid.uuid4()), "hand": osk.user_id, "came": "20.00", "went": "3.00", "note": "hot work"}
    for _ in range(2):
        assert client.post("/pay/hours/new/", form | MONDAY).status_code == 302
    went = Attendance.objects.get(kind="went")
    assert (went.done_on, went.entered_by, Attendance.objects.count()) == (date(2026, 3, 3), tamsin.user, 2)
    right = {"token": str(uuid.uuid4()), "kind": "went", "at": "4.30", "on_day": "3", "on_month": "3"} | {
        "on_year": "2026"
    }
    for _ in range(2):
        assert client.post(f"/pay/hours/{went.pk}/", right).status_code == 302
    page = text_of(client.get("/pay/hours/"))
    assert "8 h 30" in page
    assert "by Tamsin" in page
    assert "still here" not in page  # the going stands with its coming, not as a day of its own
    other = right | {"token": str(uuid.uuid4()), "at": "5.00"}
    late = client.post(f"/pay/hours/{went.pk}/", other)
    assert (late.status_code, "put right already" in text_of(late)) == (422, True)
    assert Attendance.objects.count() == 4


def test_a_day_that_wants_putting_right_is_told_and_found(client: Client, tamsin: Hand, osk: Hand, wall: Wall) -> None:
    client.force_login(tamsin.user)
    form = {"token": str(uuid.uuid4()), "hand": osk.user_id, "came": "8.00"}
    client.post("/pay/hours/new/", form | MONDAY)
    assert "still here" in text_of(client.get("/pay/hours/"))
    wall.on(days=1)
    client.force_login(tamsin.user)
    page = client.get("/pay/hours/?show=missing&first=2026-03-01&last=2026-03-03")
    assert "1 day wants putting right before it is paid." in text_of(page)
    assert "came at 8.00 and never went" in text_of(page)
    row = Attendance.objects.get()
    for _ in range(2):
        assert client.post(f"/pay/hours/{row.pk}/undo/", {"token": str(uuid.uuid4())}).status_code == 302
    assert Attendance.objects.count() == 2
    assert "never went" not in text_of(client.get("/pay/hours/"))


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        ({}, "Write at least one of the four times."),
        ({"came": "8.00", "rest": "12.00"}, "Write both times of the break, or neither."),
        ({"came": "25.00"}, "Write the time as 12.30."),
        (
            {"came": "5.00", "rest": "9.45", "back": "9.00", "went": "9.50"},
            "That is more than 16 hours after the first time: are two times swapped?",
        ),
        ({"came": "10.30"}, "That moment has not come yet."),
    ],
)
def test_a_day_that_cannot_be_is_not_entered(client: Client, tamsin: Hand, wall: Wall, answers, said) -> None:
    client.force_login(tamsin.user)
    form = {"token": str(uuid.uuid4()), "hand": tamsin.user_id} | answers | MONDAY
    page = client.post("/pay/hours/new/", form)
    assert (page.status_code, said in text_of(page)) == (422, True)
    assert not Attendance.objects.exists()


def test_no_year_that_cannot_be_is_asked_for(client: Client, tamsin: Hand, wall: Wall) -> None:
    client.force_login(tamsin.user)
    for asked in ("last=0001-01-01", "first=0001-01-01&last=0001-02-01", "first=9999-12-31"):
        page = client.get(f"/pay/hours/?{asked}")
        assert (asked, page.status_code, "That year can't be right" in text_of(page)) == (asked, 422, True)


def test_who_left_within_a_year_is_put_right_still(client: Client, tamsin: Hand, osk: Hand, wall: Wall) -> None:
    client.force_login(tamsin.user)
    form = {"hand": osk.user_id, "came": "8.00", "went": "9.00"} | MONDAY
    for left_on, status in ((date(2026, 3, 1), 302), (date(2025, 2, 27), 422)):
        osk.left_on = left_on
        osk.save()
        assert client.post("/pay/hours/new/", form | {"token": str(uuid.uuid4())}).status_code == status
