"""A hand's own work: seen by day, put right, disputed."""

import uuid

import pytest
from django.urls import reverse

from jobs.models import Order
from shop.models import Hand
from tests.factories import fact, task
from tests.shop.benching import Bench, Wall, text_of
from timing.facts import Fact
from timing.models import Stretch
from timing.record import record
from timing.recount import find_faults

MINE = reverse("shop:bench-mine")


@pytest.fixture
def bench(osk: Hand, monkeypatch: pytest.MonkeyPatch) -> Bench:
    Wall(monkeypatch)
    return Bench(osk).come_in()


@pytest.fixture
def told(order: Order, bench: Bench) -> Fact:
    """Twelve spokes roughed out in 70 minutes."""
    told = fact(task(order, "rough-spoke"), bench.hand, made=12, minutes=70)
    record(told)
    return told


def put_right(bench: Bench, told: Fact, page: str = "bench-correct", **changes: object) -> object:
    fields = {"token": uuid.uuid4(), "made": 12, "minutes": "1 h 10", "note": ""} | changes
    return bench.client.post(reverse(f"shop:{page}", args=[told.token]), fields)


def test_it_works(told: Fact, bench: Bench) -> None:
    page = text_of(bench.client.get(MINE))
    assert "Monday 2 March" in page
    assert "Rough out spoke hind pair, wagonette 1" in page
    assert "10.00 12 roughed out 1 h 10" in page


def test_only_ones_own_is_shown(told: Fact, bench: Bench, wren: Hand) -> None:
    other = Bench(wren, "bench 3").come_in()
    assert "Nothing is kept in your name yet." in text_of(other.client.get(MINE))
    for page in ("bench-correct", "bench-dispute"):
        assert other.client.get(reverse(f"shop:{page}", args=[told.token])).status_code == 404
        assert put_right(other, told, page).status_code == 404  # type: ignore[attr-defined]
    assert Stretch.objects.count() == 1


def test_a_correction_undoes_and_tells_anew(order: Order, told: Fact, bench: Bench) -> None:
    assert put_right(bench, told, made=10, minutes="55").status_code == 302  # type: ignore[attr-defined]
    row = task(order, "rough-spoke")
    assert (row.made, row.seconds) == (10, 3300)
    new = Stretch.objects.filter(cancels_token=None).latest("pk")
    assert (new.done_on, new.seconds, new.hand) == (told.done_at.date(), 3300, bench.hand.user)
    assert Stretch.objects.filter(cancels_token=told.token).exists()
    page = text_of(bench.client.get(MINE))
    assert "Undone or put right" in page
    assert "10 roughed out 55 min" in page
    assert find_faults() == []


def test_a_correction_sent_twice_is_one(order: Order, told: Fact, bench: Bench) -> None:
    token = uuid.uuid4()
    for _ in range(2):
        assert put_right(bench, told, made=10, token=token).status_code == 302  # type: ignore[attr-defined]
    assert task(order, "rough-spoke").made == 10
    assert Stretch.objects.count() == 3


def test_what_was_put_right_is_not_put_right_again(order: Order, told: Fact, bench: Bench) -> None:
    put_right(bench, told, made=10)
    answer = put_right(bench, told, made=9)
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert "undone or put right already" in text_of(answer)  # type: ignore[arg-type]
    assert task(order, "rough-spoke").made == 10


def test_the_time_may_be_taken_away(order: Order, told: Fact, bench: Bench) -> None:
    put_right(bench, told, minutes="")
    row = task(order, "rough-spoke")
    assert (row.made, row.seconds) == (12, 0)
    assert Stretch.objects.latest("pk").seconds is None


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"made": "10000"}, "More than 999 at once"),
        ({"minutes": "a while"}, "is no length of time"),
        ({"minutes": "8000"}, "can't be longer than seven days".replace("seven days", "seven days")),
        ({"token": "x"}, "The token is missing"),
    ],
)
def test_a_bad_correction_is_told_and_leaves_all_as_it_was(
    order: Order, told: Fact, bench: Bench, changes: dict[str, object], sentence: str
) -> None:
    minutes = {"minutes": "200 h"} if changes == {"minutes": "8000"} else {}
    answer = put_right(bench, told, **(changes | minutes))
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert sentence in text_of(answer)  # type: ignore[arg-type]
    assert task(order, "rough-spoke").made == 12
    assert Stretch.objects.count() == 1


def test_a_correction_to_more_than_sixteen_hours_is_asked_about(order: Order, told: Fact, bench: Bench) -> None:
    asked = put_right(bench, told, minutes="17 h")
    assert asked.status_code == 422  # type: ignore[attr-defined]
    assert "More than 16 hours is right" in text_of(asked)  # type: ignore[arg-type]
    assert put_right(bench, told, minutes="17 h", confirmed="on").status_code == 302  # type: ignore[attr-defined]
    assert task(order, "rough-spoke").seconds == 17 * 3600


def test_a_dispute_stands_in_the_note_and_changes_no_figure(order: Order, told: Fact, bench: Bench) -> None:
    answer = put_right(bench, told, "bench-dispute", words="It was Wren who did four of them")
    assert answer.status_code == 302  # type: ignore[attr-defined]
    row = task(order, "rough-spoke")
    assert (row.made, row.seconds) == (12, 4200)
    assert Stretch.objects.latest("pk").note == "Disputed: It was Wren who did four of them"


def test_a_dispute_needs_its_words(told: Fact, bench: Bench) -> None:
    assert put_right(bench, told, "bench-dispute", words=" ").status_code == 422  # type: ignore[attr-defined]
    assert Stretch.objects.count() == 1


def test_a_spoiled_hub_is_not_put_right_here(order: Order, bench: Bench) -> None:
    turn = task(order, "turn-hub", order.lots.get().wheels.first())
    bench.start(turn)
    bench.post("bench-spoiled", token=uuid.uuid4(), task=turn.pk, reason="timber")
    token = Stretch.objects.latest("pk").token
    answer = bench.client.get(reverse("shop:bench-correct", args=[token]), follow=True)
    assert "undo it at its job and tell it anew" in text_of(answer)


def test_older_by_key(order: Order, bench: Bench) -> None:
    rough = task(order, "rough-spoke")
    for _ in range(45):
        record(fact(rough, bench.hand))
    page = bench.client.get(MINE)
    assert "Older" in text_of(page)
    older = bench.client.get(f"{MINE}?before={Stretch.objects.order_by('-pk')[39].pk}")
    assert text_of(older).count("Rough out spoke hind pair") == 5
