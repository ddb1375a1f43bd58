"""The groups of the page of sizes: wheel, hub, spokes, rim, box, weights; and in words how each is reckoned."""

from collections.abc import Iterator

from jobs.cutting_list.allowances import usual
from jobs.makeup.mortises import Fit
from jobs.measures import format_length
from jobs.sizes.box import Taper
from jobs.sizes.hub import Mortises, Wedges
from jobs.sizes.rim import Felloe, Strip
from jobs.sizes.shown import taper_shown
from jobs.sizes.spokes import SpokeLengths
from jobs.sizes.woods import BASIS_IN_WORDS, MOISTURE_PERCENT, SOURCE
from shop.sizes_rows import NOT_TOLD, Sheet, SizeGroup, SizeRow

RICHARDSON = "Richardson, Practical Carriage Building, volume 1, 1891"
WANTS_BOX = "wants the box’s outside measures"


def wheel_group(sheet: Sheet) -> SizeGroup:
    made, wheel = sheet.makeup, sheet.sizes.wheel
    rows = [
        sheet.length(
            "Diameter over the wood", made.wood_diameter_nm, "The height, less the tyre where it lies over it."
        ),
        sheet.length("Radius over the wood", made.wood_radius_nm),
        sheet.length("Height over all", made.tyre_diameter_nm),
        sheet.length("Round the sole", wheel.sole_round_nm, "π × the diameter over the wood."),
        sheet.angle("From spoke to spoke", wheel.index_angle, "360° ÷ the number of spokes."),
        *_spacing(sheet),
        SizeRow(
            "Fewest spokes for it",
            str(wheel.fewest_spokes),
            how="The smallest even number that stand no more than 16 in apart along the sole (Felton, Treatise on "
            "Carriages, 1794).",
        ),
        SizeRow(
            "By its tread", _tread(wheel.is_broad), how="Over 4 in broad, under it narrow (1066.co.nz, Mosaic, WAGON)."
        ),
        sheet.length("Dish", made.dish_nm),
        sheet.angle(
            "Lean of the spokes",
            wheel.cone.lean,
            "From the plane square to the axle: its tangent is the dish ÷ the way from the hub’s surface to the inside "
            "of the rim.",
        ),
        *_cone(sheet),
    ]
    return SizeGroup("Wheel", tuple(rows))


def _tread(is_broad: bool | None) -> str:
    if is_broad is None:
        return "between broad and narrow"
    return "broad" if is_broad else "narrow"


def _spacing(sheet: Sheet) -> Iterator[SizeRow]:
    wheel = sheet.sizes.wheel
    how = "Along: π × diameter ÷ spokes. Straight: diameter × sin(180° ÷ spokes)."
    yield sheet.length("Spokes apart, along the sole", wheel.at_sole.arc_nm, how)
    yield sheet.length("Spokes apart, straight at the sole", wheel.at_sole.chord_nm)
    yield sheet.length("Spokes apart, along the belly", wheel.at_rim_inside.arc_nm)
    yield sheet.length("Spokes apart, straight at the belly", wheel.at_rim_inside.chord_nm)


def _cone(sheet: Sheet) -> Iterator[SizeRow]:
    cone = sheet.sizes.wheel.cone
    if cone.developed_radius_nm is None:
        return
    yield sheet.length(
        "Edges of a coned sole differ by",
        cone.edges_differ_nm,
        "2π × the tread × sin(lean): only where the sole is dressed square to the spokes, so that the tyre is part of "
        "a cone (Encyclopaedia Britannica, 9th edition, GUNNERY).",
    )
    yield sheet.length(
        "Its bar lies flat on a radius of", cone.developed_radius_nm, "The radius over the wood ÷ sin(lean)."
    )


def hub_group(sheet: Sheet) -> SizeGroup:
    hub = sheet.words["hub"]
    at_hub = sheet.sizes.wheel.at_hub
    rows = [
        sheet.length(
            f"Spokes apart, along the {hub}",
            at_hub.arc_nm,
            f"On the {hub}’s diameter. Along: π × diameter ÷ spokes. Straight: diameter × sin(180° ÷ spokes).",
        ),
        sheet.length(f"Spokes apart, straight at the {hub}", at_hub.chord_nm),
    ]
    if sheet.sizes.mortises:
        rows += [*_mortises(sheet, sheet.sizes.mortises), *_depth(sheet, sheet.sizes.mortises)]
        return SizeGroup(f"{hub.capitalize()} and mortises", tuple(rows))
    if sheet.sizes.wedges:
        rows += _wedges(sheet, sheet.sizes.wedges)
    return SizeGroup(hub.capitalize(), tuple(rows))


