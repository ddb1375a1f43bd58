"""How heavy timber is at a moisture, from its specific gravity and the basis of that."""

from jobs.timber.refusals import TimberError, checked_moisture
from jobs.timber.shrinking import FIBRE_SATURATION
from jobs.timber.species import Gravity, Species

# A kilogram a cubic metre in pounds a cubic foot: 0.3048³ over 0.45359237.
POUNDS_PER_CUBIC_FOOT = 0.3048**3 / 0.45359237


def density_kg_m3(gravity: Gravity, *, moisture: float, volumetric: float | None = None) -> float:
    """Kilograms a cubic metre, water and all, at `moisture` per cent.

    On the basis of the volume at that very moisture it is 1000 G (1 + M/100) (Wood Handbook, FPL-GTR-190,
    2010, chapter 4). From oven-dry it is 1000 G / (1 + 0.009 G M) (1 + M/100) (Engineering ToolBox, Wood
    densities). From another basis the volume shrinks on the way by its share of `volumetric`, per cent from
    green to oven-dry. Raises TimberError where that is wanted and not told.
    """
    wet = 1 + checked_moisture(moisture) / 100
    if not 0.05 <= gravity.value <= 1.5:
        raise TimberError(f"A specific gravity of {gravity.value:g} is no wood's: print has 0.1 to 1.3.")
    if gravity.basis == "ovendry":
        swelling = min(moisture, FIBRE_SATURATION)
        return 1000 * gravity.value / (1 + 0.009 * gravity.value * swelling) * wet
    stands_at = 12.0 if gravity.basis == "12 %" else FIBRE_SATURATION
    if min(moisture, FIBRE_SATURATION) == stands_at:
        return 1000 * gravity.value * wet
    if volumetric is None:
        raise TimberError(
            f"A specific gravity on the volume at {gravity.basis} tells nothing of {moisture:g} % "
            "without the shrinkage in volume."
        )
    return 1000 * gravity.value * _volume(stands_at, volumetric) / _volume(moisture, volumetric) * wet


def species_density_kg_m3(species: Species, *, moisture: float) -> float:
    """Kilograms a cubic metre of that timber at `moisture` per cent. Raises TimberError where print has no gravity."""
    if species.gravity is None:
        raise TimberError(f"The specific gravity of {species.name} is not known here.")
    volumetric = species.shrinkage.volumetric if species.shrinkage else None
    return density_kg_m3(species.gravity, moisture=moisture, volumetric=volumetric)


def _volume(moisture: float, volumetric: float) -> float:
    """Volume at a moisture, as a share of the green volume: shrinkage is in proportion to what is under 30 %."""
    return 1 - volumetric / 100 * (FIBRE_SATURATION - min(moisture, FIBRE_SATURATION)) / FIBRE_SATURATION
