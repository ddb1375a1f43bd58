"""What pages and papers of iron say beside the figures: cautions, what the sums go by, how it was reckoned."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.iron import in_degrees
from jobs.iron.fire import CLEAR_NM, LOOKED_IN_ON_HOURS, watch_warning
from jobs.iron.weld import WELD_SHRINK_NM
from jobs.measures import NM_PER_MM, Unit, format_feet, format_length
from shop.forms.iron import Terms
from shop.iron_rows import IronBar, told

LOCAL_RULES = (
    "Your local rules, your permit and your insurer come before this sheet. What has no source beside it is common "
    "practice."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """`warning` says what is wrong with what was asked."""

    lead: str
    said: str
    warning: str = ""


def hot_cautions(*, unit: Unit, watch_minutes: int) -> tuple[Caution, ...]:
    """What to mind on a hot day."""
    clear = format_feet(CLEAR_NM) if unit == "in" else f"{CLEAR_NM / (1000 * NM_PER_MM):.1f} m"
    warning = watch_warning(watch_minutes)
    minutes = f"{watch_minutes} minute{'' if watch_minutes == 1 else 's'} after the last heat"
    rule = f" (NFPA 51B, 2019: an hour, and up to {LOOKED_IN_ON_HOURS} hours more looked in on)."
    return (
        Caution(
            "Hot iron.",
            "It burns black as well as red. Apron, gloves, boots and eye guard on; tongs and dogs to hand; one voice "
            "calls the lift. Judge the heat in the shade.",
        ),
        Caution(
            "Steam.",
            "Water drawn and cans full before the fire is lit. Quench at once and all round, so that the wood does not "
            "char, and stand clear of the steam.",
        ),
        Caution(
            "Clear ground.",
            f"What can burn is moved or covered within {clear} of the fire and the tyring plate (29 CFR 1910.252).",
        ),
        Caution("Fire watch.", f"{minutes}.", warning) if warning else Caution("Fire watch.", f"{minutes}{rule}"),
    )


def terms_said(terms: Terms, *, unit: Unit) -> str:
    """What the sums go by, in two sentences."""
    clearance, cold = format_length(terms.clearance_nm, unit=unit), in_degrees(terms.cold_c, unit=unit)
    bands = ""
    if terms.band_clearance_nm:
        bands = f", bands with {format_length(terms.band_clearance_nm, unit=unit)}"
    return (
        f"Made to pass with {clearance} to spare on the diameter{bands}, from {cold} cold. For the weld: "
        f"{terms.rule.name} ({terms.rule.source})."
    )


def how_reckoned(terms: Terms, bars: Iterable[IronBar], *, unit: Unit) -> str:
    """The rules of the sums with their sources, and what an error on the traveller comes to on the first wheel."""
    error = next((bar.rows[0].turns_error for bar in bars if bar.rows), "")
    traveller = (
        f": half a millimetre or 1/64 in wrong on the traveller’s own run is {error} on the wheel of its first row"
        if error
        else ""
    )
    return (
        "Bar: inside run and π times the thickness, and the weld. Heat: the elongation of carbon steel by EN 1993-1-2, "
        f"for wrought iron too; the one coefficient is {1e6 * terms.coefficient:g} millionths a °C (12: EN 1993-1-1). "
        "Mass at 7850 kg/m³. A coned sole is one that is square to the spokes of a dished wheel. An inside run taken "
        f"while the weld is hot comes out {told(WELD_SHRINK_NM, unit)} less when cold (Hasluck). Run the traveller "
        f"round the wheel itself before you cut{traveller}."
    )