def _mortises(sheet: Sheet, mortises: Mortises) -> Iterator[SizeRow]:
    hub, fit = sheet.words["hub"], _fit(mortises.fit)
    yield sheet.length(
        f"Mortise along the {hub}{_by_rule(is_rule=mortises.length_by_rule)}",
        mortises.length_nm,
        f"As told, else from the spoke’s width by the fit of the tenon, {fit}, with the whole spoke as its tenon.",
    )
    yield sheet.length(
        f"Mortise round the {hub}{_by_rule(is_rule=mortises.width_by_rule)}",
        mortises.width_nm,
        "As told, else from the spoke’s thickness, the same.",
    )
    yield sheet.two(
        f"Tenon, {mortises.fit.name}",
        mortises.tenon_width_nm,
        mortises.tenon_thickness_nm,
        f"Width × thickness, {fit}.",
    )
    if mortises.stagger_nm:
        yield SizeRow(
            "Rows",
            f"{mortises.front_row} in front, {mortises.back_row} behind",
            how=f"Alternate spokes stand back by the stagger ({RICHARDSON}, Wagon Wheels, part 3: about 1/2 in).",
        )
        yield sheet.length("Rows apart, the stagger", mortises.stagger_nm)
        yield sheet.length(
            "Neighbours’ middles apart, slantwise",
            mortises.neighbours_nm,
            "√(straight distance² + stagger²), to step out along both rows with dividers.",
        )
    yield sheet.length(
        "Box’s middle behind the mortises’ front",
        mortises.box_behind_front_nm,
        f"Half the tread ({RICHARDSON}, Making a Wagon Run Well).",
    )


def _fit(fit: Fit) -> str:
    """The rule in words, with its source."""
    if not fit.along_nm:
        return f"as large as its mortise ({fit.source})"
    return f"1/8 in wider than the mortise is long and 1/32 in thicker than it is wide ({fit.source})"


def _by_rule(*, is_rule: bool) -> str:
    return ", by the rule" if is_rule else ""


def _depth(sheet: Sheet, mortises: Mortises) -> Iterator[SizeRow]:
    hub = sheet.words["hub"]
    yield sheet.length(
        "Depth to the tenon’s end",
        mortises.depth_nm,
        f"The {hub}’s radius, less the box’s where the mortises stand over it, less 1/4 in of clearance ({RICHARDSON}, "
        "Wagon Wheels). The box’s large end is taken to be at the back.",
        wants=WANTS_BOX,
    )
    yield _wood(sheet, f"Wood between mortises at the {hub}’s surface", mortises.wood_at_surface_nm, _WOOD_BETWEEN)
    yield _wood(sheet, "Wood between mortises at the tenons’ ends", mortises.wood_at_foot_nm)
    yield sheet.length(
        "Mortises would meet, from the middle",
        mortises.meeting_radius_nm,
        "Width ÷ (2 × sin(180° ÷ spokes)); where the stagger keeps two rows apart, between neighbours in one row.",
    )


def _wood(sheet: Sheet, label: str, nm: float | None, how: str = "") -> SizeRow:
    if nm == 0:
        return SizeRow(label, "none", "they have met", how)
    return sheet.length(label, nm, how, wants=WANTS_BOX)


_WOOD_BETWEEN = (
    "Straight across, at a radius r: 2 r sin(180° ÷ spokes − asin(width ÷ 2 r)), with sides that run parallel to the "
    "spoke’s middle."
)


def _wedges(sheet: Sheet, wedges: Wedges) -> Iterator[SizeRow]:
    how = "Feet that meet side by side: 2 r tan(180° ÷ spokes) at a radius r; plain geometry."
    yield sheet.length(f"Foot’s thickness on the {sheet.words['hub']}’s diameter", wedges.at_surface_nm, how)
    yield sheet.length("Foot’s thickness at the box", wedges.at_box_nm, wants=WANTS_BOX)


def spoke_groups(sheet: Sheet) -> list[SizeGroup]:
    """One group, or one to each row where spokes are staggered."""
    groups = []
    for place, row in enumerate(sheet.sizes.spokes):
        heading = f"Spokes, {row.row} row" if len(sheet.sizes.spokes) > 1 else "Spokes"
        rows = [SizeRow("How many", str(row.count)), *_lengths(sheet, row)]
        if place == 0:
            rows += _sections(sheet)
        groups.append(SizeGroup(heading, tuple(rows)))
    return groups


