"""Dish as an angle: how far the spokes lean out of the plane that stands square to the hub."""

import math
import re
from fractions import Fraction

from jobs.measures import NM_PER_MM, MeasureError

STEEPEST_DEGREES = 45
HUNDREDTH_MM_NM = NM_PER_MM // 100

_ANGLE = re.compile(
    r"(?:(?:(?P<whole>[0-9]+)[ -]+)?(?P<over>[0-9]+)/(?P<under>[0-9]+)|(?P<decimal>[0-9]+(?:[.,][0-9]+)?))"
    r"\s*(?:°|º|deg(?:ree)?s?\.?)"
)


def parse_angle(text: str) -> Fraction | None:
    """The degrees in what a person typed as an angle: `4°`, `3.5 deg`, `3 3/4 degrees`. None: it is no angle.

    Raises MeasureError for an angle that no spoke leans by.
    """
    plain = " ".join(text.lower().split())
    match = _ANGLE.fullmatch(plain)
    if match is None:
        return None
    if match["decimal"]:
        degrees = Fraction(match["decimal"].replace(",", "."))
    elif int(match["under"]):
        degrees = int(match["whole"] or 0) + Fraction(int(match["over"]), int(match["under"]))
    else:
        raise MeasureError(f"“{plain}” divides by nothing: the lower figure of a fraction must be 1 or more.")
    if degrees >= STEEPEST_DEGREES:
        raise MeasureError(f"“{plain}” is too steep for a dish: write an angle under {STEEPEST_DEGREES}°.")
    return degrees


def dish_from_angle(degrees: Fraction | float, *, rim_inner_radius_nm: float, hub_radius_nm: float) -> int:
    """The dish in nanometres, to the nearest hundredth of a millimetre.

    The angle lies between a spoke and the plane square to the hub's axis, so that

        dish = (radius inside the rim - radius of the hub) × tan(angle).
    """
    exact = (rim_inner_radius_nm - hub_radius_nm) * math.tan(math.radians(float(degrees)))
    return round(exact / HUNDREDTH_MM_NM) * HUNDREDTH_MM_NM


def angle_of_dish(dish_nm: float, *, rim_inner_radius_nm: float, hub_radius_nm: float) -> float:
    """Degrees that the spokes lean, the other way about. Raises ValueError where there is no spoke between."""
    if rim_inner_radius_nm <= hub_radius_nm:
        raise ValueError("A spoke needs some way from the hub to the rim.")
    return math.degrees(math.atan2(dish_nm, rim_inner_radius_nm - hub_radius_nm))
