"""Patterns of the rim's pieces, full size: a felloe in its plank, or a strip before it is bent."""

import math
from collections.abc import Iterator, Mapping

from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.patterns.drawing import Absent, Arc, Drawing, Line, Shape, measure, millimetres, on_circle, rectangle
from jobs.patterns.wheel import beside
from jobs.sizes import Sizes
from jobs.sizes.rim import Felloe, RimSizes, Strip
from jobs.sizes.shown import length_shown


def piece_of_rim(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> Drawing | Absent:
    """One of the pieces, which are all alike: a felloe of a sawn rim, a strip of a bent one."""
    if sizes.rim.strip is not None:
        return strip(makeup, sizes.rim, sizes.rim.strip, words=words, unit=unit)
    if sizes.rim.felloe is None or makeup.felloes < 2:
        why = f"The rim is sawn in one piece, and a {words['felloe']} pattern is for a piece of two or more."
        return Absent("felloe", f"{words['felloe'].capitalize()} pattern", why)
    return felloe(makeup, sizes, sizes.rim.felloe, words=words, unit=unit)


def felloe(makeup: MakeUp, sizes: Sizes, sawn: Felloe, *, words: Mapping[str, str], unit: Unit) -> Drawing:
    """A sawn felloe in its plank, the sole upwards, the wheel's middle below."""
    notes = [
        "Joints on the radius; dowels are the shop’s own.",
        "Struck to the wheel itself: a pattern struck larger, as in Richardson, Practical Carriage Building, volume 1, "
        "1891, is on the sheet of sizes.",
    ]
    if not sizes.rim.gap_nm:
        notes.append("Joints closed: no book gives a number for how far they are left open, so ask for it.")
    tongues, per = tongue_angles(makeup), makeup.spokes / makeup.felloes
    if not tongues:
        notes.append(
            f"{makeup.spokes} spokes don’t share out among {makeup.felloes} {words['felloes']}: no holes drawn."
        )
    elif sizes.tongue_diameter_nm is None:
        notes.append("Tongues are square, for which no rule is in print: only their middle lines are drawn.")
    if makeup.tyre_bolts and per % 2 == 0:
        notes.append("The bolt’s middle line is midway between the spokes: common practice, no source.")
    shapes = (
        *_edges(sizes.rim, sawn, makeup),
        *_holes(makeup, sizes, tongues),
        *_felloe_measures(makeup, sizes.rim, sawn, tongues, unit),
    )
    return Drawing("felloe", f"{words['felloe'].capitalize()} pattern", shapes, tuple(notes))


def tongue_angles(makeup: MakeUp) -> tuple[float, ...]:
    """Where a felloe's spokes stand, in degrees from its middle; none where spokes don't share out among felloes."""
    per, rest = divmod(makeup.spokes, makeup.felloes)
    if rest:
        return ()
    return tuple((place - (per - 1) / 2) * 360 / makeup.spokes for place in range(per))


def _edges(rim: RimSizes, sawn: Felloe, makeup: MakeUp) -> Iterator[Shape]:
    outer, inner, half = millimetres(rim.outer_radius_nm), millimetres(rim.inner_radius_nm), 180 / makeup.felloes
    sole = sole_half(rim, makeup)
    middle = (0.0, 0.0)
    yield Arc("cut", middle, outer, 90 - sole, 90 + sole)
    yield Arc("cut", middle, inner, 90 - half, 90 + half)
    yield from (Line("cut", on_circle(inner, 90 + side * half), on_circle(outer, 90 + side * sole)) for side in (-1, 1))
    long, wide = millimetres(sawn.plank_length_nm), millimetres(sawn.plank_width_nm)
    yield from rectangle("outline", -long / 2, outer - wide, long / 2, outer)
    yield Line("centre", on_circle(outer, 90 + sole), on_circle(outer, 90 - sole))
    yield Line("centre", (0, inner), (0, outer))


def sole_half(rim: RimSizes, makeup: MakeUp) -> float:
    """Half the angle of the sole in degrees: a joint left open takes half its gap from each end."""
    return 180 / makeup.felloes - math.degrees((rim.gap_nm or 0) / 2 / rim.outer_radius_nm)


def _holes(makeup: MakeUp, sizes: Sizes, tongues: tuple[float, ...]) -> Iterator[Shape]:
    """A tongue's hole seen from its side, right through: the tongue ends short of the sole."""
    outer, inner = millimetres(sizes.rim.outer_radius_nm), millimetres(sizes.rim.inner_radius_nm)
    half = millimetres((sizes.tongue_diameter_nm or 0) / 2)
    for each in tongues:
        yield Line("centre", on_circle(inner, 90 - each), on_circle(outer, 90 - each))
        for side in (-half, half) if half else ():
            yield Line("holes", beside(inner, 90 - each, side), beside(outer, 90 - each, side))
    if makeup.tyre_bolts and tongues and len(tongues) % 2 == 0:
        yield Line("holes", (0, inner), (0, outer))


def _felloe_measures(
    makeup: MakeUp, rim: RimSizes, sawn: Felloe, tongues: tuple[float, ...], unit: Unit
) -> Iterator[Shape]:
    half = 180 / makeup.felloes
    outer, inner, sole = millimetres(rim.outer_radius_nm), millimetres(rim.inner_radius_nm), sole_half(rim, makeup)
    long = millimetres(sawn.plank_length_nm) / 2
    low = outer - millimetres(sawn.plank_width_nm)
    end, corner = on_circle(outer, 90 - sole), on_circle(inner, 90 - half)
    yield measure("Chord of the sole", (-end[0], outer), (end[0], outer), level=1, unit=unit)
    yield measure("Rise of the sole", (-long, end[1]), (-long, outer), level=1, unit=unit)
    yield measure("Depth", (long, inner), (long, outer), level=-1, unit=unit)
    yield measure("Chord of the belly", (-corner[0], low), (corner[0], low), level=-2.2, unit=unit)
    yield measure("Plank, wide", (-long, low), (-long, outer), level=2.1, unit=unit)
    if len(tongues) > 1:
        first, second = (on_circle(inner, 90 - each)[0] for each in tongues[:2])
        yield measure("From tongue to tongue at the belly", (first, low), (second, low), level=-1, unit=unit)


def strip(makeup: MakeUp, rim: RimSizes, straight: Strip, *, words: Mapping[str, str], unit: Unit) -> Drawing:
    """A strip as it lies flat, trimmed to its joints, the sole upwards: spokes are set off on its neutral line."""
    half, deep = millimetres(straight.neutral_nm / 2), millimetres(rim.outer_radius_nm - rim.inner_radius_nm)
    low, high = -deep / 2, deep / 2
    middle = millimetres(rim.outer_radius_nm + rim.inner_radius_nm) / 2
    spokes = [middle * math.radians(each) for each in tongue_angles(makeup)]
    shapes: list[Shape] = [*rectangle("cut", -half, low, half, high), Line("centre", (-half, 0), (half, 0))]
    shapes += [Line("centre", (at, low), (at, high)) for at in spokes]
    shapes.append(measure("Strip, long", (-half, high), (half, high), level=1, unit=unit))
    shapes.append(measure("Deep", (half, low), (half, high), level=-1, unit=unit))
    if spokes:
        shapes.append(measure("From the joint to the first spoke", (-half, low), (spokes[0], low), level=-1, unit=unit))
    if len(spokes) > 1:
        shapes.append(measure("From spoke to spoke", (spokes[-2], low), (spokes[-1], low), level=-1, unit=unit))
    return Drawing("strip", "Bent strip pattern", tuple(shapes), tuple(_of_strip(makeup, rim, straight, words, unit)))


def _of_strip(makeup: MakeUp, rim: RimSizes, straight: Strip, words: Mapping[str, str], unit: Unit) -> Iterator[str]:
    wide, inside, outside = (
        length_shown(nm, unit=unit)[0] for nm in (makeup.felloe_width_nm, straight.inside_nm, straight.outside_nm)
    )
    yield (
        f"{rim.pieces} of these, {wide} wide, flat as before bending; the line half-way in the depth is taken to keep "
        f"its length. Bent, the belly runs {inside} and the sole {outside}."
    )
    yield (
        "The ends are where strips butt. No book at hand says how long a scarf is, nor what is left on for bending: "
        "add the shop’s own beyond both ends."
    )
    if not rim.gap_nm:
        yield "Joints closed: no book gives a number for how far they are left open, so ask for it."
    if not tongue_angles(makeup):
        yield f"{makeup.spokes} spokes don’t share out among {rim.pieces} strips: none are set off."
    else:
        yield f"Cross lines are the spokes’ middles: bore for tongues when it is bent. No {words['felloe']} is sawn."
