"""Lengths of a spoke along the cone that it lies on, and the sizes of its tongue and point."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.makeup.mortises import DRIVEN, Fit, box_radius_nm, foot_radius_nm, tread_width_nm
from jobs.measures import NM_PER_INCH
from jobs.sizes.circle import slant

# Richardson, Practical Carriage Building, volume 1, 1891, Wagon Wheels, parts 2 and 4.
TONGUE_SHORT_OF_SOLE_NM = NM_PER_INCH // 16
# The same, Points for Wheelwrights: a third of the tyre's width and 1/8 in.
TONGUE_OVER_A_THIRD_NM = NM_PER_INCH // 8
# The same, Wagon Wheels: 1 3/8 in at the point for a tyre of 1 1/2 in.
POINT_UNDER_TYRE_NM = NM_PER_INCH // 8
# To saw, centre and dress both ends, where a shop says nothing else. Common practice, no source.
BLANK_ALLOWANCE_NM = NM_PER_INCH


@dataclass(frozen=True, slots=True)
class SpokeLengths:
    """Of one row of spokes: "all", or "front" and "back" where they are staggered.

    `dish_nm` is how far these lean out from where they leave the hub; below zero they lean back. `foot_nm` and what
    is reckoned with it are None while the box is not told.
    """

    row: str
    count: int
    dish_nm: float
    lean: float
    foot_nm: float | None
    body_nm: float
    tongue_nm: float
    overall_nm: float | None
    blank_nm: float | None


def spoke_rows(
    makeup: MakeUp, fit: Fit = DRIVEN, *, blank_over_nm: int = BLANK_ALLOWANCE_NM
) -> tuple[SpokeLengths, ...]:
    """Each row's lengths. Staggered rows begin half the stagger before and behind the middle and end in one circle.

    `blank_over_nm` is how much longer than the spoke its blank is.
    """
    end = foot_end_nm(makeup, fit)
    if not makeup.stagger_nm:
        return (_row(makeup, "all", makeup.spokes, makeup.dish_nm, end, blank_over_nm),)
    half, back = makeup.stagger_nm / 2, makeup.spokes // 2
    return (
        _row(makeup, "front", makeup.spokes - back, makeup.dish_nm - half, end, blank_over_nm),
        _row(makeup, "back", back, makeup.dish_nm + half, end, blank_over_nm),
    )


def _row(makeup: MakeUp, row: str, count: int, dish_nm: float, foot: float | None, over_nm: int) -> SpokeLengths:
    hub = makeup.hub_diameter_nm / 2
    body = slant(makeup.rim_inner_radius_nm, hub, dish_nm)
    # Lengths across the wheel are longer along the spoke by so much.
    along = body / makeup.bare_spoke_nm
    foot_long = None if foot is None else max(0.0, hub - foot) * along
    tongue = max(0, makeup.felloe_depth_nm - TONGUE_SHORT_OF_SOLE_NM) * along
    overall = None if foot_long is None else foot_long + body + tongue
    return SpokeLengths(
        row=row,
        count=count,
        dish_nm=dish_nm,
        lean=math.atan2(dish_nm, makeup.bare_spoke_nm),
        foot_nm=foot_long,
        body_nm=body,
        tongue_nm=tongue,
        overall_nm=overall,
        blank_nm=None if overall is None else overall + over_nm,
    )


def foot_end_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> float | None:
    """Radius where the feet end: clear of the box in a mortised hub, on the box in a bolted one."""
    return foot_radius_nm(makeup, fit) if makeup.hub == "wood" else box_radius_nm(makeup, fit)


def tongue_diameter_nm(makeup: MakeUp) -> float | None:
    """Of a round tongue, by the tyre's width; None for a square one, for which no rule is in print."""
    return tread_width_nm(makeup) / 3 + TONGUE_OVER_A_THIRD_NM if makeup.tongue == "round" else None


def point_nm(makeup: MakeUp) -> float:
    """Width of the spoke where it meets the rim; 0 for a tread narrower than what the rule takes off."""
    return max(0, tread_width_nm(makeup) - POINT_UNDER_TYRE_NM)
