"""Four threads that send the same facts at the same time: each counts once, and none is refused for the crowd."""

import sqlite3
import threading
import uuid
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest
from django.conf import settings as django_settings
from django.db import connection, connections

from jobs.models import Task
from jobs.starting import start_operations
from shop.models import Hand
from tests.factories import NOW, HandFactory, ShopFactory, fact, take_pair, task
from timing.facts import Cancel, Fact, FactRefused
from timing.models import AwaitedCancel, Move, Stretch
from timing.moves import MoveWish, cancel_move, move_cut_again
from timing.record import aside_token, cancel, record
from timing.recount import find_faults

THREADS, TOKENS = 4, 200
ON_POSTGRESQL = "postgresql" in django_settings.DATABASES["default"]["ENGINE"]


def in_threads(act: Callable[[int], None]) -> None:
    """Run `act` in each thread at the same time; the first error of any is raised here."""
    errors: list[BaseException] = []
    together = threading.Barrier(THREADS)

    def run(number: int) -> None:
        try:
            together.wait(timeout=30)
            act(number)
        except BaseException as error:  # it is raised again below, where the test sees it
            errors.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=120)
    assert not any(thread.is_alive() for thread in threads)
    if errors:
        raise errors[0]


@pytest.fixture
def a_file(transactional_db: None, tmp_path: Path) -> Iterator[None]:
    """A database that threads can share: PostgreSQL's own, or for SQLite a file instead of memory."""
    if ON_POSTGRESQL:
        yield
        return
    connection.ensure_connection()
    before, held = connection.settings_dict["NAME"], connection.connection
    copy = sqlite3.connect(tmp_path / "threads.sqlite3")
    held.backup(copy)
    copy.execute("PRAGMA journal_mode=WAL")  # as the shop's own is before anything reads it
    copy.close()
    # The suite's database lives in this one connection to memory: it is put aside, not closed.
    connection.connection = None
    connection.settings_dict["NAME"] = str(tmp_path / "threads.sqlite3")
    yield
    connection.close()
    connection.settings_dict["NAME"], connection.connection = before, held


@pytest.fixture
def hand(a_file: None) -> Hand:
    start_operations()
    ShopFactory.create()
    return HandFactory.create(name="Osk")


def test_the_same_tokens_count_once(hand: Hand) -> None:
    rough = task(take_pair(), "rough-spoke")
    told = [fact(rough, hand, minutes=1) for _ in range(TOKENS)]
    fresh = [0] * THREADS

    def send(number: int) -> None:
        for one in Random(number).sample(told, TOKENS):
            fresh[number] += record(one, now=NOW).fresh

    in_threads(send)
    assert sum(fresh) == TOKENS
    assert Stretch.objects.count() == TOKENS
    rough.refresh_from_db()
    assert (rough.made, rough.seconds) == (TOKENS, 60 * TOKENS)
    assert find_faults() == []


def test_facts_and_their_cancels_cross_each_other(hand: Hand) -> None:
    """Every thread sends every fact and every cancel, each in its own order, and all of it comes to nothing."""
    order = take_pair()
    tasks = [task(order, key) for key in ("rough-spoke", "saw-felloe")]
    told = [fact(tasks[number % 2], hand, minutes=1) for number in range(60)]
    undoing = [Cancel(token=uuid.uuid4(), cancels_token=one.token, hand_id=hand.user_id, done_at=NOW) for one in told]

    def send(number: int) -> None:
        for one in Random(number).sample([*told, *undoing], 120):
            if isinstance(one, Fact):
                record(one, now=NOW)
            else:
                cancel(one, now=NOW)

    in_threads(send)
    assert Stretch.objects.count() == 120
    assert AwaitedCancel.objects.count() == 0
    assert not Task.objects.exclude(made=0, seconds=0).exists()
    assert find_faults() == []


def test_two_tasks_in_either_order_do_not_lock_each_other(hand: Hand) -> None:
    """A fire over two wheels, told with the wheels the one way round by some and the other by others."""
    order = take_pair()
    near, off = order.lots.get().wheels.all()
    ends = [task(order, "shrink-tyre", wheel) for wheel in (near, off)]

    def send(number: int) -> None:
        first, second = ends if number % 2 else reversed(ends)
        for _ in range(30):
            one = fact(first, hand, minutes=None)
            other = fact(second, hand, minutes=None)
            both = (*one.yields, *other.yields)
            record(
                Fact(
                    token=uuid.uuid4(),
                    hand_id=hand.user_id,
                    operation_id=first.operation_id,
                    started_at=NOW - timedelta(seconds=100),
                    done_at=NOW,
                    yields=both,
                ),
                now=NOW,
            )

    in_threads(send)
    for end in ends:
        end.refresh_from_db()
        assert (end.made, end.seconds) == (30 * THREADS, 50 * 30 * THREADS)
    assert find_faults() == []


def test_lots_cut_again_into_each_other_do_not_lock_each_other(hand: Hand) -> None:
    """Pieces go from one lot to the other and back, some moves are undone, and taps go on: nothing waits in a ring."""
    orders = [take_pair(), take_pair()]
    keys = ("rough-spoke", "cut-foot", "shave-spoke")
    rows = [[task(order, key) for key in keys] for order in orders]
    for own in rows:
        for one in own:
            record(fact(one, hand, made=60, minutes=None), now=NOW)

    def send(number: int) -> None:
        own, other = rows[number % 2], rows[1 - number % 2]
        for turn in range(6):
            wish = MoveWish(uuid.uuid4(), own[0].pk, other[0].pk, 1, "thinner", hand.user_id, NOW)
            move_cut_again(wish, stage_task_id=own[2].pk, now=NOW)
            record(fact(other[0], hand, minutes=None), now=NOW)
            if turn % 2:
                undo_where_it_still_can_be(wish)

    def undo_where_it_still_can_be(wish: MoveWish) -> None:
        aside = Cancel(uuid.uuid4(), aside_token(wish.token), hand.user_id, NOW)
        with pytest.raises(FactRefused, match="undo the move"):
            cancel(aside, now=NOW)
        # Another thread may have worked on those very pieces since.
        with suppress(FactRefused):
            cancel_move(wish.token, cancel_token=uuid.uuid4(), hand_id=hand.user_id, now=NOW)

    in_threads(send)
    assert find_faults() == []
    assert Move.objects.filter(cancels_token=None).count() >= 6 * THREADS
