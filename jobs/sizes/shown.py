"""How what was reckoned is written down: lengths that may lie on either side, angles, and weights."""

import math

from jobs.measures import NM_PER_INCH, Unit, format_length
from jobs.sizes.masses import pounds

_ABOUT = "about "


def length_shown(nm: float, *, unit: Unit) -> tuple[str, str]:
    """A length as it is set out, and its decimal where the fraction is rounded, else nothing.

    `131.27 mm`, to a hundredth; `5 11/64 in` and `5.1682 in`. Below zero both begin with a minus.
    """
    whole = round(abs(nm))
    text = format_length(whole, unit=unit)
    plain = text.removeprefix(_ABOUT)
    minus = "−" if nm < 0 and not plain.startswith("0 ") else ""
    decimal = f"{minus}{whole / NM_PER_INCH:.4f} in" if unit == "in" and text != plain else ""
    return f"{minus}{plain}", decimal


def angle_shown(radians: float) -> tuple[str, str]:
    """An angle in degrees to a hundredth, and in degrees, minutes and seconds as a dividing head is set."""
    degrees = math.degrees(radians)
    minus = "−" if degrees < 0 else ""
    seconds = round(abs(degrees) * 3600)
    hundredths = f"{abs(degrees):.2f}".rstrip("0").rstrip(".")
    apart = f"{seconds // 3600}° {seconds % 3600 // 60:02}′ {seconds % 60:02}″"
    return f"{minus}{hundredths}°", f"{minus}{apart}" if seconds % 3600 else ""


def mass_shown(kg: float, *, unit: Unit) -> tuple[str, str]:
    """A weight in the shop's units to a tenth, and in the others'. Both are only about right."""
    in_kg, in_lb = f"{kg:.1f} kg", f"{pounds(kg):.1f} lb"
    return (in_lb, in_kg) if unit == "in" else (in_kg, in_lb)


def taper_shown(on_diameter: float, *, unit: Unit) -> str:
    """Diameter lost on a foot, or on 100 mm."""
    if unit == "in":
        return f"{length_shown(on_diameter * 12 * NM_PER_INCH, unit='in')[0]} in a foot"
    return f"{on_diameter * 100:.2f} mm in 100 mm"