def _lengths(sheet: Sheet, row: SpokeLengths) -> Iterator[SizeRow]:
    if row.row != "all":
        yield sheet.length(
            "Dish of this row", row.dish_nm, f"Half the stagger less or more ({RICHARDSON}, Farm Wagon Wheels)."
        )
    yield sheet.length(
        f"Foot, in the {sheet.words['hub']}",
        row.foot_nm,
        "The depth to its end, along the spoke.",
        wants=WANTS_BOX,
    )
    yield sheet.length(
        f"Body, {sheet.words['hub']} to rim",
        row.body_nm,
        f"Along the cone: √((radius inside the rim − {sheet.words['hub']}’s radius)² + dish²).",
    )
    yield sheet.length(
        "Tongue",
        row.tongue_nm,
        f"The rim’s depth less 1/16 in, along the spoke: it stops short of the sole ({RICHARDSON}, Wagon Wheels).",
    )
    yield sheet.length("Overall", row.overall_nm, wants=WANTS_BOX)
    allowance = format_length(sheet.blank_over_nm, unit=sheet.unit)
    yield sheet.length(
        f"Blank, with {allowance} to spare",
        row.blank_nm,
        "To saw and dress both ends, as the shop has set it; a new shop begins with "
        f"{format_length(usual(sheet.unit).spoke_length_nm, unit=sheet.unit)}, common practice, no source.",
        wants=WANTS_BOX,
    )


def _sections(sheet: Sheet) -> Iterator[SizeRow]:
    made = sheet.makeup
    yield sheet.two("Section, width × thickness", made.spoke_width_nm, made.spoke_thickness_nm)
    yield sheet.length(
        "At the point, by the rim",
        sheet.sizes.point_nm,
        f"The tread less 1/8 in ({RICHARDSON}, Wagon Wheels: 1 3/8 in for a tyre of 1 1/2 in).",
    )
    yield sheet.length(
        "Tongue, diameter",
        sheet.sizes.tongue_diameter_nm,
        f"A third of the tread and 1/8 in ({RICHARDSON}, Points for Wheelwrights). No book at hand tells a square one.",
        wants="square: no rule in print",
    )


def rim_group(sheet: Sheet) -> SizeGroup:
    rim, words = sheet.sizes.rim, sheet.words
    pieces = f"{rim.pieces} {words['felloe' if rim.pieces == 1 else 'felloes']}" if rim.felloe else f"{rim.pieces} bent"
    rows = [
        SizeRow("Pieces, and as many joints", pieces),
        sheet.length("Outer radius, the sole", rim.outer_radius_nm),
        sheet.length("Inner radius, the belly", rim.inner_radius_nm, "The outer radius less the rim’s depth."),
    ]
    if rim.felloe:
        rows += _felloe(sheet, rim.felloe)
    if rim.strip:
        rows += _strip(sheet, rim.strip)
    rows.append(
        sheet.length(
            "All joints together left open",
            rim.gaps_nm,
            f"Joints are left slightly open outside for the {words['tyre']} to close ({RICHARDSON}); no book at hand "
            "says how far, so it is only reckoned where it is told.",
        )
    )
    if rim.bolts:
        how = f"Rim’s depth and the {words['tyre']}’s thickness: what a bolt goes through, without its head and nut."
        rows += [SizeRow("Bolts", str(rim.bolts)), sheet.length("Bolts go through", rim.bolt_grip_nm, how)]
    return SizeGroup("Rim", tuple(rows))


def _felloe(sheet: Sheet, felloe: Felloe) -> Iterator[SizeRow]:
    name = sheet.words["felloe"].capitalize()
    yield sheet.length(
        f"{name} along the sole", felloe.arc_nm, "Its share of the round of the sole, less an open joint."
    )
    yield sheet.length("Chord of the sole", felloe.chord_nm, "2 R sin(180° ÷ pieces).")
    yield sheet.length("Rise of the sole over its chord", felloe.rise_nm, "R (1 − cos(180° ÷ pieces)).")
    yield sheet.length("Chord of the belly", felloe.inner_chord_nm)
    yield sheet.length("Rise of the belly over its chord", felloe.inner_rise_nm)
    yield sheet.two(
        "Plank it wants, width × length",
        felloe.plank_width_nm,
        felloe.plank_length_nm,
        "Width R − (R − depth) × cos(180° ÷ pieces), length the chord of the sole; nothing is allowed for the saw, and "
        "none are stacked in one another.",
    )
    yield SizeRow(f"{name}’s share of that plank", f"{felloe.share_of_plank:.0%}")
    yield sheet.two("Pattern struck to a radius of", *felloe.pattern_radii_nm, _PATTERN, between=" to ")


