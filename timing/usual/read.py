"""Facts as timings: which stretches teach how long work takes, and as what."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet

from jobs.models import Operation
from jobs.models.operations import Per
from timing import forecast
from timing.models import Stretch, Tally
from timing.models.facts import Kind

ROWS_AT_ONCE = 5000


@dataclass(frozen=True, slots=True)
class ReadTimings:
    """Timings with what they came from: the tally and the day of each row, and the hands (user ids) by their places."""

    timings: forecast.Timings
    tally_ids: list[int]
    days: list[date]
    hands: list[str]


def known_operations() -> list[forecast.Operation]:
    """Every operation of the shop by its key, in a fixed order; retired ones too, for their timings still teach."""
    return [
        forecast.Operation(
            key=one.key,
            part=one.part,
            per=str(one.per_number) if one.per == Per.NUMBER else one.per,
            pieces_a_wheel=forecast.usual_pieces_a_wheel(
                str(one.per_number) if one.per == Per.NUMBER else str(one.per)
            ),
            book_minutes=one.book_seconds / 60 if one.book_seconds else None,
        )
        for one in Operation.objects.order_by("pk")
    ]


def read_timings(*, without_hands: Collection[int] = ()) -> ReadTimings:
    """Every timing that teaches, in the order of time; `without_hands` (user ids) are left out.

    What was undone does not count, nor what a person left out. Time with nothing made yet joins the next pieces that
    the same hand makes of that work. Time at a piece that was spoiled before it was done is of no piece; where pieces
    were made in the same stretch, it counts as worked like them.
    """
    columns = _Columns()
    rows = work_told().order_by("stretch__done_at", "stretch_id", "pk").iterator(ROWS_AT_ONCE)
    for timing in timings_among(TallyRow(*row) for row in rows):
        if timing.row.hand_id not in without_hands and timing.row.counts is not False:
            columns.add(timing.row, timing.minutes)
    return columns.read()


@dataclass(frozen=True, slots=True)
class TallyRow:
    """A tally of work as it was told. `counts` is what a person said of it, None where nobody did."""

    tally_id: int
    stretch_id: int
    done_at: datetime
    done_on: date
    hand_id: int
    operation_id: int
    task_id: int | None
    made: int
    spoiled: int
    units: int | None
    seconds: int | None
    order_id: int | None
    wheel_id: int | None
    height_nm: int | None
    old_order: str
    old_wheel: str
    old_diameter_nm: int | None
    counts: bool | None

    @property
    def pieces(self) -> int:
        """Those that the time went into."""
        return self.made + self.spoiled * (self.units or 1)

    @property
    def size_nm(self) -> int | None:
        return self.height_nm or self.old_diameter_nm


@dataclass(frozen=True, slots=True)
class Timing:
    """A tally that made something, and its minutes with those told before of the same pieces."""

    row: TallyRow
    minutes: float

    @property
    def minutes_a_piece(self) -> float:
        return self.minutes / self.row.pieces


def work_told() -> "QuerySet[Tally, Any]":
    """Work that stands, as the columns of `TallyRow`, in no order."""
    undone = Stretch.objects.filter(cancels_token=OuterRef("stretch__token"))
    return (
        Tally.objects.filter(stretch__kind=Kind.WORK, stretch__cancels_token=None)
        .filter(~Exists(undone))
        .annotate(
            done_at=F("stretch__done_at"),
            done_on=F("stretch__done_on"),
            hand_id=F("stretch__hand_id"),
            operation_id=F("stretch__operation_id"),
        )
        .values_list(
            "pk",
            "stretch_id",
            "done_at",
            "done_on",
            "hand_id",
            "operation_id",
            "task_id",
            "made",
            "spoiled",
            "task__units",
            "seconds",
            "task__lot__order_id",
            "task__wheel_id",
            "task__lot__height_nm",
            "old_order",
            "old_wheel",
            "old_diameter_nm",
            "verdict__counts",
        )
    )


def timings_among(rows: Iterable[TallyRow]) -> Iterator[Timing]:
    """The timings among tallies in the order of time; those that a person left out are among them.

    What they took with them is theirs: it would lengthen the next piece otherwise.
    """
    pending: defaultdict[tuple[int, int], int] = defaultdict(int)
    for row in rows:
        key = (row.hand_id, row.task_id or 0)
        if row.made <= 0 or not row.seconds:
            # Spoiled or untimed: what was spent on that piece before tells of no good one.
            pending[key] = 0 if row.made or row.spoiled else pending[key] + (row.seconds or 0)
            continue
        yield Timing(row, (row.seconds + (pending.pop(key, 0) if row.task_id else 0)) / 60)


@dataclass(slots=True)
class _Columns:
    """Columns of timings as they grow; names get numbers as they come."""

    tally_ids: list[int] = field(default_factory=list)
    days: list[date] = field(default_factory=list)
    order: list[int] = field(default_factory=list)
    operation: list[int] = field(default_factory=list)
    hand: list[int] = field(default_factory=list)
    wheel: list[int] = field(default_factory=list)
    size_nm: list[float] = field(default_factory=list)
    pieces: list[int] = field(default_factory=list)
    minutes: list[float] = field(default_factory=list)
    counted: list[bool] = field(default_factory=list)
    hands: dict[int, int] = field(default_factory=dict)
    orders: dict[int | str, int] = field(default_factory=dict)
    wheels: dict[int | tuple[str, str], int] = field(default_factory=dict)
    operations: dict[int, int] = field(
        default_factory=lambda: {
            pk: place for place, pk in enumerate(Operation.objects.order_by("pk").values_list("pk", flat=True))
        }
    )

    def add(self, row: TallyRow, minutes: float) -> None:
        self.tally_ids.append(row.tally_id)
        self.days.append(row.done_on)
        # An order's id is a number and an old book's label a text: neither is taken for the other.
        order: int | str = row.order_id or row.old_order
        wheel = row.wheel_id or ((row.old_order, row.old_wheel) if row.old_wheel else None)
        self.order.append(self.orders.setdefault(order, len(self.orders)))
        self.operation.append(self.operations[row.operation_id])
        self.hand.append(self.hands.setdefault(row.hand_id, len(self.hands)))
        self.wheel.append(-1 if wheel is None else self.wheels.setdefault(wheel, len(self.wheels)))
        self.size_nm.append(row.size_nm or float("nan"))
        self.pieces.append(row.pieces)
        self.minutes.append(minutes)
        self.counted.append(bool(row.counts))

    def read(self) -> ReadTimings:
        timings = forecast.timings(
            order=self.order,
            operation=self.operation,
            hand=self.hand,
            wheel=self.wheel,
            size_nm=self.size_nm,
            pieces=self.pieces,
            minutes=self.minutes,
            counted=self.counted,
        )
        return ReadTimings(timings, self.tally_ids, self.days, [str(pk) for pk in self.hands])
