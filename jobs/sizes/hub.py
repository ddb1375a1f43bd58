"""The hub: its mortises and the tenons that go into them, or the wedge-shaped feet of a bolted one."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.makeup.mortises import (
    DRIVEN,
    Fit,
    box_behind_front_nm,
    box_radius_nm,
    foot_radius_nm,
    meeting_radius_nm,
    mortise_length_nm,
    mortise_width_nm,
    wood_between_nm,
)
from jobs.sizes.circle import TURN, chord


@dataclass(frozen=True, slots=True)
class Mortises:
    """Lengths run along the hub, widths round it. `…_by_rule`: not told, but from the spoke by the published fit.

    `tenon_…` is the tenon that goes into it by `fit`. Wood is measured straight between neighbours; at the foot it is
    None while the box is not told, and 0 where they have met.
    """

    fit: Fit
    length_nm: float
    width_nm: float
    length_by_rule: bool
    width_by_rule: bool
    tenon_width_nm: float
    tenon_thickness_nm: float
    depth_nm: float | None
    foot_radius_nm: float | None
    meeting_radius_nm: float
    wood_at_surface_nm: float
    wood_at_foot_nm: float | None
    front_row: int
    back_row: int
    stagger_nm: float
    neighbours_nm: float
    box_behind_front_nm: float


@dataclass(frozen=True, slots=True)
class Wedges:
    """Feet that fill a bolted hub's circle: how thick at its surface, and where the box begins if that is told."""

    at_surface_nm: float
    at_box_nm: float | None


def mortises(makeup: MakeUp, fit: Fit = DRIVEN) -> Mortises:
    """Of a wooden hub. The tenon is the mortise with the tightness of the fit on it."""
    length, width = mortise_length_nm(makeup, fit), mortise_width_nm(makeup, fit)
    surface, foot = makeup.hub_diameter_nm / 2, foot_radius_nm(makeup, fit)
    back = makeup.spokes // 2 if makeup.stagger_nm else 0
    apart = chord(surface, TURN / makeup.spokes)
    return Mortises(
        fit=fit,
        length_nm=length,
        width_nm=width,
        length_by_rule=makeup.mortise_length_nm is None,
        width_by_rule=makeup.mortise_width_nm is None,
        tenon_width_nm=length + fit.along_nm,
        tenon_thickness_nm=width + fit.across_nm,
        depth_nm=None if foot is None else max(0.0, surface - foot),
        foot_radius_nm=foot,
        meeting_radius_nm=meeting_radius_nm(makeup, fit),
        wood_at_surface_nm=wood_between_nm(makeup, surface, fit),
        wood_at_foot_nm=None if foot is None else wood_between_nm(makeup, foot, fit),
        front_row=makeup.spokes - back,
        back_row=back,
        stagger_nm=makeup.stagger_nm,
        neighbours_nm=math.hypot(apart, makeup.stagger_nm),
        box_behind_front_nm=box_behind_front_nm(makeup),
    )


def wedges(makeup: MakeUp) -> Wedges:
    """Of a bolted hub, whose feet meet side by side: at a radius r each is 2 r tan(half the index angle) thick."""
    each = 2 * math.tan(math.pi / makeup.spokes)
    box = box_radius_nm(makeup)
    return Wedges(each * makeup.hub_diameter_nm / 2, None if box is None else each * box)
