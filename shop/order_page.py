"""What the page of an order shows, worked out from its work: the sentence, the ledger, what it waits for."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from urllib.parse import urlencode

from django.db.models import F, Q, Sum
from django.urls import reverse

from jobs.drawing.key import SwatchKind, SwatchState
from jobs.models import Lot, Operation, Order, Task, Trip, Wheel
from jobs.models.operations import PartKind
from jobs.models.operations import Work as KindOfWork
from jobs.words import in_words
from jobs.work import Content, load_work
from shop.asked import Asked
from shop.drawings import DrawnLot, draw_lots
from shop.many_wheels import LeftOut, Window, Wished, see_left_out, windows
from shop.order_words import day_in_words, due_in_words, late_in_words, stands_in_words
from shop.pieces import units_away
from shop.shop_rule import Kind, ShopRule, day_rule
from shop.task_words import blocked_in_words
from shop.waiting import Waiting, awaits_customer, trips_away, waits_for
from timing.models import Clock, Tally
from timing.standing import last_done

SWATCHES: Mapping[str, SwatchKind] = {
    PartKind.HUB: "hub",
    PartKind.BAND: "iron",
    PartKind.TYRE: "iron",
    PartKind.FELLOE: "felloe",
}
HEADINGS = {
    PartKind.HUB: "{hubs}",
    PartKind.BAND: "bands",
    PartKind.SPOKE: "spokes",
    PartKind.FELLOE: "{felloes}",
    PartKind.TYRE: "{tyres}",
    PartKind.BOX: "boxes",
    PartKind.FINISH: "finish",
    PartKind.WHEEL: "whole wheels",
}
SET_OF_FOUR = {Wheel.Place.NEAR_FORE, Wheel.Place.OFF_FORE, Wheel.Place.NEAR_HIND, Wheel.Place.OFF_HIND}


@dataclass(frozen=True, slots=True)
class Cell:
    """One operation in one lot: made of wanted, and what was spoiled or lost, in words."""

    made: int
    wanted: int
    spoiled: str = ""
    label: str = ""

    @property
    def is_wanted(self) -> bool:
        return bool(self.wanted or self.made)


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One operation over the whole order. `each_seconds` is by timed pieces alone; None before the first."""

    operation: Operation
    name: str
    task_id: int
    swatch: tuple[SwatchKind, SwatchState]
    cells: tuple[Cell, ...]
    left: int
    seconds: int
    over_minutes: int
    each_seconds: float | None
    untimed: int
    stands: str
    is_done: bool
    is_under_way: bool
    is_found: bool
    facts_url: str
    is_ready: bool

    @property
    def is_folded(self) -> bool:
        """What a phone folds away: done, or not begun and waiting."""
        return not (self.is_under_way or self.is_ready)


@dataclass(frozen=True, slots=True)
class LedgerPart:
    heading: str
    rows: tuple[LedgerRow, ...]

    @property
    def is_folded(self) -> bool:
        return all(row.is_folded for row in self.rows)


@dataclass(frozen=True, slots=True)
class Timed:
    """What the tallies of a task say: units made in a time that was told, units without, and the seconds of all."""

    made: int
    untimed: int
    seconds: int


