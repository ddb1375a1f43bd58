"""What is wrong with the measures for setting out: stagger, mortises, box and draw."""

import math
from collections.abc import Iterator

from jobs.makeup.mortises import foot_radius_nm, meeting_radius_nm
from jobs.makeup.problem import Look, Problem, refuse, warn
from jobs.measures import NM_PER_INCH

# EN 1993-1-2, 3.4.1.1: a bar of steel is 1.78 % longer at 1200 °C than at 20 °C, where the table of the code ends.
MOST_STRETCH_TEN_THOUSANDTHS = 178
# Hasluck, Cassell's Cyclopaedia of Mechanics, Tyring Cart Wheels: the most, for large heavy wheels.
GREATEST_PUBLISHED_DRAW_NM = 5 * NM_PER_INCH // 4


def fit(look: Look) -> list[Problem]:
    """All that is wrong with what is told of the setting-out; what is not told is nowhere wrong."""
    sizes = [*_sizes(look)]
    if sizes:
        return sizes
    return [*_mortises(look), *_box(look), *_bore(look), *_draw(look)]


def _sizes(look: Look) -> Iterator[Problem]:
    if look.makeup.stagger_nm < 0:
        yield refuse("stagger_nm", "The stagger cannot be less than nothing: 0 where the spokes stand in one row.")
    names = {
        "mortise_length_nm": "mortises' length",
        "mortise_width_nm": "mortises' width",
        "box_large_nm": "box's large end",
        "box_small_nm": "box's small end",
        "box_length_nm": "box's length",
        "bore_large_nm": "bore's large end",
        "bore_small_nm": "bore's small end",
    }
    for field, name in names.items():
        value = getattr(look.makeup, field)
        if value is not None and value <= 0:
            yield refuse(field, f"The {name} must be more than nothing, or left empty until measured.")
    if look.makeup.draw_nm is not None and look.makeup.draw_nm < 0:
        yield refuse("draw_nm", "The draw cannot be less than nothing: leave it empty while it is not told.")


def _mortises(look: Look) -> Iterator[Problem]:
    made, hub = look.makeup, look.words["hub"]
    along = made.stagger_nm + (made.mortise_length_nm or 0)
    if along >= made.hub_length_nm:
        field = "mortise_length_nm" if made.mortise_length_nm else "stagger_nm"
        yield refuse(
            field,
            f"The mortises take {look.length(along)} of the {hub}'s length with their stagger, and it is only "
            f"{look.length(made.hub_length_nm)} long.",
        )
    if made.stagger_nm and made.spokes % 2:
        yield warn("stagger_nm", f"{made.spokes} spokes is odd, so two neighbours stand in the same row.")
    if made.hub == "bolted" and (made.mortise_length_nm or made.mortise_width_nm or made.stagger_nm):
        yield warn("hub", f"A bolted {hub} has no mortises, and some are measured here.")
    elif made.mortise_width_nm:
        yield from _neighbours(look)


def _neighbours(look: Look) -> Iterator[Problem]:
    """Mortises that run into each other, at the hub's surface or before the tenons' feet."""
    made, hub = look.makeup, look.words["hub"]
    meeting, foot = meeting_radius_nm(made), foot_radius_nm(made)
    wide = f"{made.spokes} mortises {look.length(made.mortise_width_nm or 0)} wide would meet"
    if 2 * meeting >= made.hub_diameter_nm:
        yield refuse("mortise_width_nm", f"{wide} at the {hub}'s surface, {look.length(made.hub_diameter_nm)} through.")
    elif foot is not None and meeting > foot:
        say = refuse if look.new_work else warn
        yield say(
            "mortise_width_nm",
            f"{wide} {look.length(meeting)} from the middle of the {hub}, and the tenons go down to "
            f"{look.length(foot)}: 1/4 in clear of the box (Richardson, Practical Carriage Building, 1891).",
        )


def _box(look: Look) -> Iterator[Problem]:
    made, hub = look.makeup, look.words["hub"]
    told = [made.box_large_nm, made.box_small_nm, made.box_length_nm, made.bore_large_nm, made.bore_small_nm]
    if made.box == "none" and any(told):
        yield warn("box", "The box is measured, but the make-up says there is none.")
    if made.box_large_nm and made.box_small_nm and made.box_small_nm > made.box_large_nm:
        yield refuse(
            "box_small_nm",
            f"The box's small end is {look.length(made.box_small_nm)}, larger than its large end of "
            f"{look.length(made.box_large_nm)}.",
        )
    for field in ("box_large_nm", "box_small_nm"):
        value = getattr(made, field)
        if value and value >= made.hub_diameter_nm:
            yield refuse(
                field,
                f"The box is {look.length(value)} through, and the {hub} that it goes into only "
                f"{look.length(made.hub_diameter_nm)}.",
            )
    foot = foot_radius_nm(made)
    is_inside = max(made.box_large_nm or 0, made.box_small_nm or 0) < made.hub_diameter_nm
    if foot is not None and is_inside and 2 * foot >= made.hub_diameter_nm:
        yield refuse(
            "box_large_nm" if made.box_large_nm else "box_small_nm",
            f"The box leaves the spokes no depth in a {hub} of {look.length(made.hub_diameter_nm)}: their feet end "
            f"{look.length(foot)} from its middle, 1/4 in clear of the box.",
        )
    if made.box_length_nm and made.box_length_nm > made.hub_length_nm:
        yield warn(
            "box_length_nm",
            f"The box is {look.length(made.box_length_nm)} long, longer than the {hub} of "
            f"{look.length(made.hub_length_nm)}.",
        )


def _bore(look: Look) -> Iterator[Problem]:
    made = look.makeup
    if made.bore_large_nm and made.bore_small_nm and made.bore_small_nm > made.bore_large_nm:
        yield refuse(
            "bore_small_nm",
            f"The bore's small end is {look.length(made.bore_small_nm)}, larger than its large end of "
            f"{look.length(made.bore_large_nm)}.",
        )
    for end in ("large", "small"):
        box, bore = getattr(made, f"box_{end}_nm"), getattr(made, f"bore_{end}_nm")
        if box and bore and bore >= box:
            yield refuse(
                f"bore_{end}_nm",
                f"The bore's {end} end is {look.length(bore)}, and the box outside it only {look.length(box)}.",
            )


def _draw(look: Look) -> Iterator[Problem]:
    made, tyre = look.makeup, look.words["tyre"]
    draw = made.draw_nm
    if not draw:
        return
    if made.tyre == "none":
        yield warn("draw_nm", f"There is no {tyre} to draw the wheel.")
    most = math.pi * made.wood_diameter_nm * MOST_STRETCH_TEN_THOUSANDTHS / 10_000
    if draw > most:
        yield refuse(
            "draw_nm",
            f"A draw of {look.length(draw)} is more than heat can open this {tyre}: {look.length(most)} at "
            "1200 °C (EN 1993-1-2). It is measured on the circumference.",
        )
    elif draw > GREATEST_PUBLISHED_DRAW_NM:
        yield warn(
            "draw_nm",
            f"A draw of {look.length(draw)} is over the {look.length(GREATEST_PUBLISHED_DRAW_NM)} that is the most in "
            "print, for large heavy wheels (Hasluck, Cassell’s Cyclopaedia of Mechanics).",
        )
