"""The make-up of a wheel: its measures and choices, what follows from them, and one line that says it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from jobs.measures import Unit, format_length, format_section

HeightOver = Literal["wood", "tyre"]
Rim = Literal["sawn", "bent"]
Hub = Literal["wood", "bolted"]
Tongue = Literal["round", "square"]
Tyre = Literal["iron", "rubber", "none"]
Fastening = Literal["bolted", "plain"]
Box = Literal["fitted", "none"]

HEIGHTS_OVER: tuple[HeightOver, ...] = get_args(HeightOver)
RIMS: tuple[Rim, ...] = get_args(Rim)
HUBS: tuple[Hub, ...] = get_args(Hub)
TONGUES: tuple[Tongue, ...] = get_args(Tongue)
TYRES: tuple[Tyre, ...] = get_args(Tyre)
FASTENINGS: tuple[Fastening, ...] = get_args(Fastening)
BOXES: tuple[Box, ...] = get_args(Box)


@dataclass(frozen=True, slots=True)
class Band:
    """An iron hoop on the hub: the section of its bar, and the hub's diameter where it sits, if known."""

    name: str
    width_nm: int
    thickness_nm: int
    seat_nm: int | None = None


@dataclass(frozen=True, slots=True)
class MakeUp:
    """The measures and choices of a kind of wheel. Lengths are whole nanometres.

    Widths run along the hub, from the back of the wheel to its face. `spoke_thickness_nm` is what is seen of
    a spoke from the face, `felloe_depth_nm` runs from the sole to the belly. A rubber tyre's thickness is
    that of the channel and the rubber together; without a tyre both its measures are nothing. `dish_nm` is
    how far the spokes' ends stand out from square to the hub: at the inside of the rim, against where they
    leave the hub.

    The last nine are for setting out, and a make-up may leave them untold. `stagger_nm` is how far alternate
    spokes stand apart along the hub. A mortise's length runs along the hub, its width round it; untold, both
    follow from the spoke's section by the published fit (`jobs.sizes.hub`). `box_…` are the outside diameters
    of the pipe box at its ends and its length, `bore_…` its inside diameters. `draw_nm` is how much smaller the
    tyre's inside run is than the wheel's, on the circumference: books differ threefold, so it is never assumed.
    """

    height_nm: int
    height_over: HeightOver
    spokes: int
    rim: Rim
    felloes: int
    hub: Hub
    hub_diameter_nm: int
    hub_length_nm: int
    spoke_width_nm: int
    spoke_thickness_nm: int
    tongue: Tongue
    felloe_depth_nm: int
    felloe_width_nm: int
    tyre: Tyre
    tyre_width_nm: int
    tyre_thickness_nm: int
    fastening: Fastening
    bands: tuple[Band, ...]
    box: Box
    coats: int
    lined: bool
    dish_nm: int
    hub_timber: str
    spoke_timber: str
    felloe_timber: str
    stagger_nm: int = 0
    mortise_length_nm: int | None = None
    mortise_width_nm: int | None = None
    box_large_nm: int | None = None
    box_small_nm: int | None = None
    box_length_nm: int | None = None
    bore_large_nm: int | None = None
    bore_small_nm: int | None = None
    draw_nm: int | None = None

    @property
    def tyre_on_rim_nm(self) -> int:
        """How far the tyre stands out from the wood: its thickness, or nothing without a tyre."""
        return 0 if self.tyre == "none" else self.tyre_thickness_nm

    @property
    def wood_diameter_nm(self) -> int:
        """Diameter over the wood of the rim, which the tyre shrinks onto."""
        return self.height_nm - (2 * self.tyre_on_rim_nm if self.height_over == "tyre" else 0)

    @property
    def tyre_diameter_nm(self) -> int:
        """Diameter over all, as the wheel stands on the road."""
        return self.wood_diameter_nm + 2 * self.tyre_on_rim_nm

    @property
    def rim_inner_diameter_nm(self) -> int:
        """Diameter inside the felloes, where the spokes' shoulders stand."""
        return self.wood_diameter_nm - 2 * self.felloe_depth_nm

    @property
    def wood_radius_nm(self) -> float:
        return self.wood_diameter_nm / 2

    @property
    def tyre_radius_nm(self) -> float:
        return self.tyre_diameter_nm / 2

    @property
    def rim_inner_radius_nm(self) -> float:
        return self.rim_inner_diameter_nm / 2

    @property
    def bare_spoke_nm(self) -> float:
        """Length of spoke seen from hub to felloe: foot, tongue and dish left out."""
        return (self.rim_inner_diameter_nm - self.hub_diameter_nm) / 2

    @property
    def tyre_bolts(self) -> int:
        """Bolts through the tyre: one a felloe where it is bolted, else none."""
        return self.felloes if self.tyre == "iron" and self.fastening == "bolted" else 0


def usual_felloes(spokes: int, rim: Rim) -> int:
    """Pieces in the rim: a sawn felloe to two spokes (Felton, Treatise on Carriages, 1794), or 2 bent halves.

    An odd spoke, met only in old wheels, has the last felloe to itself.
    """
    return 2 if rim == "bent" else (spokes + 1) // 2


def describe(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit) -> str:
    """The make-up in one line, in the shop's own words and units."""
    rim = f"{makeup.felloes} {words['felloe' if makeup.felloes == 1 else 'felloes']}"
    if makeup.rim == "bent":
        rim = f"{makeup.felloes} bent half-rims"
    over = "the wood" if makeup.height_over == "wood" else f"the {words['tyre']}"
    parts = [f"{format_length(makeup.height_nm, unit=unit)} over {over}", f"{makeup.spokes} spokes", rim]
    if makeup.hub == "bolted":
        parts.append(f"two-piece bolted {words['hub']}")
    return ", ".join([*parts, _tyre_in_words(makeup, words=words, unit=unit)])


def _tyre_in_words(makeup: MakeUp, *, words: Mapping[str, str], unit: Unit) -> str:
    if makeup.tyre == "none":
        return f"no {words['tyre']}"
    section = format_section(makeup.tyre_width_nm, makeup.tyre_thickness_nm, unit=unit)
    bolted = " bolted" if makeup.tyre_bolts else ""
    return f"{makeup.tyre} {words['tyre']} {section}{bolted}"
