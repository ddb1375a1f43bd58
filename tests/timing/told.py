"""What the plain model beside the counters remembers, and what it knows of the trade."""

import uuid
from collections.abc import Callable
from dataclasses import dataclass

from jobs.models import Task
from timing.record import Recorded

ZERO = (0, 0, 0, 0)
# What the plain model knows of the trade: the work in the order in which a hub has it, and what stands in a hub.
HUB_WORK = ("turn-hub", "strike-out-hub", "chop-mortise", "trim-mortise")
WORK = (
    *("get-out-hub", "turn-hub", "strike-out-hub", "chop-mortise", "trim-mortise", "make-band", "shrink-band"),
    *("rough-spoke", "cut-foot", "shave-spoke", "drive-spoke", "tongue-spoke", "saw-felloe", "plane-felloe"),
    *("offer-up-felloe", "fit-box"),
)
PUT_IN = {"band": "shrink-band", "spoke": "drive-spoke"}
# What takes loose pieces into a wheel.
TAKEN_BY = PUT_IN | {"felloe": "offer-up-felloe", "hub": "turn-hub"}
Counts = tuple[int, int, int, int]


@dataclass
class Told:
    """A fact as the model remembers it: what it adds to each task, and how to send it again."""

    token: uuid.UUID
    adds: dict[int, Counts]
    send: Callable[[], Recorded]
    send_changed: Callable[[], Recorded] | None = None
    # Who told it: only the same hand's cancel may come before it.
    hand_id: int = 0
    is_cancelled: bool = False
    # The tasks that a spoiled hub dropped and those made for them, part by part.
    renewed: tuple[tuple[set[int], set[int]], ...] = ()


@dataclass
class Moved:
    """A move as the model remembers it: where its pieces went, and what it adds to each task."""

    to: Task
    pieces: int
    adds: dict[int, Counts]
    is_cancelled: bool = False


def plus(a: Counts, b: Counts, sign: int = 1) -> Counts:
    return (a[0] + sign * b[0], a[1] + sign * b[1], a[2] + sign * b[2], a[3] + sign * b[3])
