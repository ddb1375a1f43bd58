"""Backups while eight clients post: a small run of what `tests.faults.backing_up` does at full size."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.faults.backing_up import Restored, Run, Taken, count_up, restored, run

FACTS, BACKUPS = 160, 2


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory, put_example: Callable[[Path], Path]) -> Run:
    return run(put_example(tmp_path_factory.mktemp("load")), facts=FACTS, backups=BACKUPS)


@pytest.fixture(scope="module")
def there(done: Run) -> list[Restored]:
    return restored(done)


def test_each_holds_what_was_acknowledged_before_it(done: Run, there: list[Restored]) -> None:
    found = count_up(done, there)
    assert found.is_well, found
    assert (found.acknowledged, found.by_command, found.by_clock) == (FACTS, 1, 1)
    # They were made while facts came in, and not all before or after.
    assert any(0 < len(one.acknowledged) < FACTS for one in done.taken)
    assert any(bench.took for bench in done.benches)


def test_what_a_backup_lacks_is_found(done: Run, there: list[Restored]) -> None:
    """The check itself: a backup that is said to have been begun after facts that it can't hold."""
    first = done.taken[0]
    late = Taken(first.file, "command", first.began, first.ended, done.told)
    found = count_up(Run(done.shop, done.told, done.stood, done.benches, [late]), there[:1])
    assert found.missing >= FACTS // 4
    assert not found.is_well
