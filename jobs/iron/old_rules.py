"""Lengths of bar by the old rules of thumb, in nanometres: to set beside the exact sum, not in its place."""

from jobs.measures import NM_PER_FOOT, NM_PER_INCH


def by_22_sevenths_nm(inside_diameter_nm: float, thickness_nm: float) -> float:
    """Googerty's ring: 22/7 of inside diameter and thickness together; 0.04 % long."""
    return (inside_diameter_nm + thickness_nm) * 22 / 7


def by_three_diameters_nm(inside_diameter_nm: float, thickness_nm: float) -> float:
    """Three diameters, three thicknesses, half an inch for each foot round, and a third of the thickness to weld.

    As attributed to J. A. Klees on iforgeiron.com; short by nearly an inch on a ring of 5 ft.
    """
    three = 3 * inside_diameter_nm
    return three + 3 * thickness_nm + three / NM_PER_FOOT * NM_PER_INCH / 2 + thickness_nm / 3


def with_three_thicknesses_nm(inside_run_nm: float, thickness_nm: float) -> float:
    """Three thicknesses added for bending, as a smith's manual on freeblacksmith.com has it; nothing for the weld."""
    return inside_run_nm + 3 * thickness_nm
