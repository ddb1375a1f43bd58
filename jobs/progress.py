"""How far each piece of a wheel is, from the counters of its tasks: what the picture shows."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from jobs.counts import Counts
from jobs.drawing import WheelProgress
from jobs.drawing.progress import IronState
from jobs.makeup import MakeUp
from jobs.models import Lot, Task, Wheel
from jobs.models.operations import PartKind, Trade, Work

UNBOOKED_SECONDS = 600  # the weight of an operation without a book time, in pictures only


@dataclass(frozen=True, slots=True)
class Rack:
    """Loose pieces of a lot: groups of (share of the work done, how many), and how many are wanted in all."""

    spokes: tuple[tuple[float, int], ...]
    spokes_wanted: int
    felloes: tuple[tuple[float, int], ...]
    felloes_wanted: int

    @property
    def is_empty(self) -> bool:
        return not (self.spokes_wanted or self.felloes_wanted or self.spokes or self.felloes)


def progress_of(wheel: Wheel, lot: Lot, tasks: Sequence[Task], counts: Counts) -> WheelProgress:
    """The picture of one wheel; `tasks` are its own and its lot's loose ones at least, in the order of the work.

    What a repair has no task for is the old wheel's own: drawn whole, and said to be as it came in.
    """
    own = [task for task in tasks if task.wheel_id == wheel.pk and not counts.lines[task.pk].part_dropped]
    loose = [task for task in tasks if task.wheel_id is None]
    seen = _Seen(own, loose, counts, is_old=lot.work != Work.NEW)
    makeup = lot.makeup
    return WheelProgress(
        as_came=seen.as_came(makeup) if seen.is_old else {},
        hub=seen.share(PartKind.HUB) if makeup.hub == "wood" else seen.share(PartKind.HUB, also="press-hub"),
        bands=seen.bands(len(makeup.bands)),
        spokes=seen.pieces(PartKind.SPOKE, makeup.spokes, put_in_by="press-hub"),
        felloes=seen.pieces(PartKind.FELLOE, makeup.felloes),
        tyre=seen.tyre(),
        box=seen.share(PartKind.BOX) if makeup.box == "fitted" else 0.0,
        finish=seen.finish(),
    )


def rack_of(lot: Lot, tasks: Sequence[Task], counts: Counts) -> Rack:
    """The loose spokes and felloes of a lot: what is in a wheel is no longer in the rack."""
    spokes, spokes_wanted = _loose(PartKind.SPOKE, lot, tasks, counts)
    felloes, felloes_wanted = _loose(PartKind.FELLOE, lot, tasks, counts)
    return Rack(spokes, spokes_wanted, felloes, felloes_wanted)


def taking_task(kind: str, own: Iterable[Task], loose: Iterable[Task]) -> Task | None:
    """The operation that puts loose pieces into a wheel: the wheel's first that comes after all loose ones."""
    last_loose = max((task.operation.position for task in loose if task.operation.part == kind), default=0)
    after = [task for task in own if task.operation.part == kind and task.operation.position > last_loose]
    return min(after, key=lambda task: task.operation.position, default=None)


def _weight(task: Task) -> int:
    return task.operation.book_seconds or UNBOOKED_SECONDS


