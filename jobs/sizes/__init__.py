"""Every size of a wheel that follows from its make-up, as a wheelwright would otherwise chalk it on the board.

Lengths are nanometres, not rounded; angles radians; masses kilograms. What wants a measure that the make-up leaves
untold is None.
"""

from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.makeup.mortises import DRIVEN, Fit
from jobs.sizes.box import BoxSizes, box_sizes
from jobs.sizes.hub import Mortises, Wedges, mortises, wedges
from jobs.sizes.index_plate import IndexPlate, index_plate
from jobs.sizes.masses import Masses, masses
from jobs.sizes.rim import RimSizes, rim_sizes
from jobs.sizes.spokes import BLANK_ALLOWANCE_NM, SpokeLengths, point_nm, spoke_rows, tongue_diameter_nm
from jobs.sizes.wheel import WheelSizes, wheel_sizes

__all__ = ["IndexPlate", "Sizes", "index_plate", "sizes_of"]


@dataclass(frozen=True, slots=True)
class Sizes:
    """A hub has `mortises` where it is of wood, else `wedges`."""

    wheel: WheelSizes
    mortises: Mortises | None
    wedges: Wedges | None
    spokes: tuple[SpokeLengths, ...]
    tongue_diameter_nm: float | None
    point_nm: float
    rim: RimSizes
    box: BoxSizes
    masses: Masses


def sizes_of(
    makeup: MakeUp, *, gap_nm: float | None = None, fit: Fit = DRIVEN, blank_over_nm: int = BLANK_ALLOWANCE_NM
) -> Sizes:
    """All sizes of a make-up that nothing speaks against: see `jobs.makeup.problems`. `gap_nm` is for `rim_sizes`,
    `fit` for the tenons, `blank_over_nm` for `spoke_rows`.

    Raises ValueError for one that leaves no spoke between hub and rim.
    """
    if makeup.bare_spoke_nm <= 0:
        raise ValueError("There is no spoke between this hub and this rim.")
    is_wooden = makeup.hub == "wood"
    rows = spoke_rows(makeup, fit, blank_over_nm=blank_over_nm)
    body = sum(row.count * row.body_nm for row in rows) / makeup.spokes
    return Sizes(
        wheel=wheel_sizes(makeup),
        mortises=mortises(makeup, fit) if is_wooden else None,
        wedges=None if is_wooden else wedges(makeup),
        spokes=rows,
        tongue_diameter_nm=tongue_diameter_nm(makeup),
        point_nm=point_nm(makeup),
        rim=rim_sizes(makeup, gap_nm=gap_nm),
        box=box_sizes(makeup),
        masses=masses(makeup, body_nm=body),
    )
