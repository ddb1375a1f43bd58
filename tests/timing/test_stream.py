"""A seeded stream of 2,000 facts with replays and cancels, sent in any order, one by one and many at once."""

import uuid
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from random import Random

import pytest
from django.db import transaction

from jobs.models import Task
from jobs.orders import WheelRow
from shop.models import Hand
from tests.factories import NOW, makeup, take_pair
from timing.bulk import record_many
from timing.facts import Cancel, Fact, Yield
from timing.models import AwaitedCancel, Stretch
from timing.record import cancel, record
from timing.recount import find_faults

FACTS, CANCELS, REPLAYS = 1400, 300, 300
Counters = dict[int, tuple[int, ...]]
Sent = Fact | Cancel


def make_stream(rng: Random, hands: Sequence[int]) -> list[Sent]:
    tasks = list(Task.objects.order_by("pk").values("pk", "operation_id", "lot_id", "wheel_id"))

    def token() -> uuid.UUID:
        return uuid.UUID(int=rng.getrandbits(128), version=4)

    facts = []
    for _ in range(FACTS):
        task = rng.choice(tasks)
        spoiled = int(rng.random() < 0.05)
        done_at = NOW - timedelta(seconds=rng.randrange(10**6))
        did = Yield(
            made=rng.randrange(4),
            spoiled=spoiled,
            reason="timber" if spoiled else "",
            lot_id=task["lot_id"],
            wheel_id=task["wheel_id"],
        )
        timed = rng.random() < 0.9
        hand, helper = rng.sample(hands, 2)
        facts.append(
            Fact(
                token=token(),
                hand_id=hand,
                operation_id=task["operation_id"],
                done_at=done_at,
                started_at=done_at - timedelta(seconds=rng.randrange(4000)) if timed else None,
                yields=(did,),
                helper_ids=(helper,) if rng.random() < 0.1 else (),
            )
        )
    cancels = [
        Cancel(token=token(), cancels_token=told.token, hand_id=told.hand_id, done_at=NOW)
        for told in rng.sample(facts, CANCELS)
    ]
    replayed = [replace(sent, sent_at=NOW) for sent in rng.sample([*facts, *cancels], REPLAYS)]
    return [*facts, *cancels, *replayed]


def expected(stream: Sequence[Sent]) -> Counters:
    """What a plain sum over the facts that stand says."""
    undone = {sent.cancels_token for sent in stream if isinstance(sent, Cancel)}
    facts = {sent.token: sent for sent in stream if isinstance(sent, Fact) and sent.token not in undone}
    at = {(o, lot, wheel): pk for pk, o, lot, wheel in Task.objects.values_list("pk", "operation", "lot", "wheel")}
    sums: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for told in facts.values():
        did = told.yields[0]
        assert told.operation_id
        seconds = int((told.done_at - told.started_at).total_seconds()) if told.started_at else 0
        row = sums[at[told.operation_id, did.lot_id or 0, did.wheel_id]]
        for index, number in enumerate((did.made, did.spoiled, did.lost, seconds)):
            row[index] += number
    return {task_id: tuple(row) for task_id, row in sums.items() if any(row)}


def counters_after(send: Callable[[], None]) -> Counters:
    """The counters that a way of sending leads to; all of it is rolled back again."""
    with transaction.atomic():
        send()
        assert find_faults() == []
        assert Stretch.objects.count() == FACTS + CANCELS
        assert AwaitedCancel.objects.count() == 0
        rows = Task.objects.values_list("pk", "made", "spoiled", "lost", "seconds")
        found = {pk: tuple(row) for pk, *row in rows if any(row)}
        transaction.set_rollback(True)
    return found


def one_by_one(stream: Sequence[Sent]) -> None:
    for sent in stream:
        if isinstance(sent, Cancel):
            cancel(sent, now=NOW)
        else:
            record(sent, now=NOW)


def in_bulk(stream: Sequence[Sent], *, at_once: int) -> None:
    for start in range(0, len(stream), at_once):
        record_many(stream[start : start + at_once], now=NOW)


@pytest.fixture
def stream(osk: Hand, bram: Hand, wren: Hand) -> list[Sent]:
    for _ in range(2):
        take_pair(rows=[WheelRow(makeup(), "hind pair", ["near_hind", "off_hind"])])
    made = make_stream(Random(1896), [osk.user_id, bram.user_id, wren.user_id])
    assert len(made) == 2000
    return made


def test_any_order_gives_the_same_counters_one_by_one(stream: list[Sent]) -> None:
    wanted = expected(stream)
    assert len(wanted) > 100
    shuffled = Random(3).sample(stream, len(stream))
    assert counters_after(lambda: one_by_one(shuffled)) == wanted


@pytest.mark.parametrize(("at_once", "seed"), [(2000, 5), (2000, 8), (301, 13), (47, 21)])
def test_many_at_once_give_the_same_in_any_order(stream: list[Sent], at_once: int, seed: int) -> None:
    shuffled = Random(seed).sample(stream, len(stream))
    assert counters_after(lambda: in_bulk(shuffled, at_once=at_once)) == expected(stream)


def test_the_check_can_fail(stream: list[Sent]) -> None:
    """One fact left out, and the sums differ."""
    standing = next(sent for sent in stream if isinstance(sent, Fact) and sent.yields[0].made)
    undone = {sent.cancels_token for sent in stream if isinstance(sent, Cancel)}
    assert standing.token not in undone
    assert expected([sent for sent in stream if sent.token != standing.token]) != expected(stream)
