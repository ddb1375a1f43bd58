"""The pipe box in the hub: its taper inside and outside, and its wall."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp


@dataclass(frozen=True, slots=True)
class Taper:
    """How a cone narrows: `on_diameter` is diameter lost for one of length, `half_angle` radians from the axle."""

    on_diameter: float
    half_angle: float


@dataclass(frozen=True, slots=True)
class BoxSizes:
    """Each is None while a measure that it wants is not told."""

    outside: Taper | None
    bore: Taper | None
    wall_large_nm: float | None
    wall_small_nm: float | None


def box_sizes(makeup: MakeUp) -> BoxSizes:
    return BoxSizes(
        outside=_taper(makeup.box_large_nm, makeup.box_small_nm, makeup.box_length_nm),
        bore=_taper(makeup.bore_large_nm, makeup.bore_small_nm, makeup.box_length_nm),
        wall_large_nm=_wall(makeup.box_large_nm, makeup.bore_large_nm),
        wall_small_nm=_wall(makeup.box_small_nm, makeup.bore_small_nm),
    )


def taper(large_nm: float, small_nm: float, length_nm: float) -> Taper:
    """The taper from one diameter to the other over a length."""
    on_diameter = (large_nm - small_nm) / length_nm
    return Taper(on_diameter, math.atan(on_diameter / 2))


def _taper(large: int | None, small: int | None, length: int | None) -> Taper | None:
    return taper(large, small, length) if large and small and length else None


def _wall(box: int | None, bore: int | None) -> float | None:
    return (box - bore) / 2 if box and bore else None
