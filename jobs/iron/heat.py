"""The heat that puts a hoop on: as a smith would say it, with the degrees behind it, or why none will do."""

from dataclasses import dataclass

from jobs.iron.colours import smiths_words
from jobs.iron.expansion import (
    BASE_C,
    COLDEST_C,
    FLAT_FROM_C,
    FLAT_TO_C,
    GAIN_BEFORE_FLAT,
    MELTS_C,
    USUAL_COEFFICIENT,
    HeatRefused,
    elongation,
    fahrenheit,
    heat_by_coefficient,
    heat_for_growth,
)
from jobs.iron.hoops import Hoop
from jobs.measures import Unit

# A shop, a yard, or iron that has stood in the sun.
WARMEST_COLD_C = 60.0


@dataclass(frozen=True, slots=True)
class Heat:
    """What a hoop must be brought to. `constant_c` is the same by one coefficient, to set beside."""

    celsius: float
    constant_c: float
    cold_c: float

    @property
    def words(self) -> str:
        """In a smith's words; a hoop that goes on as it lies needs no heat."""
        return smiths_words(self.celsius) if self.celsius > self.cold_c else "no heat: it passes cold"


def heat_to_pass(
    growth: float, *, cold_c: float = BASE_C, coefficient: float = USUAL_COEFFICIENT, unit: Unit = "mm"
) -> Heat:
    """The lowest heat at which a hoop has grown by `growth`, a length on a length.

    Raises HeatRefused, in degrees of `unit`, where it takes 750 °C or more: from there to 860 °C nothing is
    gained, a felloe chars before it is on, and further up iron melts.
    """
    if not COLDEST_C <= cold_c <= WARMEST_COLD_C:
        low, high = in_degrees(COLDEST_C, unit=unit), in_degrees(WARMEST_COLD_C, unit=unit)
        raise HeatRefused(f"Cold iron is from {low} to {high}, and this says {in_degrees(cold_c, unit=unit)}.")
    constant_c = heat_by_coefficient(max(growth, 0.0), coefficient=coefficient, cold_c=cold_c)
    if growth <= 0:
        return Heat(cold_c, constant_c, cold_c)
    if constant_c > MELTS_C:
        raise HeatRefused(
            f"By a schoolbook's sum that takes {in_degrees(constant_c, unit=unit)}, and iron melts at "
            f"{in_degrees(MELTS_C, unit=unit)}: ask for less clearance, or look at the run and the draw again."
        )
    try:
        celsius = heat_for_growth(growth, cold_c=cold_c)
    except HeatRefused as refused:
        raise HeatRefused(_too_hot(unit)) from refused
    if celsius >= FLAT_FROM_C:
        raise HeatRefused(_too_hot(unit))
    return Heat(celsius, constant_c, cold_c)


def most_clearance_nm(hoop: Hoop, *, cold_c: float = BASE_C) -> float:
    """The most that a hoop can have to spare on the diameter, just below 750 °C; less than nothing where it sticks."""
    return hoop.clearance_at((1 + GAIN_BEFORE_FLAT) / (1 + elongation(cold_c)) - 1)


def _too_hot(unit: Unit) -> str:
    flat_from, flat_to = in_degrees(FLAT_FROM_C, unit=unit), in_degrees(FLAT_TO_C, unit=unit)
    return (
        f"That takes more than {flat_from}, and from there to {flat_to} iron grows no further (EN 1993-1-2): "
        "ask for less clearance or less draw."
    )


def in_degrees(celsius: float, *, unit: Unit) -> str:
    """Whole degrees: Celsius for a shop that measures in millimetres, Fahrenheit for one in inches."""
    return f"{fahrenheit(celsius):.0f} °F" if unit == "in" else f"{celsius:.0f} °C"