class OrderPage:
    """Read with a constant number of queries, whatever the size of the order."""

    def __init__(self, order: Order, asked: Asked, wished: Wished | None = None) -> None:
        self.order, self.asked, self._wished = order, asked, wished or Wished()
        self.work = load_work([order], now=asked.now, last_done=last_done([order]))
        self.lots = self.work.lots(order)
        self._trips = trips_away([order])[order.pk]
        self._timed = timed_of(order)
        self._at_work = hands_at_work([order])

    @cached_property
    def content(self) -> Content:
        return self.work.content(self.order)

    @property
    def title(self) -> str:
        """The carriage and what is made for it: "Wagonette, fore pair and hind pair"."""
        places = {wheel.place for lot in self.lots for wheel in self.work.wheels(lot)}
        names = ["set of four"] if places == SET_OF_FOUR else [lot.name for lot in self.lots]
        said = " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
        carriage = self.order.carriage[:1].upper() + self.order.carriage[1:]
        return f"{carriage}, {said}" if said else carriage

    @property
    def sentence(self) -> str:
        return stands_in_words(self.order, self.content, is_unknown=self._is_unknown)

    @property
    def _is_unknown(self) -> bool:
        """Whether what is still to be done hangs on the customer's word."""
        return self.content.left_seconds == 0 and awaits_customer(self.order, self.work)

    @property
    def all_is_done(self) -> bool:
        return bool(self.content.wanted_seconds) and self.content.left_seconds == 0 and not self._is_unknown

    @property
    def is_part_done(self) -> bool:
        """In hand, with work still to do: to say that it is ready is then no act to lead with."""
        return self.order.state == Order.State.IN_HAND and not self.all_is_done

    @property
    def rule(self) -> ShopRule | None:
        """Today and the day promised, on one rule of days; none where no day is promised or the order is closed."""
        due, today = self.order.due_on, self.asked.today
        if due is None or not self.order.is_open:
            return None
        wedges: list[tuple[date, str, Kind]] = [(today, "today", "now"), (due, f"due {due.day} {due:%B}", "due")]
        title = f"Today is {day_in_words(today)}; {self.due.removesuffix('.').lower()}."
        return day_rule(title=title, wedges=wedges[1:] if due == today else wedges)

    @property
    def due(self) -> str:
        return due_in_words(self.order, self.asked.today)

    @property
    def late(self) -> str:
        return late_in_words(days_late(self.order, self.asked.today))

    @property
    def content_seconds(self) -> tuple[int, int]:
        """Left and wanted, by book time."""
        return self.content.left_seconds, self.content.wanted_seconds

    @property
    def unrated(self) -> int:
        return self.content.unrated

    @cached_property
    def _seen(self) -> dict[int, Window]:
        return windows(self.work, self.lots, self._wished, at_work=self._at_work)

    @property
    def drawn(self) -> list[DrawnLot]:
        return draw_lots(self.work, self.lots, seen=self._seen, words=self.asked.words, unit=self.asked.unit)

    @property
    def columns(self) -> int:
        return len(self.lots) + 4

    @property
    def done_rows(self) -> list[LedgerRow]:
        """What a phone folds away as done."""
        return [row for part in self.ledger for row in part.rows if row.is_done]

    @property
    def waiting_rows(self) -> list[LedgerRow]:
        """What a phone folds away as not begun, and waiting for others."""
        return [row for part in self.ledger for row in part.rows if row.is_folded and not row.is_done]

    @cached_property
    def ledger(self) -> list[LedgerPart]:
        """Operations by part, in the order of the work; wheels changed or dropped are not among them."""
        live = {lot.pk for lot in self.lots}
        by_operation: dict[int, list[Task]] = defaultdict(list)
        for task in self.work.tasks(order=self.order):
            if task.lot_id in live:
                by_operation[task.operation_id].append(task)
        by_part: dict[str, list[LedgerRow]] = defaultdict(list)
        for tasks in by_operation.values():
            by_part[tasks[0].operation.part].append(self._row(tasks))
        return [LedgerPart(self._heading(kind), tuple(rows)) for kind, rows in by_part.items()]

    def _heading(self, kind: str) -> str:
        heading = in_words(HEADINGS[PartKind(kind)], self.asked.words)
        return heading[:1].upper() + heading[1:]

    def _row(self, tasks: Sequence[Task]) -> LedgerRow:
        operation = tasks[0].operation
        left = sum(self.work.left(task) for task in tasks)
        made = sum(task.made for task in tasks)
        seconds = sum(task.seconds for task in tasks)
        timed = [self._timed[task.pk] for task in tasks if task.pk in self._timed]
        timed_made = sum(one.made for one in timed)
        hands = [name for task in tasks for name in self._at_work.get(task.pk, ())]
        keys = {task.pk for task in tasks}
        away = any(trip.task_id in keys for trip in self._trips)
        book = operation.book_seconds
        return LedgerRow(
            operation=operation,
            name=in_words(operation.name, self.asked.words),
            task_id=tasks[0].pk,
            swatch=(SWATCHES.get(operation.part, "spoke"), _state(operation, left, made, is_away=away)),
            cells=tuple(self._cell(lot, tasks) for lot in self.lots),
            left=left,
            seconds=seconds,
            over_minutes=max(0, (seconds - book * timed_made) // 60) if book and timed_made > 0 else 0,
            each_seconds=seconds / timed_made if timed_made > 0 and seconds > 0 else None,
            # Pieces carried here from another lot were told there: they are no untimed work of these tasks.
            untimed=max(0, min(made, sum(one.untimed for one in timed))),
            stands=self._stands(tasks, left, hands),
            is_done=left == 0,
            is_under_way=bool(left and (hands or made > 0 or seconds > 0)),
            is_found=any(task.origin == Task.Origin.FOUND for task in tasks),
            facts_url=self._facts_url(tasks),
            is_ready=any(self.work.ready(task).units for task in tasks),
        )

    def _facts_url(self, tasks: Sequence[Task]) -> str:
        """Where the desk reads what a figure was summed from: one task's facts, else the day book's."""
        if not self.asked.is_desk:
            return ""
        if len(tasks) == 1:
            return reverse("shop:task-facts", args=[tasks[0].pk])
        query = urlencode({"order": self.order.number, "operation": tasks[0].operation_id})
        return f"{reverse('shop:day-book')}?{query}"

    def _cell(self, lot: Lot, tasks: Sequence[Task]) -> Cell:
        own = [task for task in tasks if task.lot_id == lot.pk]
        spoiled, lost = sum(task.spoiled for task in own), sum(task.lost for task in own)
        said = [f"{spoiled} spoiled"] if spoiled else []
        if lost:
            said.append(f"{lost} lost")
        return Cell(
            made=max(0, sum(self.work.good(task) for task in own)),
            wanted=sum(task.wanted for task in own),
            spoiled=", ".join(said),
            label=lot.name[:1].upper() + lot.name[1:],
        )

    def _stands(self, tasks: Sequence[Task], left: int, hands: Sequence[str]) -> str:
        if left == 0:
            return "done"
        said = [f"under way: {', '.join(sorted(set(hands)))}"] if hands else []
        away_of: dict[int, list[Trip]] = {task.pk: [] for task in tasks}
        away: dict[str, int] = defaultdict(int)
        for trip in self._trips:
            if trip.task_id in away_of:
                away_of[trip.task_id].append(trip)
                away[trip.to_whom] += trip.pieces
        said += [f"{pieces} with {to_whom}" for to_whom, pieces in away.items()]
        # What is away to be made is not ready to be taken up here.
        ready = sum(max(0, self.work.ready(task).units - units_away(task, away_of[task.pk])) for task in tasks)
        if ready > 0 and self.order.state in Order.WORK_STATES:
            said.append(f"{ready} ready to go on")
        text = "; ".join(said) or blocked_in_words(self.work, tasks, self.asked.words, self.asked.zone)
        return text[:1].upper() + text[1:]

    @cached_property
    def waiting(self) -> list[Waiting]:
        """What it waits for, as the order book names it."""
        return waits_for(self.order, self.work, self._trips, self.asked)

    @property
    def under_repair(self) -> list[Wheel]:
        """Wheels in for a repair, of those drawn: what each is found to need is listed on a page of its own."""
        return [wheel for lot in self.lots if lot.work != KindOfWork.NEW for wheel in self._seen[lot.pk].wheels]

    @property
    def left_out(self) -> list[tuple[Wheel, int]]:
        """Wheels dropped or changed, with the seconds of work that stay with them."""
        found = []
        for lot in self.work.lots(self.order, dropped=True):
            for wheel in self.work.wheels(lot, dropped=True):
                if wheel.dropped_at is not None:
                    found.append((wheel, sum(t.seconds for t in self.work.tasks(wheel=wheel, dropped=True))))
        return found

    @cached_property
    def left_out_seen(self) -> LeftOut:
        """Of those, the ones that are listed."""
        return see_left_out(self.left_out, self._wished)

    @property
    def left_out_loose(self) -> list[tuple[Lot, int]]:
        """Lots of which no wheel is left, with the seconds spent on their loose pieces."""
        return [
            (lot, sum(t.seconds for t in self.work.tasks(lot=lot, dropped=True) if t.wheel_id is None))
            for lot in self.work.lots(self.order, dropped=True)
            if lot.dropped_at is not None
        ]

    @property
    def all_seconds(self) -> int:
        """Everything worked on the order, dropped things too."""
        return sum(task.seconds for task in self.work.tasks(order=self.order, dropped=True))


def _state(operation: Operation, left: int, made: int, *, is_away: bool) -> SwatchState:
    iron = SWATCHES.get(operation.part) == "iron"
    if left == 0:
        return "done"
    if iron and is_away:
        return "smith"
    return "doing" if made > 0 else "todo"


def days_late(order: Order, today: date) -> int:
    """Days that an order not yet ready is over its day."""
    if order.due_on is None or order.state == Order.State.READY or not order.is_open:
        return 0
    return max(0, (today - order.due_on).days)


def timed_of(order: Order) -> dict[int, Timed]:
    """By task: units with their time and without, and all seconds. Contras are negative, so it is a plain sum."""
    is_timed = Q(seconds__isnull=False)
    rows = (
        Tally.objects.filter(task__lot__order=order)
        .values_list("task_id")
        .annotate(timed=Sum("made", filter=is_timed), untimed=Sum("made", filter=~is_timed), all=Sum("seconds"))
    )
    return {task_id: Timed(made or 0, untimed or 0, seconds or 0) for task_id, made, untimed, seconds in rows}


def hands_at_work(orders: Sequence[Order]) -> dict[int, list[str]]:
    """Who is at each task now, by their running clocks."""
    found: dict[int, list[str]] = defaultdict(list)
    rows = Clock.objects.filter(task__lot__order__in=[order.pk for order in orders], started_at__isnull=False)
    for task_id, name in rows.values_list("task_id", F("hand__shop_hand__name")).order_by("hand_id"):
        if name:
            found[task_id].append(name)
    return found
