"""What a wheel weighs, about: its wood by the density of the timber, its iron by that of steel."""

import math
from dataclasses import dataclass

from jobs.makeup import Band, MakeUp
from jobs.sizes.circle import frustum_volume, ring_area
from jobs.sizes.woods import Wood, wood_of

# EN 1993-1-1, 3.2.6.
STEEL_KG_PER_M3 = 7850
# The avoirdupois pound, exactly (NIST SP 811, appendix B).
KG_PER_POUND = 0.45359237
_CUBIC_NM_PER_M3 = 1e27


@dataclass(frozen=True, slots=True)
class Mass:
    """One kind of part, for the whole wheel: kilograms, or None and the reason in `why`.

    `timber` is as the make-up says, `wood` what it is reckoned as; iron has neither.
    """

    part: str
    kg: float | None
    timber: str = ""
    wood: Wood | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Masses:
    """Sums are None while a part of them is not known."""

    hub: Mass
    spokes: Mass
    rim: Mass
    bands: Mass
    box: Mass
    tyre: Mass

    @property
    def wood_kg(self) -> float | None:
        return _together(self.hub, self.spokes, self.rim)

    @property
    def iron_kg(self) -> float | None:
        return _together(self.bands, self.box)

    @property
    def without_tyre_kg(self) -> float | None:
        return _together(self.hub, self.spokes, self.rim, self.bands, self.box)

    @property
    def whole_kg(self) -> float | None:
        return _together(self.hub, self.spokes, self.rim, self.bands, self.box, self.tyre)


def masses(makeup: MakeUp, *, body_nm: float) -> Masses:
    """`body_nm` is a spoke's length between hub and rim.

    Feet and tongues lie inside hub and rim and are reckoned with them; the hub is a cylinder with the box's hole in it;
    spokes are their whole section, so that dressed ones are lighter.
    """
    body = makeup.spokes * makeup.spoke_width_nm * makeup.spoke_thickness_nm * body_nm
    rim = ring_area(makeup.wood_radius_nm, makeup.rim_inner_radius_nm) * makeup.felloe_width_nm
    return Masses(
        hub=_hub(makeup),
        spokes=_wooden("spokes", body, makeup.spoke_timber),
        rim=_wooden("rim", rim, makeup.felloe_timber),
        bands=Mass("bands", sum(hoop_kg(band, makeup.hub_diameter_nm) for band in makeup.bands)),
        box=_box(makeup),
        tyre=_tyre(makeup),
    )


def kilograms(volume_nm3: float, kg_per_m3: float) -> float:
    return volume_nm3 / _CUBIC_NM_PER_M3 * kg_per_m3


def pounds(kg: float) -> float:
    return kg / KG_PER_POUND


def ring_kg(inside_nm: float, width_nm: float, thickness_nm: float) -> float:
    """A hoop of flat steel by its inside diameter: π (d + t) w t, by the density of steel."""
    return kilograms(math.pi * (inside_nm + thickness_nm) * width_nm * thickness_nm, STEEL_KG_PER_M3)


def hoop_kg(band: Band, hub_diameter_nm: float) -> float:
    """A band on its seat, or on the hub's diameter while its seat is not told."""
    return ring_kg(band.seat_nm or hub_diameter_nm, band.width_nm, band.thickness_nm)


def _hub(makeup: MakeUp) -> Mass:
    if makeup.hub == "bolted":
        return Mass("hub", None, why="a bolted hub is a casting, whose measures are not in the make-up")
    solid = math.pi * (makeup.hub_diameter_nm / 2) ** 2 * makeup.hub_length_nm
    if makeup.box_large_nm and makeup.box_small_nm:
        # The hole goes on through what the hub is longer than the box.
        solid -= frustum_volume(makeup.box_large_nm / 2, makeup.box_small_nm / 2, makeup.hub_length_nm)
    return _wooden("hub", solid, makeup.hub_timber)


def _wooden(part: str, volume_nm3: float, timber: str) -> Mass:
    wood = wood_of(timber)
    if wood is None:
        why = f"no density for “{timber}” is at hand" if timber else "its timber is not told"
        return Mass(part, None, timber, why=why)
    return Mass(part, kilograms(volume_nm3, wood.density), timber, wood)


def _box(makeup: MakeUp) -> Mass:
    if makeup.box == "none":
        return Mass("box", 0.0)
    ends = (makeup.box_large_nm, makeup.box_small_nm, makeup.bore_large_nm, makeup.bore_small_nm)
    if makeup.box_length_nm is None or None in ends:
        return Mass("box", None, why="not all its measures are told")
    large, small, bore_large, bore_small = ((end or 0) / 2 for end in ends)
    metal = frustum_volume(large, small, makeup.box_length_nm)
    metal -= frustum_volume(bore_large, bore_small, makeup.box_length_nm)
    return Mass("box", kilograms(metal, STEEL_KG_PER_M3))


def _tyre(makeup: MakeUp) -> Mass:
    if makeup.tyre == "none":
        return Mass("tyre", 0.0)
    if makeup.tyre == "rubber":
        return Mass("tyre", None, why="what of it is channel and what is rubber is not told")
    return Mass("tyre", ring_kg(makeup.wood_diameter_nm, makeup.tyre_width_nm, makeup.tyre_thickness_nm))


def _together(*parts: Mass) -> float | None:
    total = 0.0
    for part in parts:
        if part.kg is None:
            return None
        total += part.kg
    return total
