"""How much of a task is good, left and ready: worked out from the counters and the waits, never stored.

No Django here: plain rows in, numbers and reasons out, so that the bench can ask about every open order at once.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property


@dataclass(frozen=True, slots=True)
class Line:
    """One task with what its sums need. `part_dropped` marks a part made anew, whose pieces went elsewhere."""

    task_id: int
    order_id: int
    lot_id: int
    wheel_id: int | None
    part_id: int
    part_kind: str
    operation_id: int
    position: int
    units: int
    wanted: int
    made: int
    spoiled: int
    lost: int
    live: bool
    part_dropped: bool = False


@dataclass(frozen=True, slots=True)
class WaitLine:
    operation_id: int
    on_operation_id: int
    how: str
    standing_minutes: int = 0


@dataclass(frozen=True, slots=True)
class Blocked:
    """Why no more can be done now: `have` of `need` units of another operation, or it stands until a moment."""

    on_operation_id: int
    have: int
    need: int
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Readiness:
    """Units that may be done now, and what the rest waits for."""

    units: int
    blocked: tuple[Blocked, ...] = ()
    held: bool = False


class Counts:
    """The counts of any number of lots together."""

    def __init__(
        self,
        lines: Iterable[Line],
        waits: Iterable[WaitLine] = (),
        *,
        held: Collection[tuple[str, int]] = frozenset(),
        last_done: Mapping[int, datetime] | None = None,
        now: datetime | None = None,
    ) -> None:
        """`held` names what is on hold: ("order" | "lot" | "wheel", id). `last_done` is by task id."""
        self.lines = {line.task_id: line for line in lines}
        self.held = held
        self.last_done = last_done or {}
        self.now = now
        self._good: dict[int, int] = {}
        self._ready: dict[int, Readiness] = {}
        self._taken: dict[tuple[int, int], int] = {}
        self._waits: dict[int, list[WaitLine]] = defaultdict(list)
        for wait in waits:
            self._waits[wait.operation_id].append(wait)

    @cached_property
    def _by_lot_and_operation(self) -> dict[tuple[int, int], list[Line]]:
        found: dict[tuple[int, int], list[Line]] = defaultdict(list)
        for line in self.lines.values():
            found[line.lot_id, line.operation_id].append(line)
        return found

    @cached_property
    def _by_place_and_operation(self) -> dict[tuple[int, int, int | None], list[Line]]:
        """The live lines of an operation at a wheel, or (None) of a lot's loose pieces."""
        found: dict[tuple[int, int, int | None], list[Line]] = defaultdict(list)
        for line in self.lines.values():
            if line.live:
                found[line.lot_id, line.operation_id, line.wheel_id].append(line)
        return found

    def of_operation(self, lot_id: int, operation_id: int) -> list[Line]:
        """All lines of an operation in a lot, those of dropped wheels and parts too."""
        return self._by_lot_and_operation.get((lot_id, operation_id), [])

    @cached_property
    def _spoilers(self) -> dict[tuple[int, str], list[Line]]:
        """The few lines with spoiled pieces, by lot and kind of part."""
        found: dict[tuple[int, str], list[Line]] = defaultdict(list)
        for line in self.lines.values():
            if line.spoiled:
                found[line.lot_id, line.part_kind].append(line)
        return found

    def spoiled_later(self, line: Line) -> int:
        """Pieces that had this operation behind them when a later one spoiled them."""
        return sum(
            other.spoiled
            for other in self._spoilers.get((line.lot_id, line.part_kind), ())
            if other.position > line.position and (line.wheel_id is None or other.part_id == line.part_id)
        )

    def good(self, line: Line) -> int:
        """Units made and still to be used: what was made less what was lost with spoiled pieces."""
        found = self._good.get(line.task_id)
        if found is None:
            found = self._good[line.task_id] = line.made - line.lost - line.units * self.spoiled_later(line)
        return found

    def left(self, line: Line) -> int:
        """Units still to be made."""
        return max(0, line.wanted - self.good(line)) if line.live else 0

    def over(self, line: Line) -> int:
        """Units made beyond what is wanted."""
        return max(0, self.good(line) - line.wanted)

    def ready(self, line: Line) -> Readiness:
        """How many units may be done now. A hand may go on regardless: this warns, it refuses nothing."""
        found = self._ready.get(line.task_id)
        if found is None:
            found = self._ready[line.task_id] = self._ask_ready(line)
        return found

    def _ask_ready(self, line: Line) -> Readiness:
        left = self.left(line)
        if left == 0:
            return Readiness(0)
        if self._is_held(line):
            return Readiness(0, held=True)
        units, blocked = left, []
        for wait in self._waits_within(line):
            allowed, block = self._allowed(line, wait, left)
            units = min(units, allowed)
            if block:
                blocked.append(block)
        return Readiness(max(0, units), tuple(blocked))

    def comes_after(self, operation_id: int) -> frozenset[int]:
        """All operations that this one waits on, directly or by way of others, in any lot."""
        found: set[int] = set()
        ahead = [operation_id]
        while ahead:
            for wait in self._waits.get(ahead.pop(), ()):
                if wait.on_operation_id not in found:
                    found.add(wait.on_operation_id)
                    ahead.append(wait.on_operation_id)
        return frozenset(found)

    def before(self, line: Line, *, operation_id: int | None = None) -> list[Line]:
        """The live lines that this one waits on; those of one operation where it is given."""
        return [
            other
            for wait in self._waits_within(line)
            if operation_id in (None, wait.on_operation_id)
            for other in self._upstream(line, wait.on_operation_id)
        ]

    def _is_held(self, line: Line) -> bool:
        return bool(self.held) and (
            ("order", line.order_id) in self.held
            or ("lot", line.lot_id) in self.held
            or ("wheel", line.wheel_id) in self.held
        )

    def _upstream(self, line: Line, operation_id: int) -> list[Line]:
        """The live lines of another operation that bear on this one: its own wheel's, or the lot's."""
        if line.wheel_id is None:
            return [other for other in self.of_operation(line.lot_id, operation_id) if other.live]
        there = self._by_place_and_operation
        return [
            *there.get((line.lot_id, operation_id, None), ()),
            *there.get((line.lot_id, operation_id, line.wheel_id), ()),
        ]

    def _waits_within(self, line: Line) -> list[WaitLine]:
        """The waits that matter in this lot: one on an operation that the lot lacks passes to what that waits on.

        Where the first wheel's was enough it stays enough: a fire is lit for one hoop, whatever else might have
        been welded. What is waited on outright comes before what was passed on.
        """
        found: dict[int, WaitLine] = {}
        seen = {line.operation_id}
        ahead = list(self._waits.get(line.operation_id, ()))
        for wait in ahead:
            if self._upstream(line, wait.on_operation_id):
                found.setdefault(wait.on_operation_id, wait)
            elif wait.on_operation_id not in seen:
                seen.add(wait.on_operation_id)
                passed = self._waits.get(wait.on_operation_id, ())
                ahead += [replace(one, how="first") if wait.how == "first" else one for one in passed]
        return list(found.values())

    def _allowed(self, line: Line, wait: WaitLine, left: int) -> tuple[int, Blocked | None]:
        upstream = self._upstream(line, wait.on_operation_id)
        good = sum(max(0, self.good(other)) for other in upstream)
        wanted = sum(other.wanted for other in upstream)
        until = self._stands_until(upstream, wait)
        if until:
            return 0, Blocked(wait.on_operation_id, good, wanted, until)
        if wait.how == "first":
            return (left, None) if good > 0 else (0, Blocked(wait.on_operation_id, 0, 1))
        if wait.how == "enough":
            return self._enough(line, wait, upstream, left)
        if wait.how == "piece":
            total = line.wanted
            allowed = total if good >= wanted else good * total // max(1, wanted)
            room = max(0, allowed - self.good(line))
            return room, (Blocked(wait.on_operation_id, good, wanted) if room < left else None)
        if good >= wanted:
            return left, None
        return 0, Blocked(wait.on_operation_id, good, wanted)

    def _enough(self, line: Line, wait: WaitLine, upstream: list[Line], left: int) -> tuple[int, Blocked | None]:
        """Loose pieces are in the lot until a wheel takes them: what others took is gone."""
        there = max(0, sum(self.good(other) for other in upstream) - self._taken_by(line.lot_id, line.operation_id))
        if there >= left:
            return left, None
        begun = self.good(line) > 0
        return (there if begun else 0), Blocked(wait.on_operation_id, there, left)

    def _taken_by(self, lot_id: int, operation_id: int) -> int:
        """Units of all wheels of a lot together, summed once and not anew for each of many wheels."""
        key = lot_id, operation_id
        if key not in self._taken:
            lines = self.of_operation(lot_id, operation_id)
            self._taken[key] = sum(max(0, self.good(other)) for other in lines if not other.part_dropped)
        return self._taken[key]

    def _stands_until(self, upstream: list[Line], wait: WaitLine) -> datetime | None:
        if not wait.standing_minutes or self.now is None:
            return None
        ends = [
            self.last_done[other.task_id] + timedelta(minutes=wait.standing_minutes)
            for other in upstream
            if other.task_id in self.last_done
        ]
        latest = max(ends, default=None)
        return latest if latest and latest > self.now else None
