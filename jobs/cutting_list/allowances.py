"""What is left on a blank to be turned, shaved, planed or trimmed off. Each shop has its own."""

from dataclasses import dataclass

from jobs.measures import NM_PER_INCH, NM_PER_MM, Unit
from jobs.sizes.spokes import BLANK_ALLOWANCE_NM


@dataclass(frozen=True, slots=True)
class Allowances:
    """Whole nanometres. The usual ones are common practice, no source.

    `felloe_depth_nm` is left outside the sole and inside the belly, each; `felloe_end_nm` at each end, along the sole;
    `…_section_nm` on the width and on the thickness; all else on the whole measure.
    """

    hub_diameter_nm: int = NM_PER_INCH
    hub_length_nm: int = NM_PER_INCH
    spoke_section_nm: int = NM_PER_INCH // 4
    spoke_length_nm: int = BLANK_ALLOWANCE_NM
    felloe_thickness_nm: int = NM_PER_INCH // 4
    felloe_depth_nm: int = NM_PER_INCH // 8
    felloe_end_nm: int = NM_PER_INCH // 4
    strip_section_nm: int = NM_PER_INCH // 8
    strip_length_nm: int = 6 * NM_PER_INCH


USUAL = Allowances()
# The same in round millimetres, for a shop whose rules show no inches.
USUAL_METRIC = Allowances(
    hub_diameter_nm=25 * NM_PER_MM,
    hub_length_nm=25 * NM_PER_MM,
    spoke_section_nm=6 * NM_PER_MM,
    spoke_length_nm=25 * NM_PER_MM,
    felloe_thickness_nm=6 * NM_PER_MM,
    felloe_depth_nm=3 * NM_PER_MM,
    felloe_end_nm=6 * NM_PER_MM,
    strip_section_nm=3 * NM_PER_MM,
    strip_length_nm=150 * NM_PER_MM,
)


def usual(unit: Unit) -> Allowances:
    """What a new shop begins with."""
    return USUAL if unit == "in" else USUAL_METRIC
