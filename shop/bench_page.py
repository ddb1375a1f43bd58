"""What the page of a job shows: its count, its wheels, the clock and the pace, read anew after every tap."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any
from uuid import UUID, uuid4

from django.utils.safestring import SafeString, mark_safe

from jobs.drawing import draw_rack, draw_set, set_scale
from jobs.drawing.progress import Piece, WheelProgress
from jobs.durations import minutes_of
from jobs.models import Lot, Task, Wheel
from jobs.models.operations import PartKind
from jobs.progress import Rack
from jobs.words import in_words
from jobs.work import Work
from shop.bench import Last
from shop.shop_rule import ShopRule, Wedge, number_rule
from timing.facts import MOST_UNITS
from timing.models import Clock

PHONE_WIDTH = 356.0
TALL, BESIDE_A_RACK = 176.0, 132.0
WHEELS_BY_RACK, RACK_TALL = 262.0, 150.0
# How many loose pieces are drawn: as many as fit.
RACK_SIZES = (28, 20, 14, 10, 7, 5, 3)
# Of more wheels than this each would be too small to read; the others are told in words.
MOST_WHEELS, MOST_TOLD = 2, 3
PIECES: dict[str, Piece] = {
    PartKind.HUB: "hub",
    PartKind.SPOKE: "spoke",
    PartKind.FELLOE: "felloe",
    PartKind.BAND: "band",
    PartKind.TYRE: "tyre",
    PartKind.BOX: "box",
}


@dataclass(frozen=True, slots=True)
class Figure:
    """One wheel as it stands, and its count in a few words."""

    svg: SafeString
    counts: str
    label: str
    in_hand: bool


@dataclass
class JobNow:
    """The part of a job's page that a tap changes."""

    task: Task
    lot: Lot
    work: Work
    words: Mapping[str, str]
    now: datetime
    # Since when the hand's clock runs on this job; None while it stands.
    started_at: datetime | None
    others: list[str]
    seconds_each: float | None
    last: Last | None = None

    @property
    def name(self) -> str:
        return in_words(self.task.operation.name, self.words)

    @property
    def done_word(self) -> str:
        return in_words(self.task.operation.done_word, self.words)

    @cached_property
    def wheel(self) -> Wheel | None:
        return next((wheel for wheel in self._all_wheels if wheel.pk == self.task.wheel_id), None)

    @cached_property
    def place(self) -> str:
        """Where the work is: "near hind, wagonette 212"."""
        return place_of(self.lot, self.wheel)

    @property
    def dropped(self) -> bool:
        """Left out meanwhile: what is done is kept all the same."""
        wheel = self.wheel
        return bool(self.task.dropped_at or self.lot.dropped_at or (wheel and wheel.dropped_at))

    @cached_property
    def warnings(self) -> list[str]:
        """What was changed meanwhile about what is in hand: told at each tap, and no reason to refuse one."""
        if self.dropped:
            return ["This was left out of the order meanwhile. What you do on it is kept all the same."]
        order = self.lot.order
        if not order.is_open:
            return [f"The order is {order.get_state_display()}. What you do on it is kept all the same."]
        return []

    @cached_property
    def elapsed_seconds(self) -> int:
        return max(0, round((self.now - self.started_at).total_seconds())) if self.started_at else 0

    @property
    def elapsed_words(self) -> str:
        """Whole minutes gone by, as a clock shows them."""
        return clock_words(self.elapsed_seconds)

    @cached_property
    def good(self) -> int:
        return self.work.good(self.task)

    @cached_property
    def left(self) -> int:
        return self.work.left(self.task)

    @property
    def rest_in_one(self) -> bool:
        """Whether all that is left is more than one piece, and few enough to be told in one fact."""
        return 1 < self.left <= MOST_UNITS

    @cached_property
    def over(self) -> int:
        return self.work.counts.over(self.work.line(self.task))

    @cached_property
    def said(self) -> str:
        """The count as a sentence, to be read aloud after a tap."""
        rest = f"{self.over} over" if self.over else f"{self.left} to go"
        return f"{self.good} of {self.task.wanted} {self.done_word}, {rest}."

    @property
    def new_token(self) -> UUID:
        """A token for a plain form: each form has its own."""
        return uuid4()

    @cached_property
    def next_task(self) -> Task | None:
        """The same operation on the wheel to be done next, once this one is finished."""
        if self.left or self.task.wheel_id is None:
            return None
        same = [task for task in self.work.tasks(lot=self.lot) if task.operation_id == self.task.operation_id]
        return next((task for task in same if self.work.left(task)), None)

    @cached_property
    def next_place(self) -> str:
        task = self.next_task
        return next((wheel.label for wheel in self._all_wheels if task and wheel.pk == task.wheel_id), "")

    @cached_property
    def last_words(self) -> str:
        """What “Undo last” would undo: "1 shaved", "1 spoiled"."""
        if self.last is None:
            return ""
        tasks = self.work.tasks(lot=self.lot, dropped=True)
        task = next((row for row in tasks if row.pk == self.last.task_id), self.task)
        made = [f"{self.last.made} {in_words(task.operation.done_word, self.words)}"] if self.last.made else []
        counts = ", ".join(made + ([f"{self.last.spoiled} spoiled"] if self.last.spoiled else []))
        if task.operation_id != self.task.operation_id:
            return f"{in_words(task.operation.name, self.words)}: {counts}"
        if task.wheel_id != self.task.wheel_id:
            return f"{next(wheel.label for wheel in self._all_wheels if wheel.pk == task.wheel_id)}: {counts}"
        return counts

    @cached_property
    def rule(self) -> ShopRule | None:
        """Minutes a unit today against book time; None while there is neither."""
        book, today = self.task.operation.book_seconds, self.seconds_each
        wedges = []
        if today is not None:
            wedges.append(Wedge(at=today / 60, words=f"{minutes_of(today)} today"))
        if book:
            wedges.append(Wedge(at=book / 60, words=f"book {minutes_of(book)}", kind="due"))
        if not wedges:
            return None
        middle = wedges[-1].at
        title = "Minutes each: " + ", ".join(wedge.words for wedge in wedges)
        return number_rule(title=title, wedges=wedges, reach=(middle * 0.6, middle * 1.4), narrowest_em=15)

    @cached_property
    def _all_wheels(self) -> list[Wheel]:
        return self.work.wheels(self.lot, dropped=True)

    @cached_property
    def _shown(self) -> list[Wheel]:
        """The wheels of the lot; of more than two, the one in hand and the next."""
        rows = [wheel for wheel in self._all_wheels if wheel.dropped_at is None or wheel.pk == self.task.wheel_id]
        place = next((place for place, wheel in enumerate(rows) if wheel.pk == self.task.wheel_id), 0)
        first = max(0, min(place, len(rows) - MOST_WHEELS))
        return rows[first : first + MOST_WHEELS]

    @cached_property
    def others_in_words(self) -> str:
        """The wheels of the lot that are not drawn: "near fore: 0 of 14 driven", or how many."""
        rest = [wheel for wheel in self._all_wheels if wheel.dropped_at is None and wheel not in self._shown]
        if len(rest) > MOST_TOLD:
            return f"{len(rest)} more wheels"
        return "; ".join(f"{wheel.label}: {self._counts(wheel)}".removesuffix(": ") for wheel in rest)

    @cached_property
    def _rack_shown(self) -> bool:
        """Whether loose pieces are in hand: of work that was dropped, none have a place in the rack any longer."""
        is_loose = self.task.wheel_id is None and self.task.dropped_at is None
        return is_loose and self.task.operation.part in (PartKind.SPOKE, PartKind.FELLOE)

    @cached_property
    def _room(self) -> tuple[float, float]:
        """Width and height in pixels for the wheels: less of both beside a rack."""
        if self._rack_shown:
            return WHEELS_BY_RACK, BESIDE_A_RACK
        return PHONE_WIDTH, TALL - 20 if self.others_in_words else TALL

    @cached_property
    def figures(self) -> list[Figure]:
        """The wheels at one scale, the piece in hand outlined."""
        rows = [(wheel, self._progress(wheel), self._counts(wheel)) for wheel in self._shown]
        titles = [(self.lot.makeup, progress, f"{wheel.label}: {words}") for wheel, progress, words in rows]
        width, height = self._room
        drawn = draw_set(titles, width=width, height=height, ident="w")
        return [
            Figure(mark_safe(svg), words, wheel.label, wheel.pk == self.task.wheel_id)  # noqa: S308  drawn by us
            for (wheel, _, words), svg in zip(rows, drawn, strict=True)
        ]

    @cached_property
    def rack(self) -> SafeString | None:
        """The loose pieces of the kind in hand at the wheels' own scale, no taller than fits beside them."""
        if not self._rack_shown:
            return None
        rack = self.work.rack(self.lot)
        for most in RACK_SIZES:
            svg = self._draw_rack(rack, most)
            if drawn_height(svg) <= RACK_TALL:
                break
        return mark_safe(svg) if svg else None  # noqa: S308  drawn by us

    def _draw_rack(self, rack: Rack, most: int) -> str:
        """At most so many pieces: the one in hand, some that are further before it, and those that follow."""
        spokes = self.task.operation.part == PartKind.SPOKE
        groups, wanted = (rack.spokes, rack.spokes_wanted) if spokes else (rack.felloes, rack.felloes_wanted)
        shares = [share for share, count in groups for _ in range(count)]
        at = self._place_in_rack(len(shares))
        total = max(wanted, len(shares))
        first = max(0, min(at - most // 2, total - most))
        shown = [(share, 1) for share in shares[first : first + most]]
        width, height = self._room
        return draw_rack(
            self.lot.makeup,
            spokes=shown if spokes else (),
            spokes_wanted=min(most, total) if spokes else 0,
            felloes=() if spokes else shown,
            felloes_wanted=0 if spokes else min(most, total),
            scale=set_scale([self.lot.makeup] * max(1, len(self._shown)), width=width, height=height),
            title=f"Loose pieces: {self.said}",
            ident="rack",
            max_width=PHONE_WIDTH - WHEELS_BY_RACK,
            in_hand="spoke" if spokes else "felloe",
            in_hand_at=at - first,
        )

    def _place_in_rack(self, begun: int) -> int:
        """Of the pieces that are begun, furthest first, the place of the first that has not had this operation."""
        first = next(
            task for task in self.work.loose_tasks(self.lot) if task.operation.part == self.task.operation.part
        )
        behind = self.work.good(first) // first.units - self.good // self.task.units
        return min(begun, max(0, begun - behind))

    def _progress(self, wheel: Wheel) -> WheelProgress:
        progress = self.work.progress(wheel, self.lot)
        piece = PIECES.get(self.task.operation.part)
        if wheel.pk != self.task.wheel_id or piece is None or not self.left:
            return progress
        place = max(0, self.good) // self.task.units if piece in ("spoke", "felloe", "band") else 0
        return replace(progress, in_hand=(piece, place))

    def _counts(self, wheel: Wheel) -> str:
        """The wheel's count of this operation; for loose pieces, how many of the kind are in the wheel."""
        for task in self.work.tasks(wheel=wheel, dropped=True):
            if task.operation_id == self.task.operation_id and (task.dropped_at is None or task.pk == self.task.pk):
                return f"{self.work.good(task)} of {task.wanted} {self.done_word}"
        return in_the_wheel(self.work.progress(wheel, self.lot), self.lot, self.task.operation.part)


def in_the_wheel(progress: WheelProgress, lot: Lot, part: str) -> str:
    """How many of the loose pieces have gone into a wheel."""
    if part == PartKind.SPOKE:
        return f"{sum(share > 0 for share in progress.spokes)} of {lot.spokes} in"
    if part == PartKind.FELLOE:
        return f"{sum(share > 0 for share in progress.felloes)} of {lot.felloes} up"
    return ""


def drawn_height(svg: str) -> float:
    """The height of a drawing in pixels; 0 for none."""
    found = re.search(r' height="([0-9.]+)"', svg)
    return float(found[1]) if found else 0.0


def clock_words(seconds: int) -> str:
    """As "2 h 14" or "0 min": whole minutes that have gone by."""
    hours, minutes = divmod(max(0, seconds) // 60, 60)
    return f"{hours} h {minutes:02d}" if hours else f"{minutes} min"


def place_of(lot: Lot, wheel: Wheel | None) -> str:
    """A lot or a wheel with its order, as a person at the bench would say it."""
    carriage = lot.order.carriage[:1].lower() + lot.order.carriage[1:]
    return f"{wheel.label if wheel else lot.name}, {carriage} {lot.order.number}"


def about(task: Task, lot: Lot, work: Work, words: Mapping[str, str]) -> dict[str, Any]:
    """Name, place and done-word of a task, for the head of a page."""
    wheel = next((wheel for wheel in work.wheels(lot, dropped=True) if wheel.pk == task.wheel_id), None)
    return {
        "task": task,
        "name": in_words(task.operation.name, words),
        "done_word": in_words(task.operation.done_word, words),
        "place": place_of(lot, wheel),
    }


def job_of(
    lot: Lot,
    work: Work,
    task_id: int,
    *,
    hand_id: int,
    words: Mapping[str, str],
    now: datetime,
    today: date,
    last: Last | None = None,
) -> JobNow:
    """What a tap changes, from a lot that was read already: one query more."""
    task = next(row for row in work.tasks(lot=lot, dropped=True) if row.pk == task_id)
    started_at, others, seconds_each = _at_this(task_id, hand_id, today)
    return JobNow(task, lot, work, words, now, started_at, others, seconds_each, last=last)


# Written out, since it is asked at every tap, and putting it together anew took longer than answering it.
# What was undone counts negative, so that plain sums take it off.
AT_THIS = """
    SELECT c.id, c.hand_id, c.started_at, h.name AS hand_name, (
        SELECT CAST(SUM(t.seconds) AS double precision)
            / NULLIF(SUM(CASE WHEN t.seconds IS NULL THEN 0 ELSE t.made END), 0)
        FROM timing_tally t JOIN timing_stretch s ON s.id = t.stretch_id
        WHERE t.task_id = c.task_id AND s.hand_id = c.hand_id AND s.done_on = %s
    ) AS seconds_each
    FROM timing_clock c LEFT JOIN shop_hand h ON h.user_id = c.hand_id
    WHERE c.task_id = %s AND (c.hand_id = %s OR c.started_at IS NOT NULL)
    ORDER BY h.name
"""


def _at_this(task_id: int, hand_id: int, today: date) -> tuple[datetime | None, list[str], float | None]:
    """Since when the hand's clock runs on a task, who else's does, and the hand's seconds a unit on it today."""
    rows = list(Clock.objects.raw(AT_THIS, [today, task_id, hand_id]))
    own = next((row for row in rows if row.hand_id == hand_id), None)
    others = [str(row.hand_name) for row in rows if row.hand_id != hand_id]  # type: ignore[attr-defined]
    each = own.seconds_each if own else None  # type: ignore[attr-defined]
    return own.started_at if own else None, others, each if each and each > 0 else None
