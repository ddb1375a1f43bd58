"""Asking before more pieces are counted spoiled than there could be: a slip of the finger makes 2 into 22."""

from jobs.models import Task
from shop.bench_questions import Question, Reply, moments_of
from timing.facts import Fact
from timing.models import Stretch
from timing.posted import Posted
from timing.record import find_task_id

CONFIRMED = "confirmed_spoiled"


def too_many_spoiled(fact: Fact, posted: Posted) -> Question | None:
    """The question, where a fact spoils more pieces than are wanted and were made together; None for nothing to ask.

    An ordinary tap, which spoils nothing, asks the database nothing.
    """
    spoiled = max((one.spoiled for one in fact.yields), default=0)
    if spoiled <= 1 or posted.get(CONFIRMED, "") == "1":
        return None
    for one in fact.yields:
        task_id = one.task_id
        if task_id is None and fact.operation_id is not None:
            task_id = find_task_id(fact.operation_id, lot_id=one.lot_id, wheel_id=one.wheel_id)
        task = Task.objects.filter(pk=task_id).first() if task_id is not None else None
        if task is None:
            continue
        wanted, made = task.wanted // task.units, max(0, task.made) // task.units
        # What was kept already is no slip: the same again is only told that it is kept.
        if one.spoiled > wanted + made and not Stretch.objects.filter(token=fact.token).exists():
            sentence = f"{one.spoiled} spoiled, of {wanted} wanted and {made} made. Is that right?"
            reply = Reply(f"Yes, {one.spoiled} were spoiled", {CONFIRMED: "1"})
            return Question(sentence, (reply,), counts_again=True, moments=moments_of(fact))
    return None
