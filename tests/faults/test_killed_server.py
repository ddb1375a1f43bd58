"""Facts from eight clients while the server is killed: a small run of what `tests.faults.killing` does at full size."""

import shutil
import sqlite3
import uuid
from collections.abc import Callable
from copy import copy
from dataclasses import replace
from pathlib import Path

import pytest

from tests.faults.killing import Run, Shop, count_up, run

FACTS, KILLS = 160, 2


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory, put_example: Callable[[Path], Path]) -> Run:
    return run(Shop(put_example(tmp_path_factory.mktemp("killed"))), facts=FACTS, kills=KILLS)


def test_on_sqlite(done: Run) -> None:
    found = count_up(done)
    assert found.is_well, found
    assert (found.acknowledged, found.kills) == (FACTS, KILLS)


def test_on_postgresql(tmp_path: Path, database_url: str) -> None:
    found = count_up(run(Shop(tmp_path, database_url), facts=FACTS, kills=KILLS))
    assert found.is_well, found
    assert (found.acknowledged, found.kills) == (FACTS, KILLS)
    # Every tenth was sent twice, and every twentieth once more without waiting for an answer.
    assert found.sendings >= FACTS + FACTS // 10 + FACTS // 20


def test_what_is_lost_doubled_or_miscounted_is_found(done: Run, tmp_path: Path) -> None:
    """The check itself: facts taken away and put in behind the shop's back, and a counter that is wrong."""
    for file in done.shop.data.glob("shop.s*"):
        shutil.copy(file, tmp_path)
    shop = copy(done.shop)
    shop.data = tmp_path
    first, second = (fact.token.replace("-", "") for fact in done.told[:2])
    connection = sqlite3.connect(tmp_path / "shop.sqlite3")
    connection.execute("UPDATE timing_stretch SET token = ? WHERE token = ?", (uuid.uuid4().hex, first))
    connection.execute(
        "UPDATE jobs_task SET made = made + 1 WHERE id = (SELECT task_id FROM timing_tally JOIN timing_stretch s "
        "ON s.id = stretch_id WHERE s.token = ?)",
        (second,),
    )
    connection.commit()
    connection.close()
    found = count_up(replace(done, shop=shop))
    assert (found.missing, found.strangers, found.doubled) == (1, 1, 0)
    assert found.miscounted == 2
    assert "its facts" in found.whole
    assert not found.is_well
