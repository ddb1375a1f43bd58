"""The sizes of a drawn wheel in pixels: the make-up to scale, with nothing so thin that it cannot be seen."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp

# A spoke is thinner at the tongue than at the hub by about so much: common practice, no source.
SPOKE_TAPER = 0.78
# The bore of the box against the hub's diameter: common practice, no source.
BORE = 0.2


@dataclass(frozen=True, slots=True)
class Least:
    """The smallest that parts are drawn, in pixels; under these the drawing is no longer to scale."""

    tyre: float
    felloe: float
    spoke: float
    spoke_at_rim: float
    band: float


FULL = Least(tyre=4.5, felloe=8.0, spoke=4.6, spoke_at_rim=3.6, band=3.2)
SMALL = Least(tyre=2.6, felloe=5.0, spoke=2.2, spoke_at_rim=2.2, band=2.4)


@dataclass(frozen=True, slots=True)
class Ring:
    outer: float
    inner: float


@dataclass(frozen=True, slots=True)
class Shape:
    """Radii and widths in pixels, and where spokes and joints stand, in degrees clockwise from the top.

    The radius over all and the hub are always true to scale; a tyre or rim drawn thicker than it is grows
    inwards.
    """

    over_all: float
    wood: float
    rim_inner: float
    hub: float
    box: float
    bore: float
    spoke: float
    spoke_at_rim: float
    bands: tuple[Ring, ...]
    spoke_angles: tuple[float, ...]
    joints: tuple[float, ...]

    @property
    def bare_spoke(self) -> float:
        return self.rim_inner - self.hub


def shape_of(makeup: MakeUp, *, scale: float, least: Least) -> Shape:
    """The wheel at `scale` pixels to the millimetre."""
    px = scale / 1_000_000
    over_all = makeup.tyre_radius_nm * px
    hub = makeup.hub_diameter_nm / 2 * px
    room = max(over_all - hub, 0.0)
    # A small wheel drawn very small keeps a fifth of its room for spokes, whatever the least sizes say.
    tyre = 0.0 if makeup.tyre == "none" else max(makeup.tyre_thickness_nm * px, min(least.tyre, room * 0.25))
    felloe = max(makeup.felloe_depth_nm * px, min(least.felloe, room * 0.4))
    rim_inner = max(over_all - tyre - felloe, hub)
    pitch = math.tau * hub / makeup.spokes
    spoke = min(max(makeup.spoke_thickness_nm * px, least.spoke), max(pitch * 0.9, 1.0))
    spoke_at_rim = min(max(makeup.spoke_thickness_nm * px * SPOKE_TAPER, least.spoke_at_rim), spoke)
    bore = max(hub * BORE, min(1.4, hub / 3))
    box = bore if makeup.box == "none" else min(bore + max(hub * 0.1, 1.6), hub * 0.6)
    return Shape(
        over_all=over_all,
        wood=over_all - tyre,
        rim_inner=rim_inner,
        hub=hub,
        box=box,
        bore=bore,
        spoke=spoke,
        spoke_at_rim=spoke_at_rim,
        bands=_bands(makeup, px=px, hub=hub, box=box, least=least.band),
        spoke_angles=tuple((i + 0.5) * 360 / makeup.spokes for i in range(makeup.spokes)),
        joints=joint_angles(makeup.spokes, makeup.felloes),
    )


def joint_angles(spokes: int, felloes: int) -> tuple[float, ...]:
    """Where each felloe begins, midway between spokes: an odd spoke has the last felloe to itself."""
    return tuple(-(-place * spokes // felloes) * 360 / spokes for place in range(felloes))


def _bands(makeup: MakeUp, *, px: float, hub: float, box: float, least: float) -> tuple[Ring, ...]:
    """One ring a band, in the make-up's order, as seen from the face; one ring for all where there is no
    room.

    A band with no seat measured yet is spread evenly from the breast of the hub to its nose, at 0.6 of the
    diameter: common practice, no source.
    """
    count = len(makeup.bands)
    if not count:
        return ()
    thickness = [max(band.thickness_nm * px, least) for band in makeup.bands]
    if sum(thickness) + count > hub - box:
        return (Ring(hub, max(hub - least, box)),)
    wanted = [
        band.seat_nm / 2 * px + thick if band.seat_nm is not None else hub * (1 - 0.4 * place / max(count - 1, 1))
        for place, (band, thick) in enumerate(zip(makeup.bands, thickness, strict=True))
    ]
    rings: dict[int, Ring] = {}
    limit = hub
    under = sum(thickness) + count
    # From the largest inwards: each ring a pixel inside the last, and room kept for those still to come.
    for place in sorted(range(count), key=lambda each: -wanted[each]):
        outer = max(min(wanted[place], limit), box + under)
        rings[place] = Ring(outer, outer - thickness[place])
        limit = outer - thickness[place] - 1
        under -= thickness[place] + 1
    return tuple(rings[place] for place in range(count))
