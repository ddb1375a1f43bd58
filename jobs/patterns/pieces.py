"""Patterns of single pieces, full size: a felloe in its plank, the index plate, mortise and tenon, a bolted foot."""

import math
from collections.abc import Iterator, Mapping

from jobs.makeup import MakeUp
from jobs.makeup.mortises import box_radius_nm
from jobs.measures import NM_PER_INCH, Unit
from jobs.patterns.drawing import (
    Arc,
    Circle,
    Drawing,
    Line,
    Shape,
    Text,
    measure,
    millimetres,
    on_circle,
    outline,
    rectangle,
)
from jobs.patterns.wheel import beside
from jobs.sizes import Sizes, index_plate
from jobs.sizes.hub import Mortises, Wedges
from jobs.sizes.rim import Felloe, RimSizes

# Common practice, no source.
PEG = millimetres(NM_PER_INCH // 4)
PLATE_EDGE = millimetres(NM_PER_INCH)
BETWEEN, CAPTION = 40.0, 8.0


def felloe(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> Drawing | None:
    """A sawn felloe in its plank, the sole upwards, the wheel's middle below; None for bent rims and for one piece."""
    sawn = sizes.rim.felloe
    if sawn is None or makeup.felloes < 2:
        return None
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


def plate(makeup: MakeUp, *, circle_nm: float, words: Mapping[str, str], unit: Unit) -> Drawing:
    """A plate with a hole to each spoke on a pitch circle of that diameter, the first at the top, then clockwise."""
    holes = index_plate(makeup.spokes, circle_nm)
    radius = millimetres(circle_nm / 2)
    places = [(millimetres(hole.x_nm), millimetres(hole.y_nm)) for hole in holes.holes]
    shapes: list[Shape] = [Circle("centre", (0, 0), radius), Circle("cut", (0, 0), radius + PLATE_EDGE)]
    cross = min(10.0, radius / 2)
    shapes += [Line("centre", (-cross, 0), (cross, 0)), Line("centre", (0, -cross), (0, cross))]
    shapes += [Circle("holes", place, PEG / 2) for place in places]
    shapes += [
        Text("text", on_circle(radius + PLATE_EDGE / 2, 90 - math.degrees(hole.angle)), str(hole.number))
        for hole in holes.holes
    ]
    shapes.append(measure("From hole to hole, straight", places[0], places[1], level=-1, unit=unit))
    check = f"Check: from hole 1 to hole {holes.across + 1}"
    shapes.append(measure(check, places[0], places[holes.across], level=0, unit=unit))
    edge = radius + PLATE_EDGE
    shapes.append(measure("Pitch circle", (-radius, -edge), (radius, -edge), level=-1, unit=unit))
    notes = (f"To turn the {words['hub']} by. Holes of 1/4 in and an edge of 1 in: common practice, no source.",)
    return Drawing("index-plate", "Index plate", tuple(shapes), notes)


def mortise_and_tenon(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> Drawing | None:
    """What goes into a wooden hub; a bolted one's foot; None where the rule leaves no tenon, or the box is not told."""
    if sizes.mortises is None:
        return _foot(makeup, sizes.wedges, words=words, unit=unit)
    if not (sizes.mortises.length_nm and sizes.mortises.width_nm):
        return None
    return Drawing("mortise-and-tenon", "Mortise and tenon", *_joint(sizes, sizes.mortises, words=words, unit=unit))


def _joint(
    sizes: Sizes, joint: Mortises, *, words: Mapping[str, str], unit: Unit
) -> tuple[tuple[Shape, ...], tuple[str, ...]]:
    """From the left: the mortise as it is seen on the hub, the tenon's end, and its side."""
    long, wide = millimetres(joint.length_nm), millimetres(joint.width_nm)
    tenon_wide, thick = millimetres(joint.tenon_width_nm), millimetres(joint.tenon_thickness_nm)
    shapes: list[Shape] = [*rectangle("cut", 0, 0, wide, long)]
    shapes.append(measure(f"Mortise along the {words['hub']}", (0, 0), (0, long), level=1, unit=unit))
    shapes.append(measure(f"Mortise round the {words['hub']}", (0, 0), (wide, 0), level=-1, unit=unit))
    left = wide + BETWEEN
    shapes += rectangle("cut", left, 0, left + thick, tenon_wide)
    shapes.append(measure("Tenon, thick", (left, 0), (left + thick, 0), level=-1, unit=unit))
    left += thick + BETWEEN
    over = max(long, tenon_wide) + CAPTION
    shapes += [Text("text", (wide / 2, over), "Mortise"), Text("text", (left - BETWEEN - thick / 2, over), "Tenon")]
    notes = [f"Tenon {joint.fit.name} ({joint.fit.source})."]
    by_rule = [side for side, is_so in (("length", joint.length_by_rule), ("width", joint.width_by_rule)) if is_so]
    if by_rule:
        notes.append(f"The mortise’s {' and '.join(by_rule)} by the same fit from the spoke: not told.")
    foot = sizes.spokes[0].foot_nm
    if foot:
        end = left + millimetres(foot)
        shapes.append(Text("text", ((left + end) / 2, over), "Foot"))
        shapes += rectangle("cut", left, 0, end, tenon_wide)
        row = "" if sizes.spokes[0].row == "all" else f", {sizes.spokes[0].row} row"
        shapes.append(measure(f"Foot, long{row}", (left, 0), (end, 0), level=-1, unit=unit))
        shapes.append(measure("Tenon, wide", (end, 0), (end, tenon_wide), level=-1, unit=unit))
        notes.append("The foot ends 1/4 in clear of the box (the same book). Its end and shoulder are drawn square.")
    else:
        shapes.append(measure("Tenon, wide", (left - BETWEEN, 0), (left - BETWEEN, tenon_wide), level=-1, unit=unit))
        notes.append("The foot’s length wants the box’s outside measures.")
    return tuple(shapes), tuple(notes)


def _foot(makeup: MakeUp, wedges: Wedges | None, *, words: Mapping[str, str], unit: Unit) -> Drawing | None:
    box = box_radius_nm(makeup)
    if wedges is None or wedges.at_box_nm is None or box is None or 2 * box >= makeup.hub_diameter_nm:
        return None
    top, low = millimetres(wedges.at_surface_nm / 2), millimetres(wedges.at_box_nm / 2)
    high = millimetres(makeup.hub_diameter_nm / 2 - box)
    shapes: tuple[Shape, ...] = (
        *outline("cut", (-low, 0), (low, 0), (top, high), (-top, high)),
        Line("centre", (0, 0), (0, high)),
        measure(f"Foot on the {words['hub']}’s diameter", (-top, high), (top, high), level=1, unit=unit),
        measure("Foot at the box", (-low, 0), (low, 0), level=-1, unit=unit),
        measure("Foot, long", (top, 0), (top, high), level=-1, unit=unit),
    )
    return Drawing("foot", "Foot of a spoke", shapes, ("Feet meet side by side and rest on the box.",))
