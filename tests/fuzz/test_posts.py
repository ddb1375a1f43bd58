"""Every address that takes a form, by every role, with forms that are nearly right and forms that are not.

No answer is an error of ours; what is refused leaves nothing written; what is asked changes nothing; each change that
owners are told of leaves its one line; the counters stay equal to the facts, and every page still opens.

1,000 requests, the same at every run. More, and others at every run:

    FUZZ_REQUESTS=20000 .venv/bin/pytest tests/fuzz -n 0 -s
"""

import logging
import os
from collections import Counter
from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests import written
from tests.addresses import ADDRESSES
from tests.fuzz.asking import Ask, asks, send
from tests.fuzz.faults import faults_after, faults_of
from tests.fuzz.world import LEFT_OUT, World, make_world

REQUESTS = int(os.environ.get("FUZZ_REQUESTS", "1000"))
AT_ONCE = 25


@pytest.fixture
def world(db: None) -> Iterator[World]:
    cache.clear()
    made = make_world()
    written.install()
    logging.disable(logging.CRITICAL)
    yield made
    logging.disable(logging.NOTSET)


def test_no_form_does_harm(world: World) -> None:
    # All of them are asked. One world serves for both: every page is read to make it.
    assert {seed.name for seed in world.seeds} == set(ADDRESSES) - LEFT_OUT
    answers: Counter[int] = Counter()

    @settings(
        max_examples=max(1, REQUESTS // AT_ONCE),
        derandomize="FUZZ_REQUESTS" not in os.environ,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
        print_blob=True,
    )
    @given(st.lists(asks(world), min_size=AT_ONCE, max_size=AT_ONCE), st.integers(0, 9))
    def ask_all(them: list[Ask], chance: int) -> None:
        with transaction.atomic():
            cache.clear()
            for ask in them:
                told, answer = send(world, ask)
                answers[answer.status_code] += 1
                assert faults_of(answer, method="GET" if ask.body == "get" else "POST") == [], told
            assert faults_after(world, look=chance == 0) == []
            transaction.set_rollback(True)

    ask_all()
    print(f"{answers.total()} requests: {dict(sorted(answers.items()))}")
    assert answers.total() >= REQUESTS // AT_ONCE * AT_ONCE
