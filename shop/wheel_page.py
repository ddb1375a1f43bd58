"""What the page of one wheel shows: every part of it with its counts, and its measures as made."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from jobs.makeup import describe
from jobs.measures import format_length
from jobs.models import Measure, Task, Wheel
from jobs.models.operations import PartKind
from jobs.models.operations import Work as KindOfWork
from jobs.words import in_words
from jobs.work import Work, load_work
from shop.asked import Asked
from shop.drawings import DrawnWheel, draw_one
from shop.order_page import HEADINGS, hands_at_work
from shop.task_words import blocked_in_words
from timing.standing import last_done


@dataclass(frozen=True, slots=True)
class WheelRow:
    """One operation on this wheel, or on the loose pieces of its lot (`is_loose`), which are counted for all of it."""

    task_id: int
    name: str
    made: int
    wanted: int
    spoiled: int
    seconds: int
    stands: str
    is_loose: bool
    is_done: bool
    is_under_way: bool
    is_ready: bool

    @property
    def is_folded(self) -> bool:
        """What a phone folds away: done, or not begun and waiting."""
        return not (self.is_under_way or self.is_ready)


@dataclass(frozen=True, slots=True)
class WheelPart:
    heading: str
    rows: tuple[WheelRow, ...]

    @property
    def is_folded(self) -> bool:
        return all(row.is_folded for row in self.rows)


@dataclass(frozen=True, slots=True)
class MeasureAsMade:
    label: str
    length: str
    by: str
    at: datetime
    stands: bool


class WheelPage:
    """Read with a constant number of queries."""

    def __init__(self, wheel: Wheel, asked: Asked) -> None:
        self.wheel, self.lot, self.asked = wheel, wheel.lot, asked
        order = wheel.lot.order
        self.work: Work = load_work([order], now=asked.now, last_done=last_done([order]))
        self._at_work = hands_at_work([order])

    @property
    def drawn(self) -> DrawnWheel:
        return draw_one(self.work, self.wheel, self.lot, self.asked.words)

    @property
    def counts(self) -> str:
        return self.work.words_for(self.wheel, self.lot, self.asked.words)

    @property
    def line(self) -> str:
        """The make-up in a line."""
        return describe(self.lot.makeup, words=self.asked.words, unit=self.asked.unit)

    @property
    def is_repair(self) -> bool:
        return self.lot.work != KindOfWork.NEW

    @property
    def is_dropped(self) -> bool:
        return self.wheel.dropped_at is not None

    @cached_property
    def parts(self) -> list[WheelPart]:
        """By part in the order of the work: the wheel's own operations and its lot's loose ones."""
        own = self.work.tasks(wheel=self.wheel, dropped=self.is_dropped)
        loose = self.work.loose_tasks(self.lot)
        tasks = sorted([*own, *loose], key=lambda task: (task.operation.position, task.pk))
        found: dict[str, list[WheelRow]] = {}
        for task in tasks:
            found.setdefault(task.operation.part, []).append(self._row(task))
        return [WheelPart(_heading(kind, self.asked.words), tuple(rows)) for kind, rows in found.items()]

    @property
    def done_rows(self) -> list[WheelRow]:
        """What a phone folds away as done."""
        return [row for row in self._folded if row.is_done]

    @property
    def waiting_rows(self) -> list[WheelRow]:
        """What a phone folds away as not begun, and waiting for others."""
        return [row for row in self._folded if not row.is_done]

    @property
    def _folded(self) -> list[WheelRow]:
        return [row for part in self.parts for row in part.rows if row.is_folded]

    def _row(self, task: Task) -> WheelRow:
        left = self.work.left(task)
        hands = self._at_work.get(task.pk, [])
        return WheelRow(
            task_id=task.pk,
            name=in_words(task.operation.name, self.asked.words),
            made=max(0, self.work.good(task)),
            wanted=task.wanted,
            spoiled=task.spoiled,
            seconds=task.seconds,
            stands=self._stands(task, left, hands),
            is_loose=task.wheel_id is None,
            is_done=left == 0 and task.dropped_at is None,
            is_under_way=bool(left and (hands or task.made > 0 or task.seconds > 0)),
            is_ready=bool(self.work.ready(task).units),
        )

    def _stands(self, task: Task, left: int, hands: list[str]) -> str:
        if task.dropped_at is not None:
            return "left out"
        if left == 0:
            return "done"
        said = [f"under way: {', '.join(hands)}"] if hands else []
        ready = self.work.ready(task).units
        if ready:
            said.append(f"{ready} ready to go on")
        text = "; ".join(said) or blocked_in_words(self.work, [task], self.asked.words, self.asked.zone)
        return text[:1].upper() + text[1:]

    @property
    def measures(self) -> list[MeasureAsMade]:
        """As made, the newest of each kind standing, the older readable under it."""
        seen: set[str] = set()
        rows = []
        for row in Measure.objects.filter(wheel=self.wheel).select_related("taken_by__shop_hand").order_by("-id"):
            hand = getattr(row.taken_by, "shop_hand", None)
            rows.append(
                MeasureAsMade(
                    label=row.get_kind_display().capitalize(),
                    length=format_length(row.value_nm, unit=self.asked.unit),
                    by=hand.name if hand else row.taken_by.get_username(),
                    at=row.taken_at,
                    stands=row.kind not in seen,
                )
            )
            seen.add(row.kind)
        return rows

    @property
    def seconds(self) -> int:
        """Worked on this wheel itself."""
        return sum(task.seconds for task in self.work.tasks(wheel=self.wheel, dropped=True))


def _heading(kind: str, words: Mapping[str, str]) -> str:
    heading = in_words(HEADINGS[PartKind(kind)], words)
    return heading[:1].upper() + heading[1:]