_PATTERN = (
    f"A circle 3/4 to 1 in larger than the wheel ({RICHARDSON}, Putting Rims on Wagon Wheels). It does not say whether "
    "across or from the middle; taken as across."
)


def _strip(sheet: Sheet, strip: Strip) -> Iterator[SizeRow]:
    how = (
        "Its share of the round half-way in the depth, which is taken to keep its length as the strip is bent; ends "
        "and trimming are left out."
    )
    yield sheet.length("Strip, on its neutral line", strip.neutral_nm, how)
    yield sheet.length("Strip, along the belly when bent", strip.inside_nm)
    yield sheet.length("Strip, along the sole when bent", strip.outside_nm)


def box_group(sheet: Sheet) -> SizeGroup:
    box, made = sheet.sizes.box, sheet.makeup
    if made.box == "none":
        return SizeGroup("Box and bore", (SizeRow("Box", "none"),))
    if not any((made.box_large_nm, made.box_small_nm, made.box_length_nm, made.bore_large_nm, made.bore_small_nm)):
        return SizeGroup("Box and bore", (SizeRow("Box", NOT_TOLD, "wants its measures, under Fit and setting-out"),))
    rows = [
        *_taper(sheet, "Box outside", box.outside, "wants both ends and the length"),
        *_taper(sheet, "Bore", box.bore, "wants both ends and the box’s length"),
        sheet.length("Wall at the large end", box.wall_large_nm, "Half of what the box is wider than its bore."),
        sheet.length("Wall at the small end", box.wall_small_nm),
    ]
    return SizeGroup("Box and bore", tuple(rows))


def _taper(sheet: Sheet, name: str, taper: Taper | None, wants: str) -> Iterator[SizeRow]:
    if taper is None:
        yield SizeRow(f"{name}, taper", NOT_TOLD, wants)
        return
    how = "What the diameter loses ÷ the length; the angle is half of that against the axle."
    yield SizeRow(f"{name}, taper", taper_shown(taper.on_diameter, unit=sheet.unit), how=how)
    yield sheet.angle(f"{name}, from the axle", taper.half_angle)


def mass_group(sheet: Sheet) -> SizeGroup:
    masses, words = sheet.sizes.masses, sheet.words
    hub, tyre = words["hub"].capitalize(), words["tyre"]
    iron = "7850 kg/m³ (EN 1993-1-1); cast iron is a little lighter."
    rows = [
        sheet.part(
            hub, masses.hub, "A cylinder, less the box’s hole where it is told; feet in it are counted with it."
        ),
        sheet.part("Spokes", masses.spokes, "Their whole section over their body: dressed ones are lighter."),
        sheet.part("Rim", masses.rim, "A whole ring; tongues in it are counted with it."),
        sheet.weight("Wood together", masses.wood_kg, _densities(sheet)),
        sheet.part("Bands", masses.bands, f"Hoops on their seats, or on the {words['hub']}’s diameter: {iron}"),
        sheet.part("Box", masses.box, "Its outside less its bore, as two cones, by the same density."),
        sheet.weight("Iron together", masses.iron_kg),
        sheet.weight(f"Wheel without {tyre}", masses.without_tyre_kg),
        sheet.part(tyre.capitalize(), masses.tyre, f"A hoop round the wood, without its draw and weld: {iron}"),
        sheet.weight("Whole wheel, about", masses.whole_kg, "Bolts, nails, glue and paint are left out."),
    ]
    return SizeGroup("Weights", tuple(rows), note="Estimates: timber differs from tree to tree by a tenth and more.")


def _densities(sheet: Sheet) -> str:
    masses = sheet.sizes.masses
    woods = {mass.wood.name: mass.wood for mass in (masses.hub, masses.spokes, masses.rim) if mass.wood}
    each = "; ".join(
        f"{wood.name} {wood.density:.0f} kg/m³ from {wood.gravity_hundredths / 100:.2f}" for wood in woods.values()
    )
    if not woods:
        return ""
    basis = ", ".join(sorted({BASIS_IN_WORDS[wood.basis] for wood in woods.values()}))
    return (
        f"At {MOISTURE_PERCENT} % moisture 1000 × specific gravity × 1.{MOISTURE_PERCENT}: {each}; {basis} ({SOURCE}). "
        "Another species by the same name weighs otherwise."
    )
