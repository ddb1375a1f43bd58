"""Mortises in the hub: their size by the published fit, how deep they go, and where neighbours would meet.

From Richardson, Practical Carriage Building, volume 1, 1891: the fit and the clearance from “Wagon Wheels”, the place
of the box from “Making a Wagon Run Well”.
"""

import math
from dataclasses import dataclass

from jobs.makeup.makeup import MakeUp
from jobs.measures import NM_PER_INCH

# What a tenon's end keeps clear of the box.
CLEAR_OF_BOX_NM = NM_PER_INCH // 4


@dataclass(frozen=True, slots=True)
class Fit:
    """A named rule for tenons: how much wider than its mortise is long one is, and thicker than that is wide."""

    key: str
    name: str
    along_nm: int
    across_nm: int
    source: str


DRIVEN = Fit(
    "driven",
    "driven tight",
    NM_PER_INCH // 8,
    NM_PER_INCH // 32,
    "Richardson, Practical Carriage Building, volume 1, 1891, Wagon Wheels",
)
PLAIN = Fit("plain", "size for size", 0, 0, "no rule: the shop adds its own tightness")
FITS = (DRIVEN, PLAIN)


def mortise_length_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> int:
    """Along the hub: as told, else from the spoke's width by the fit; 0 where that leaves nothing."""
    return makeup.mortise_length_nm or max(0, makeup.spoke_width_nm - fit.along_nm)


def mortise_width_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> int:
    """Round the hub: as told, else from the spoke's thickness by the fit; 0 where that leaves nothing."""
    return makeup.mortise_width_nm or max(0, makeup.spoke_thickness_nm - fit.across_nm)


def tread_width_nm(makeup: MakeUp) -> int:
    """Width of the tyre, or of the sole where there is none."""
    return makeup.felloe_width_nm if makeup.tyre == "none" else makeup.tyre_width_nm


def box_behind_front_nm(makeup: MakeUp) -> float:
    """How far the middle of the box lies behind the front of the mortises: half the tyre's width."""
    return tread_width_nm(makeup) / 2


def box_radius_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> float | None:
    """The largest radius of the box where mortises stand over it; None while the box is not told.

    The box's large end is at the back of the hub. With its length or one end untold, its larger end counts.
    """
    ends = [end for end in (makeup.box_large_nm, makeup.box_small_nm) if end]
    if not ends:
        return None
    if makeup.box_large_nm is None or makeup.box_small_nm is None or makeup.box_length_nm is None:
        return max(ends) / 2
    back = mortise_length_nm(makeup, fit) + makeup.stagger_nm - box_behind_front_nm(makeup)
    # From 0 at the box's small end to 1 at its large end, at the back edge of the hindmost mortise.
    share = min(1.0, max(0.0, 0.5 + back / makeup.box_length_nm))
    return (makeup.box_small_nm + share * (makeup.box_large_nm - makeup.box_small_nm)) / 2


def foot_radius_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> float | None:
    """How far from the axle's middle the tenons end: the box and its clearance; None while the box is not told."""
    box = box_radius_nm(makeup, fit)
    return None if box is None else box + CLEAR_OF_BOX_NM


def neighbours_apart(makeup: MakeUp, fit: Fit = DRIVEN) -> int:
    """Places round the hub to the next mortise that overlaps along it: 2 where the stagger keeps two rows apart."""
    rows_are_apart = makeup.stagger_nm >= mortise_length_nm(makeup, fit) and makeup.spokes % 2 == 0
    return 2 if makeup.stagger_nm and rows_are_apart else 1


def meeting_radius_nm(makeup: MakeUp, fit: Fit = DRIVEN) -> float:
    """Radius inside which neighbouring mortises have run into each other: width / (2 × sin(half their angle))."""
    half = neighbours_apart(makeup, fit) * math.pi / makeup.spokes
    # With two spokes left to a row there is nothing to meet short of the middle.
    return mortise_width_nm(makeup, fit) / (2 * math.sin(min(half, math.pi / 2)))


def wood_between_nm(makeup: MakeUp, radius_nm: float, fit: Fit = DRIVEN) -> float:
    """Straight width of wood between neighbouring mortises at a radius; 0 where they have met."""
    if radius_nm <= meeting_radius_nm(makeup, fit):
        return 0.0
    half = neighbours_apart(makeup, fit) * math.pi / makeup.spokes
    left = half - math.asin(mortise_width_nm(makeup, fit) / (2 * radius_nm))
    return 2 * radius_nm * math.sin(min(left, math.pi / 2))
