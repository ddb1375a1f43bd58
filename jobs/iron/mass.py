"""The mass of flat bar, by its measures in nanometres."""

from fractions import Fraction

from jobs.sizes.masses import STEEL_KG_PER_M3

GRAMS_PER_POUND = 453.59237
_NM3_PER_M3 = 1e27


def bar_grams(length_nm: float, width_nm: float, thickness_nm: float) -> float:
    """Grams of a flat bar at 7850 kg/m³: steel, hot or cold (EN 1993-1-2, 3.2.2; Gere, Mechanics of Materials).

    Wrought iron is lighter by about 3 % (CTE DB SE-AE, table C.1).
    """
    return length_nm * width_nm * thickness_nm / _NM3_PER_M3 * STEEL_KG_PER_M3 * 1000


def pounds_per_foot(width_in: float, thickness_in: float) -> float:
    """The old rule of the bar tables, a check on the other: 3.40 lb a foot for each square inch."""
    return 3.40 * width_in * thickness_in


def pounds(grams: float) -> float:
    return grams / GRAMS_PER_POUND


def price_pence(grams: float, *, pence_per_kg: Fraction) -> Fraction:
    """What so much iron comes to, unrounded, from the price of a kilogram: whole grams are charged."""
    return Fraction(round(grams), 1000) * pence_per_kg
