"""A spoiled piece at the bench: what is asked of it, and asking again where a slip of the finger made 2 into 22."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from jobs.models import Lot, Task, Wheel
from jobs.models.operations import PartKind
from jobs.work import Work
from shop.bench_page import about
from shop.bench_questions import Question, Reply, moments_of
from shop.forms.bench import SpoiledForm
from timing.facts import Fact
from timing.models import Stretch
from timing.posted import Posted
from timing.record import find_task_id
from timing.spoiling import in_the_wheel

CONFIRMED = "confirmed_spoiled"


@dataclass(frozen=True, slots=True)
class SpoiledAt:
    """The work at which pieces are told spoiled, and what goes with them."""

    task: Task
    lot: Lot
    work: Work
    wheel: Wheel | None
    is_in_hand: bool

    @classmethod
    def of(cls, task: Task, lot: Lot, work: Work, *, is_in_hand: bool) -> Self:
        wheel = next((wheel for wheel in work.wheels(lot, dropped=True) if wheel.pk == task.wheel_id), None)
        return cls(task, lot, work, wheel, is_in_hand)

    @property
    def is_hub(self) -> bool:
        return self.wheel is not None and self.task.operation.part == PartKind.HUB

    def form(self, posted: Mapping[str, Any] | None = None) -> SpoiledForm:
        """The form, with the likeliest answers: of a piece in hand nothing was counted done."""
        good = max(0, self.work.good(self.task))
        going = in_the_wheel(self.wheel) if self.wheel and self.is_hub else []
        initial: dict[str, int] = {"spoiled": 1, "lost": 0 if self.is_in_hand else min(good, self.task.units)}
        in_wheel = {there.kind: there.pieces for there in going}
        initial |= {f"saved_{kind}": pieces for kind, pieces in in_wheel.items()}
        return SpoiledForm(
            posted, units=self.task.units, good=good, is_hub=self.is_hub, in_wheel=in_wheel, initial=initial
        )

    def context(self, words: Mapping[str, str]) -> dict[str, Any]:
        return about(self.task, self.lot, self.work, words) | {"here": self.is_in_hand, "is_hub": self.is_hub}


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
