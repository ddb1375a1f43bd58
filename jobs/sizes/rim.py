"""The rim: felloes as they are struck and sawn from the plank, or strips as they are bent."""

import math
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.measures import NM_PER_INCH
from jobs.sizes.circle import TURN, chord, ring_area, sagitta

# Richardson, Practical Carriage Building, volume 1, 1891, Putting Rims on Wagon Wheels: the pattern is struck to a
# circle this much larger than the wheel. It does not say whether across or to the middle; taken as across.
PATTERN_LARGER_NM = (3 * NM_PER_INCH // 4, NM_PER_INCH)


@dataclass(frozen=True, slots=True)
class Felloe:
    """One of the sawn pieces, all alike. The arc of the sole is without what the joint is left open."""

    chord_nm: float
    rise_nm: float
    inner_chord_nm: float
    inner_rise_nm: float
    arc_nm: float
    plank_width_nm: float
    plank_length_nm: float
    share_of_plank: float
    pattern_radii_nm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Strip:
    """One of the bent pieces: its length on the neutral line, which lies half-way in its depth, and at both faces."""

    neutral_nm: float
    inside_nm: float
    outside_nm: float


@dataclass(frozen=True, slots=True)
class RimSizes:
    """`gaps_nm` is what all the joints are left open together; None while nobody has said how far."""

    pieces: int
    outer_radius_nm: float
    inner_radius_nm: float
    felloe: Felloe | None
    strip: Strip | None
    gap_nm: float | None
    gaps_nm: float | None
    bolts: int
    bolt_grip_nm: float


def rim_sizes(makeup: MakeUp, *, gap_nm: float | None = None) -> RimSizes:
    """`gap_nm` is how far each joint is left open at the sole: no book gives a number, so it is only as told."""
    is_bent = makeup.rim == "bent"
    return RimSizes(
        pieces=makeup.felloes,
        outer_radius_nm=makeup.wood_radius_nm,
        inner_radius_nm=makeup.rim_inner_radius_nm,
        felloe=None if is_bent else felloe(makeup, gap_nm=gap_nm or 0),
        strip=strip(makeup, gap_nm=gap_nm or 0) if is_bent else None,
        gap_nm=gap_nm,
        gaps_nm=None if gap_nm is None else gap_nm * makeup.felloes,
        bolts=makeup.tyre_bolts,
        bolt_grip_nm=makeup.felloe_depth_nm + makeup.tyre_on_rim_nm,
    )


def felloe(makeup: MakeUp, *, gap_nm: float = 0) -> Felloe:
    """A felloe with its joints on the radius.

    The plank is as long as the chord of the sole and as wide as from the top of that arc to the corners of the belly:
    w = R - (R - depth) cos(180° / felloes). One felloe alone would want a square of the wheel's diameter.
    """
    outer, inner = makeup.wood_radius_nm, makeup.rim_inner_radius_nm
    angle = TURN / makeup.felloes
    width, length = outer - inner * math.cos(angle / 2), chord(outer, angle)
    if makeup.felloes == 1:
        width = length = 2 * outer
    return Felloe(
        chord_nm=chord(outer, angle),
        rise_nm=sagitta(outer, angle),
        inner_chord_nm=chord(inner, angle),
        inner_rise_nm=sagitta(inner, angle),
        arc_nm=outer * angle - gap_nm,
        plank_width_nm=width,
        plank_length_nm=length,
        share_of_plank=ring_area(outer, inner, angle) / (width * length),
        pattern_radii_nm=(outer + PATTERN_LARGER_NM[0] / 2, outer + PATTERN_LARGER_NM[1] / 2),
    )


def strip(makeup: MakeUp, *, gap_nm: float = 0) -> Strip:
    """A bent piece: its share of the circle half-way in its depth; ends and trimming are left out."""
    share = TURN / makeup.felloes
    outer, inner = makeup.wood_radius_nm, makeup.rim_inner_radius_nm
    return Strip(share * (outer + inner) / 2 - gap_nm, share * inner - gap_nm, share * outer - gap_nm)
