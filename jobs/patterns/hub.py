"""Patterns of the hub, full size: the index plate that turns it, mortise and tenon, the foot in a bolted one."""

import math
from collections.abc import Mapping

from jobs.makeup import MakeUp
from jobs.makeup.mortises import box_radius_nm
from jobs.measures import NM_PER_INCH, Unit
from jobs.patterns.drawing import (
    Absent,
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
from jobs.sizes import Sizes, index_plate
from jobs.sizes.hub import Mortises, Wedges

# Common practice, no source.
PEG = millimetres(NM_PER_INCH // 4)
PLATE_EDGE = millimetres(NM_PER_INCH)
# Between the views of a joint there is room for two rows of letters on a phone: a share of the largest, or so much.
LEAST_BETWEEN, SHARE_BETWEEN = 40.0, 0.55


def plate(makeup: MakeUp, *, circle_nm: float | None, words: Mapping[str, str], unit: Unit) -> Drawing | Absent:
    """A plate with a hole to each spoke on a pitch circle of that diameter, the first at the top, then clockwise."""
    if not circle_nm:
        why = (
            f"A plate with {makeup.spokes} holes to turn the {words['hub']} by is drawn once its pitch circle is told."
        )
        return Absent("index-plate", "Index plate", why)
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


def joint_in_hub(makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit) -> Drawing | Absent:
    """What goes into a wooden hub; a bolted one's foot."""
    if sizes.mortises is None:
        return _foot(makeup, sizes.wedges, words=words, unit=unit)
    if sizes.mortises.length_nm and sizes.mortises.width_nm:
        return _joint(sizes, sizes.mortises, words=words, unit=unit)
    why = (
        f"The fit “{sizes.mortises.fit.name}” takes more off than there is of the spoke: write the mortise’s length "
        "and width into the make-up, or choose another fit."
    )
    return Absent("mortise-and-tenon", "Mortise and tenon", why)


def _joint(sizes: Sizes, joint: Mortises, *, words: Mapping[str, str], unit: Unit) -> Drawing:
    """From the left: the mortise as it is seen on the hub, the tenon's end, and its side."""
    long, wide = millimetres(joint.length_nm), millimetres(joint.width_nm)
    tenon_wide, thick = millimetres(joint.tenon_width_nm), millimetres(joint.tenon_thickness_nm)
    row = sizes.spokes[0]
    foot = millimetres(row.foot_nm or 0)
    between = max(LEAST_BETWEEN, SHARE_BETWEEN * max(foot, tenon_wide))
    low, high, over = -tenon_wide / 2, tenon_wide / 2, max(long, tenon_wide) / 2 + between / 5
    shapes: list[Shape] = [*rectangle("cut", 0, -long / 2, wide, long / 2), Text("text", (wide / 2, over), "Mortise")]
    shapes.append(measure(f"Mortise along the {words['hub']}", (0, -long / 2), (0, long / 2), level=1, unit=unit))
    shapes.append(measure(f"Mortise round the {words['hub']}", (0, -long / 2), (wide, -long / 2), level=-1, unit=unit))
    left = wide + between
    shapes += [*rectangle("cut", left, low, left + thick, high), Text("text", (left + thick / 2, over), "Tenon")]
    # One row lower than its neighbours': on a phone three would touch.
    shapes.append(measure("Tenon, thick", (left, low), (left + thick, low), level=-2.2, unit=unit))
    left += thick
    shapes.append(measure("Tenon, wide", (left, low), (left, high), level=-1, unit=unit))
    notes = [f"Tenon {joint.fit.name} ({joint.fit.source})."]
    by_rule = [side for side, is_so in (("length", joint.length_by_rule), ("width", joint.width_by_rule)) if is_so]
    if by_rule:
        notes.append(f"The mortise’s {' and '.join(by_rule)} by the same fit from the spoke: not told.")
    if foot:
        left, end = left + between, left + between + foot
        shapes += [*rectangle("cut", left, low, end, high), Text("text", ((left + end) / 2, over), "Foot")]
        name = "Foot, long" if row.row == "all" else f"Foot, long, {row.row} row"
        shapes.append(measure(name, (left, low), (end, low), level=-1, unit=unit))
        notes.append("The foot ends 1/4 in clear of the box (the same book). Its end and shoulder are drawn square.")
    else:
        notes.append("The foot’s length wants the box’s outside measures.")
    return Drawing("mortise-and-tenon", "Mortise and tenon", tuple(shapes), tuple(notes))


def _foot(makeup: MakeUp, wedges: Wedges | None, *, words: Mapping[str, str], unit: Unit) -> Drawing | Absent:
    hub, box = words["hub"], box_radius_nm(makeup)
    if wedges is None or wedges.at_box_nm is None or box is None:
        why = f"Feet in a bolted {hub} rest on the box, and its outside diameters are not told."
        return Absent("foot", "Foot of a spoke", why)
    if 2 * box >= makeup.hub_diameter_nm:
        return Absent("foot", "Foot of a spoke", f"The box is as large as the {hub}, so that no foot is left.")
    top, low = millimetres(wedges.at_surface_nm / 2), millimetres(wedges.at_box_nm / 2)
    high = millimetres(makeup.hub_diameter_nm / 2 - box)
    shapes: tuple[Shape, ...] = (
        *outline("cut", (-low, 0), (low, 0), (top, high), (-top, high)),
        Line("centre", (0, 0), (0, high)),
        measure(f"Foot on the {hub}’s diameter", (-top, high), (top, high), level=1, unit=unit),
        measure("Foot at the box", (-low, 0), (low, 0), level=-1, unit=unit),
        measure("Foot, long", (top, 0), (top, high), level=-1, unit=unit),
    )
    return Drawing("foot", "Foot of a spoke", shapes, ("Feet meet side by side and rest on the box.",))
