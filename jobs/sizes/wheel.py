"""The wheel as a whole: radii, spacing of the spokes at the rim, and the cone that they lie on."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.makeup.mortises import tread_width_nm
from jobs.makeup.problems import WIDEST_SPACING_NM
from jobs.measures import NM_PER_INCH
from jobs.sizes.circle import TURN, chord

# 1066.co.nz, Mosaic, WAGON: over 4 in a wheel is broad, under it narrow.
BROAD_NM = 4 * NM_PER_INCH


@dataclass(frozen=True, slots=True)
class Spacing:
    """From one spoke's middle to the next on a circle: along it, and straight across."""

    radius_nm: float
    arc_nm: float
    chord_nm: float


@dataclass(frozen=True, slots=True)
class Cone:
    """The cone of the dish. `lean` is in radians, from the plane square to the axle; a straight wheel has none.

    `edges_differ_nm` is how much more a sole that is dressed square to the spokes runs at one edge than at the other,
    `developed_radius_nm` the radius that such a tyre's bar would lie on flat.
    """

    lean: float
    edges_differ_nm: float
    developed_radius_nm: float | None


@dataclass(frozen=True, slots=True)
class WheelSizes:
    sole_round_nm: float
    index_angle: float
    at_sole: Spacing
    at_rim_inside: Spacing
    at_hub: Spacing
    cone: Cone
    fewest_spokes: int
    is_broad: bool | None


def wheel_sizes(makeup: MakeUp) -> WheelSizes:
    tread = tread_width_nm(makeup)
    return WheelSizes(
        sole_round_nm=TURN * makeup.wood_radius_nm,
        index_angle=TURN / makeup.spokes,
        at_sole=spacing(makeup.wood_radius_nm, makeup.spokes),
        at_rim_inside=spacing(makeup.rim_inner_radius_nm, makeup.spokes),
        at_hub=spacing(makeup.hub_diameter_nm / 2, makeup.spokes),
        cone=cone_of(makeup, dish_nm=makeup.dish_nm, tread_nm=tread),
        fewest_spokes=fewest_spokes(makeup.wood_diameter_nm),
        is_broad=None if tread == BROAD_NM else tread > BROAD_NM,
    )


def spacing(radius_nm: float, count: int) -> Spacing:
    """Even spacing of so many on a circle."""
    angle = TURN / count
    return Spacing(radius_nm, radius_nm * angle, chord(radius_nm, angle))


def cone(*, dish_nm: float, spoke_nm: float, radius_nm: float, tread_nm: float) -> Cone:
    """The cone that spokes lie on: its lean is atan(dish / bare length of a spoke).

    `radius_nm` is the wheel's over the wood, `tread_nm` the width of its sole.

    Encyclopaedia Britannica, 9th edition, GUNNERY: the tyre of a dished wheel is the frustum of a cone. Its edges
    differ by 2π w sin(lean), and it lies flat on a radius of R / sin(lean).
    """
    lean = math.atan2(dish_nm, spoke_nm)
    sine = math.sin(lean)
    return Cone(lean, TURN * tread_nm * sine, radius_nm / sine if sine else None)


def cone_of(makeup: MakeUp, *, dish_nm: float, tread_nm: float) -> Cone:
    """The cone of a wheel of this make-up with a dish and a width of sole: as it is to be made, or as measured."""
    return cone(dish_nm=dish_nm, spoke_nm=makeup.bare_spoke_nm, radius_nm=makeup.wood_radius_nm, tread_nm=tread_nm)


def fewest_spokes(wood_diameter_nm: float) -> int:
    """The smallest even number that stand no more than 16 in apart on the sole (Felton, 1794)."""
    return 2 * math.ceil(math.pi * wood_diameter_nm / WIDEST_SPACING_NM / 2)