class _Seen:
    """One wheel's tasks, asked part by part."""

    def __init__(self, own: list[Task], loose: list[Task], counts: Counts, *, is_old: bool) -> None:
        self.own, self.loose, self.counts, self.is_old = own, loose, counts, is_old

    def good(self, task: Task) -> int:
        return max(0, self.counts.good(self.counts.lines[task.pk]))

    def of(self, kind: str) -> list[Task]:
        return [task for task in self.own if task.operation.part == kind]

    def share(self, kind: str, *, also: str = "") -> float:
        """The share of a part's work that is done, by book time."""
        tasks = [task for task in self.own if task.operation.part == kind or task.operation.key == also]
        wanted = sum(task.wanted * _weight(task) for task in tasks)
        if not wanted:
            return 1.0 if self.is_old else 0.0
        return sum(min(self.good(task), task.wanted) * _weight(task) for task in tasks) / wanted

    def pieces(self, kind: str, pieces: int, *, put_in_by: str = "") -> tuple[float, ...]:
        """For each piece in the wheel, the share of its whole work that it has had; 0 for what is not in it."""
        loose = [task for task in self.loose if task.operation.part == kind]
        taking = taking_task(kind, self.own, loose)
        pressed = next((task for task in self.own if task.operation.key == put_in_by), None)
        if pressed is not None:
            return (1.0 if self.good(pressed) else 0.0,) * pieces
        if taking is None or (self.is_old and not loose):
            return (1.0 if self.is_old else 0.0,) * pieces
        own = [task for task in self.of(kind) if task.operation.position >= taking.operation.position]
        before = sum(_weight(task) * task.units for task in loose)
        whole = before + sum(_weight(task) * task.units for task in own)
        inside = self.good(taking) // taking.units
        old = self.old_pieces(kind, pieces)
        shares = [1.0] * old
        for place in range(pieces - old):
            had = before + sum(
                _weight(task) * min(task.units, max(0, self.good(task) - place * task.units)) for task in own
            )
            shares.append(had / whole if place < inside else 0.0)
        return tuple(shares)

    def old_pieces(self, kind: str, pieces: int) -> int:
        """How many pieces of an old wheel are to be left in it; none of a new one."""
        loose = [task for task in self.loose if task.operation.part == kind]
        taking = taking_task(kind, self.own, loose)
        if not self.is_old:
            return 0
        if taking is None or not loose:
            return pieces
        return max(0, pieces - taking.wanted // taking.units)

    def as_came(self, makeup: MakeUp) -> dict[str, int]:
        """By kind, the old wheel's own pieces on which no work is wanted."""
        hub_is_pressed = any(task.operation.key == "press-hub" for task in self.own)
        touched = {task.operation.part for task in self.own}
        if makeup.coats and any(task.operation.part == PartKind.FINISH for task in self.loose):
            touched.add(PartKind.FINISH)
        came: dict[str, int] = {
            kind: number
            for kind, number in (
                (PartKind.HUB, int(not hub_is_pressed)),
                (PartKind.BAND, len(makeup.bands)),
                (PartKind.TYRE, 1),
                (PartKind.BOX, 1),
                (PartKind.FINISH, 1),
            )
            if number and kind not in touched
        }
        for kind, pieces in ((PartKind.SPOKE, makeup.spokes), (PartKind.FELLOE, makeup.felloes)):
            kept = self.old_pieces(kind, pieces)
            # What is done to pieces that stay, as making good their tongues, is work on all of them alike.
            if kept < pieces or kind not in touched:
                came[kind] = kept
        if hub_is_pressed:
            came.pop(PartKind.SPOKE, None)
        return came

    def bands(self, bands: int) -> tuple[IronState, ...]:
        own = self.of(PartKind.BAND)
        if not own:
            untouched: IronState = "on" if self.is_old else "none"
            return (untouched,) * bands
        on = min(bands, min(self.good(task) for task in own))
        making = [task for task in self.loose if task.operation.part == PartKind.BAND]
        made = sum(self.good(task) for task in making) - sum(self._on_in_the_lot())
        away = any(task.is_away for task in own)
        waiting: IronState = "smith" if away else "made" if made >= bands - on > 0 else "none"
        if waiting == "none" and any(task.is_away for task in making):
            waiting = "smith"
        on_now: IronState = "on"
        return (on_now,) * on + (waiting,) * (bands - on)

    def _on_in_the_lot(self) -> Iterable[int]:
        """Bands that are on any wheel of the lot."""
        putting_on = {task.operation_id for task in self.of(PartKind.BAND)}
        lots = {task.lot_id for task in self.own}
        return (
            max(0, self.counts.good(line))
            for lot_id in lots
            for operation_id in putting_on
            for line in self.counts.of_operation(lot_id, operation_id)
            if not line.part_dropped
        )

    def tyre(self) -> IronState:
        own = [task for task in self.of(PartKind.TYRE) if task.operation.trade == Trade.SMITH]
        if not own:
            return "on" if self.is_old else "none"
        *making, putting_on = sorted(own, key=lambda task: task.operation.position)
        if self.good(putting_on):
            return "on"
        if any(task.is_away for task in own):
            return "smith"
        if making and all(self.good(task) for task in making):
            return "made"
        return "making" if any(task.seconds > 0 for task in making) else "none"

    def finish(self) -> float:
        tasks = [*self.of(PartKind.FINISH), *(t for t in self.loose if t.operation.part == PartKind.FINISH)]
        wanted = sum(task.wanted * _weight(task) for task in tasks)
        if not wanted:
            return 0.0
        return sum(min(self.good(task), task.wanted) * _weight(task) for task in tasks) / wanted


def loose_by_stage(kind: str, lot: Lot, tasks: Sequence[Task], counts: Counts) -> list[tuple[Task, int]]:
    """Loose pieces in no wheel yet: the last operation that each has had, and how many are that far.

    A piece that has a later operation behind it is that far, whether or not the earlier ones were written down.
    """
    loose = [task for task in tasks if task.wheel_id is None and task.operation.part == kind]
    taken = _put_in_wheels(kind, lot, tasks, loose, counts)
    reached = [max(0, counts.good(counts.lines[task.pk]) // task.units - taken) for task in loose]
    further = [max(reached[place + 1 :], default=0) for place in range(len(loose))]
    return [(task, here - on) for task, here, on in zip(loose, reached, further, strict=True) if here > on]


def _put_in_wheels(kind: str, lot: Lot, tasks: Sequence[Task], loose: Sequence[Task], counts: Counts) -> int:
    """Pieces of the lot that are in its wheels, dropped ones too; a pressed hub took all of its spokes at once."""
    by_wheel: dict[int, list[Task]] = defaultdict(list)
    for task in tasks:
        if task.wheel_id is not None and not counts.lines[task.pk].part_dropped:
            by_wheel[task.wheel_id].append(task)
    taken = 0
    for own in by_wheel.values():
        pressed = next((task for task in own if task.operation.key == "press-hub"), None)
        taking = taking_task(kind, own, loose)
        if kind == PartKind.SPOKE and pressed is not None:
            taken += lot.spokes if counts.good(counts.lines[pressed.pk]) > 0 else 0
        elif taking is not None:
            taken += max(0, counts.good(counts.lines[taking.pk])) // taking.units
    return taken


def _loose(kind: str, lot: Lot, tasks: Sequence[Task], counts: Counts) -> tuple[tuple[tuple[float, int], ...], int]:
    """Groups of loose pieces by how far they are, and how many the rack should hold in all."""
    loose = [t for t in tasks if t.wheel_id is None and t.operation.part == kind and t.dropped_at is None]
    if not loose:
        return (), 0
    whole = sum(_weight(task) * task.units for task in loose)
    stages = {task.pk: here for task, here in loose_by_stage(kind, lot, tasks, counts)}
    groups: list[tuple[float, int]] = []
    done = 0
    for task in loose:
        done += _weight(task) * task.units
        if task.pk in stages:
            groups.append((done / whole, stages[task.pk]))
    taken = _put_in_wheels(kind, lot, tasks, loose, counts)
    wanted = max(task.wanted // task.units for task in loose) - taken
    return tuple(reversed(groups)), max(0, wanted)
