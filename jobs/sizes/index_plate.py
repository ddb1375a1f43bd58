"""A plate with a ring of holes that turns a hub by one mortise at a time."""

import math
from dataclasses import dataclass

from jobs.sizes.circle import TURN, chord


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole's middle from the plate's middle: `x_nm` to the right, `y_nm` upwards; below zero the other way."""

    number: int
    angle: float
    x_nm: float
    y_nm: float


@dataclass(frozen=True, slots=True)
class IndexPlate:
    """`neighbour_nm` is straight from each hole to the next; `across_nm` from each to the `across`th after it."""

    pitch_circle_nm: float
    holes: tuple[Hole, ...]
    neighbour_nm: float
    across: int
    across_nm: float


def index_plate(count: int, pitch_circle_nm: float) -> IndexPlate:
    """Holes on a pitch circle of that diameter, the first at the top, then clockwise; angles are radians from it.

    Raises ValueError for fewer than two holes, or a circle of no size.
    """
    if count < 2 or pitch_circle_nm <= 0:
        raise ValueError("An index plate has two holes or more, on a circle of some size.")
    radius, step = pitch_circle_nm / 2, TURN / count
    across = count // 2
    return IndexPlate(
        pitch_circle_nm=pitch_circle_nm,
        holes=tuple(_hole(number, number * step, radius) for number in range(count)),
        neighbour_nm=chord(radius, step),
        across=across,
        across_nm=chord(radius, across * step),
    )


def _hole(place: int, angle: float, radius: float) -> Hole:
    return Hole(place + 1, angle, radius * math.sin(angle), radius * math.cos(angle))
