"""How far timber shrinks and swells between two moistures: by the handbook's two equations, and part by part."""

import math
from dataclasses import dataclass
from typing import Literal

from jobs.timber.refusals import TimberError, checked_moisture, checked_size
from jobs.timber.species import Species

Grain = Literal["radial", "tangential"]
Equation = Literal["6 to 14 %", "wide", "none"]

# The moisture under which wood begins to shrink; the Wood Handbook (FPL-GTR-190, 2010, page 13-18) takes 30 % for all.
FIBRE_SATURATION = 30.0
LEAST_LINEAR, MOST_LINEAR = 6.0, 14.0


@dataclass(frozen=True, slots=True)
class Change:
    """A size before and after, in nanometres, and the equation that told it."""

    before_nm: float
    after_nm: float
    equation: Equation

    @property
    def change_nm(self) -> float:
        """Less than nothing where the piece shrinks."""
        return self.after_nm - self.before_nm


def change_from_6_to_14(size_nm: float, coefficient: float, *, moisture: float, to: float) -> float:
    """Change in nanometres of a size at `moisture` per cent when it comes `to` another, both from 6 to 14 %.

    D (C (M2 − M1)): Wood Handbook, FPL-GTR-190, 2010, equation 13-2; `coefficient` is its C_R or C_T. Raises
    TimberError outside that range.
    """
    checked_size(size_nm, "the size")
    for each in (moisture, to):
        if not LEAST_LINEAR <= checked_moisture(each) <= MOST_LINEAR:
            raise TimberError(
                f"{each:g} % is outside the 6 to 14 % that a coefficient of change holds for: "
                "use the shrinkage from green to oven-dry."
            )
    return size_nm * coefficient * (to - moisture)


def change_over_a_wide_range(size_nm: float, shrinkage: float, *, moisture: float, to: float) -> float:
    """Change in nanometres of a size at `moisture` per cent when it comes `to` another, whatever they are.

    D (M2 − M1) / (30 · 100 / S − 30 + M1): Wood Handbook, FPL-GTR-190, 2010, equation 13-3; `shrinkage` is
    S_R or S_T, per cent from green to oven-dry. Over 30 % nothing moves, so that only the part under it
    counts. Raises TimberError.
    """
    checked_size(size_nm, "the size")
    if not 0 < shrinkage < 50:
        raise TimberError(f"A shrinkage of {shrinkage:g} % from green to oven-dry can't be: print has 2 to 13 %.")
    begins, ends = (min(checked_moisture(each), FIBRE_SATURATION) for each in (moisture, to))
    return size_nm * (ends - begins) / (FIBRE_SATURATION * 100 / shrinkage - FIBRE_SATURATION + begins)


def change(species: Species, size_nm: float, grain: Grain, *, moisture: float, to: float) -> Change:
    """A size of that timber across its grain, at `moisture` per cent and `to` another.

    Inside 6 to 14 %, and where print has its coefficient, by that; else from its shrinkage from green to
    oven-dry. Raises TimberError where print has neither.
    """
    checked_size(size_nm, "the size")
    if min(checked_moisture(moisture), checked_moisture(to)) >= FIBRE_SATURATION:
        return Change(size_nm, size_nm, "none")
    narrow = min(moisture, to) >= LEAST_LINEAR and max(moisture, to) <= MOST_LINEAR
    coefficient = getattr(species.coefficients, grain, None)
    if narrow and coefficient is not None:
        moved = change_from_6_to_14(size_nm, coefficient, moisture=moisture, to=to)
        return Change(size_nm, size_nm + moved, "6 to 14 %")
    if species.shrinkage is None:
        raise TimberError(
            f"The shrinkage of {species.name} from green is not known here, only its change from 6 to 14 %."
        )
    moved = change_over_a_wide_range(size_nm, getattr(species.shrinkage, grain), moisture=moisture, to=to)
    return Change(size_nm, size_nm + moved, "wide")


@dataclass(frozen=True, slots=True)
class Hub:
    """A hub before and after, in nanometres.

    `across_rings` and `along_rings` are its diameter where it shrinks least and most: a hub turned from one
    side of the log becomes that much out of round. `check_nm` is how wide checks open at its surface, all
    together, where the heart of the log is in it and its rings close on themselves: then its surface
    shrinks as along the rings and its radius as across them, and the surface is short of the way round.
    """

    across_rings: Change
    along_rings: Change

    @property
    def out_of_round_nm(self) -> float:
        return abs(self.across_rings.after_nm - self.along_rings.after_nm)

    @property
    def check_nm(self) -> float:
        return math.pi * max(0.0, self.across_rings.after_nm - self.along_rings.after_nm)


def hub_change(species: Species, diameter_nm: float, *, moisture: float, to: float) -> Hub:
    """A hub of that diameter at `moisture` per cent when it comes `to` another. Raises TimberError."""
    return Hub(
        change(species, diameter_nm, "radial", moisture=moisture, to=to),
        change(species, diameter_nm, "tangential", moisture=moisture, to=to),
    )


@dataclass(frozen=True, slots=True)
class Section:
    """The two measures of a spoke or felloe across its grain, before and after."""

    width: Change
    thickness: Change


def section_change(
    species: Species, width_nm: float, thickness_nm: float, *, width_grain: Grain, moisture: float, to: float
) -> Section:
    """A spoke or felloe by its section; `width_grain` says how its width lies in the log, its thickness the other way.

    A cleft spoke is split along the rays: the side that was cleft is "radial" (common practice, no source).
    Raises TimberError.
    """
    other: Grain = "tangential" if width_grain == "radial" else "radial"
    return Section(
        change(species, width_nm, width_grain, moisture=moisture, to=to),
        change(species, thickness_nm, other, moisture=moisture, to=to),
    )


def run_change_nm(felloe_depth: Change) -> float:
    """How much the way round the sole changes when the felloes' depth does, in nanometres.

    2 π times the change of the depth, the spokes' shoulders staying where they are: along the grain wood
    hardly moves. Less than nothing is slack in the tyre.
    """
    return 2 * math.pi * felloe_depth.change_nm
