"""`manage.py recount`: says what is wrong with the counters, and sets them right when told to."""

import uuid
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from jobs.models import Order, Task
from shop.models import Hand
from tests.factories import NOW, fact, take_pair, task
from timing.facts import Cancel
from timing.models import Tally
from timing.moves import MoveWish, move_pieces
from timing.record import cancel, record
from timing.recount import find_faults

COUNTERS = ("made", "spoiled", "lost", "seconds")


def recount(*words: str) -> tuple[str, str]:
    said, wrongs = StringIO(), StringIO()
    call_command("recount", *words, stdout=said, stderr=wrongs)
    return said.getvalue(), wrongs.getvalue()


def test_counters_are_set_to_what_the_facts_say(order: Order, osk: Hand) -> None:
    rough, there = task(order, "rough-spoke"), task(take_pair(), "rough-spoke")
    record(fact(rough, osk, made=5), now=NOW)
    move_pieces(MoveWish(uuid.uuid4(), rough.pk, there.pk, 2, "they fit", osk.user_id, NOW), now=NOW)
    right = list(Task.objects.order_by("pk").values_list(*COUNTERS))
    Task.objects.filter(pk=rough.pk).update(made=9, seconds=1)
    Task.objects.filter(pk=there.pk).update(made=0, lost=4)
    with pytest.raises(CommandError, match="2 faults"):
        recount()
    said, wrongs = recount("--mend")
    assert said.startswith("2 tasks mended.\nClean: ")
    assert f"Task {rough.pk} counts" in wrongs
    assert list(Task.objects.order_by("pk").values_list(*COUNTERS)) == right
    assert find_faults() == []


def test_a_shop_that_is_clean_stays_as_it_is(order: Order, osk: Hand) -> None:
    record(fact(task(order, "rough-spoke"), osk, made=5), now=NOW)
    assert recount("--mend") == (f"Clean: the counters of {Task.objects.count()} tasks equal 1 stretches.\n", "")


@pytest.mark.parametrize("at_once", [1, 2, 500])
def test_faults_are_found_in_every_batch(
    order: Order, osk: Hand, monkeypatch: pytest.MonkeyPatch, at_once: int
) -> None:
    monkeypatch.setattr("timing.recount.AT_ONCE", at_once)
    for key in ("rough-spoke", "shave-spoke"):
        told = fact(task(order, key), osk, made=5)
        record(told, now=NOW)
        cancel(Cancel(uuid.uuid4(), told.token, osk.user_id, NOW), now=NOW)
    assert find_faults() == []
    ids = sorted(Task.objects.values_list("pk", flat=True))
    Task.objects.filter(pk__in=(ids[0], ids[-1])).update(made=7)
    Tally.objects.filter(made=-5).update(made=-4)
    faults = find_faults()
    assert [fault.task_id for fault in faults][:1] == ids[:1]
    assert {fault.task_id for fault in faults} == {ids[0], ids[-1], None, *Tally.objects.values_list("task", flat=True)}
    assert sum("does not balance" in fault.sentence for fault in faults) == 2
