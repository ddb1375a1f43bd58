"""What is wrong with a make-up, in words of the trade: what cannot be made, what is worth a second look."""

import math
from collections.abc import Iterator, Mapping

from jobs.makeup.fit import fit
from jobs.makeup.makeup import (
    BOXES,
    FASTENINGS,
    HEIGHTS_OVER,
    HUBS,
    RIMS,
    TONGUES,
    TYRES,
    MakeUp,
    usual_felloes,
)
from jobs.makeup.problem import PLAIN_WORDS, Look, Problem, refuse, warn
from jobs.measures import NM_PER_INCH, NM_PER_MM, Unit

LEAST_HEIGHT_NM = 150 * NM_PER_MM
GREATEST_HEIGHT_NM = 3000 * NM_PER_MM
LEAST_SPOKES, MOST_SPOKES = 4, 40
MOST_BANDS = 6
MOST_COATS = 12

# Warned of outside these. Spokes are usual from 8 to 18 by common practice, no source; print has 10 to 14 on
# farm wagons (1066.co.nz Mosaic, WAGON) and 12 to 16 on carriages (Hints to Horse-Keepers, 1859).
FEWEST_USUAL_SPOKES, MOST_USUAL_SPOKES = 8, 18
# Burgess, Practical Treatise on Coach-Building, 1881: the smallest fore wheel of a four-wheeled carriage.
SMALLEST_PUBLISHED_NM = 24 * NM_PER_INCH
# Nicholson's British Encyclopedia, WHEEL, about 1809: a sling cart.
LARGEST_PUBLISHED_NM = 68 * NM_PER_INCH
# Felton, Treatise on Carriages, 1794: the furthest apart that spokes may stand on the felloes.
WIDEST_SPACING_NM = 16 * NM_PER_INCH
# Cyclopaedia of Useful Arts, WHEELS OF CARRIAGES: the most that spokes lean, of the sources at hand.
GREATEST_PUBLISHED_DISH_NM = 3 * NM_PER_INCH


def problems(
    makeup: MakeUp, *, new_work: bool, words: Mapping[str, str] = PLAIN_WORDS, unit: Unit = "mm"
) -> list[Problem]:
    """All that is wrong, by field, refusals and warnings together.

    `new_work` is False for a repair: old wheels come with odd spokes and are only warned of.
    """
    look = Look(makeup, words, unit, new_work)
    found = [*_choices(look), *_sizes(look), *_spokes(look), *_felloes(look), *_bands(look), *_coats(look)]
    if any(problem.refuse for problem in found):
        # How the parts fit together says nothing more while a part has no possible size.
        return found
    return [*found, *_hub(look), *_rim(look), *_tyre(look), *_dish(look), *_published(look), *fit(look)]


def _choices(look: Look) -> Iterator[Problem]:
    allowed: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("height_over", HEIGHTS_OVER),
        ("rim", RIMS),
        ("hub", HUBS),
        ("tongue", TONGUES),
        ("tyre", TYRES),
        ("fastening", FASTENINGS),
        ("box", BOXES),
    )
    for field, values in allowed:
        value = getattr(look.makeup, field)
        if value not in values:
            name = field.replace("_", " ")
            yield refuse(field, f"“{value}” is no kind of {name}: choose one of {', '.join(values)}.")


def _sizes(look: Look) -> Iterator[Problem]:
    makeup, words = look.makeup, look.words
    if not LEAST_HEIGHT_NM <= makeup.height_nm <= GREATEST_HEIGHT_NM:
        low, high = look.length(LEAST_HEIGHT_NM), look.length(GREATEST_HEIGHT_NM)
        yield refuse("height_nm", f"The height must be from {low} to {high}.")
    sizes = {
        "hub_diameter_nm": f"the {words['hub']}'s diameter",
        "hub_length_nm": f"the {words['hub']}'s length",
        "spoke_width_nm": "the spokes' width",
        "spoke_thickness_nm": "the spokes' thickness",
        "felloe_depth_nm": f"the {words['felloes']}' depth",
        "felloe_width_nm": f"the {words['felloes']}' width",
    }
    if makeup.tyre != "none":
        sizes |= {
            "tyre_width_nm": f"the {words['tyre']}'s width",
            "tyre_thickness_nm": f"the {words['tyre']}'s thickness",
        }
    for field, name in sizes.items():
        if getattr(makeup, field) <= 0:
            yield refuse(field, f"{name[0].upper()}{name[1:]} must be more than nothing.")
    if makeup.tyre == "none" and (makeup.tyre_width_nm < 0 or makeup.tyre_thickness_nm < 0):
        yield refuse("tyre_width_nm", f"The {words['tyre']}'s measures cannot be less than nothing.")
    if makeup.dish_nm < 0:
        yield refuse("dish_nm", "The dish cannot be less than nothing: a straight wheel has 0.")


def _spokes(look: Look) -> Iterator[Problem]:
    count = look.makeup.spokes
    if not LEAST_SPOKES <= count <= MOST_SPOKES:
        yield refuse("spokes", f"A wheel has from {LEAST_SPOKES} to {MOST_SPOKES} spokes, and this says {count}.")
        return
    if count % 2 and look.makeup.rim == "sawn":
        odd = f"{count} spokes is odd, and each {look.words['felloe']} takes two"
        if look.new_work:
            yield refuse("spokes", f"{odd}: a new wheel with sawn {look.words['felloes']} needs an even number.")
        else:
            yield warn("spokes", f"{odd}: count them again on the old wheel.")
    if not FEWEST_USUAL_SPOKES <= count <= MOST_USUAL_SPOKES:
        yield warn(
            "spokes",
            f"{count} spokes is unusual: wheels in print have 10 to 14 (farm wagons) and 12 to 16 "
            "(carriages; Hints to Horse-Keepers, 1859).",
        )


def _felloes(look: Look) -> Iterator[Problem]:
    makeup, words = look.makeup, look.words
    usual = usual_felloes(makeup.spokes, makeup.rim)
    if not 1 <= makeup.felloes <= makeup.spokes:
        yield refuse(
            "felloes",
            f"{makeup.spokes} spokes cannot carry a rim of {makeup.felloes} {words['felloes']}: it takes at "
            f"least one, and at most one to a spoke; usual is {usual}.",
        )
    elif makeup.felloes != usual:
        why = "two bent halves" if makeup.rim == "bent" else "one to two spokes (Felton, 1794)"
        yield warn("felloes", f"{makeup.felloes} {words['felloes']} is unusual here: {usual} would be {why}.")


def _bands(look: Look) -> Iterator[Problem]:
    bands = look.makeup.bands
    if len(bands) > MOST_BANDS:
        yield refuse("bands", f"A {look.words['hub']} takes at most {MOST_BANDS} bands, and this says {len(bands)}.")
    for band in bands:
        name = f"the band “{band.name}”"
        if band.width_nm <= 0 or band.thickness_nm <= 0:
            yield refuse("bands", f"The width and thickness of {name} must be more than nothing.")
        if band.seat_nm is not None and band.seat_nm <= 0:
            yield refuse("bands", f"The seat of {name} must be more than nothing, or left empty until measured.")
    together = sum(band.width_nm for band in bands)
    if together > look.makeup.hub_length_nm > 0:
        yield refuse(
            "bands",
            f"The bands are {look.length(together)} wide together, and the {look.words['hub']} is only "
            f"{look.length(look.makeup.hub_length_nm)} long.",
        )


def _coats(look: Look) -> Iterator[Problem]:
    if not 0 <= look.makeup.coats <= MOST_COATS:
        yield refuse("coats", f"A finish has from 0 to {MOST_COATS} coats, and this says {look.makeup.coats}.")


def _hub(look: Look) -> Iterator[Problem]:
    makeup, hub = look.makeup, look.words["hub"]
    if makeup.hub_diameter_nm >= makeup.wood_diameter_nm:
        yield refuse(
            "hub_diameter_nm",
            f"The {hub} is {look.length(makeup.hub_diameter_nm)} through and the wheel only "
            f"{look.length(max(makeup.wood_diameter_nm, 0))} over the wood.",
        )
    around = math.pi * makeup.hub_diameter_nm
    side_by_side = makeup.spokes * makeup.spoke_thickness_nm
    if side_by_side >= around:
        yield refuse(
            "spoke_thickness_nm",
            f"{makeup.spokes} spokes are {look.length(side_by_side)} side by side, and the {hub} is only "
            f"{look.length(around)} round.",
        )
    if makeup.spoke_width_nm >= makeup.hub_length_nm:
        yield refuse("spoke_width_nm", f"The spokes are as wide as the {hub} is long: nothing is left at its ends.")
    for band in makeup.bands:
        if band.seat_nm is not None and band.seat_nm > makeup.hub_diameter_nm:
            yield warn(
                "bands",
                f"The seat of the band “{band.name}” is {look.length(band.seat_nm)}, larger than the {hub}.",
            )


def _rim(look: Look) -> Iterator[Problem]:
    makeup, words = look.makeup, look.words
    if makeup.hub_diameter_nm >= makeup.wood_diameter_nm:
        return
    if makeup.rim_inner_diameter_nm <= makeup.hub_diameter_nm:
        left = (makeup.wood_diameter_nm - makeup.hub_diameter_nm) / 2
        yield refuse(
            "felloe_depth_nm",
            f"No spoke is left: there is {look.length(left)} from the {words['hub']} to the sole, and the "
            f"{words['felloes']} are {look.length(makeup.felloe_depth_nm)} deep.",
        )
    spacing = math.pi * makeup.wood_diameter_nm / makeup.spokes
    if spacing > WIDEST_SPACING_NM:
        yield warn(
            "spokes",
            f"The spokes stand {look.length(spacing)} apart at the rim; the most should be "
            f"{look.length(WIDEST_SPACING_NM)} (Felton, Treatise on Carriages, 1794).",
        )


def _tyre(look: Look) -> Iterator[Problem]:
    makeup, words = look.makeup, look.words
    tyre = words["tyre"]
    if makeup.tyre == "none":
        if makeup.fastening == "bolted":
            yield warn("fastening", f"There is no {tyre} to bolt.")
        return
    if makeup.tyre_thickness_nm >= makeup.felloe_depth_nm:
        yield refuse(
            "tyre_thickness_nm",
            f"The {tyre} is {look.length(makeup.tyre_thickness_nm)} thick, and the rim it goes on only "
            f"{look.length(makeup.felloe_depth_nm)} deep.",
        )
    if makeup.tyre_width_nm != makeup.felloe_width_nm:
        yield warn(
            "tyre_width_nm",
            f"The {tyre} is {look.length(makeup.tyre_width_nm)} wide, and the sole of the rim "
            f"{look.length(makeup.felloe_width_nm)}.",
        )
    if makeup.tyre == "rubber" and makeup.fastening == "bolted":
        yield warn("fastening", f"The channel of a rubber {tyre} is shrunk on without bolts.")


def _dish(look: Look) -> Iterator[Problem]:
    dish, most = look.makeup.dish_nm, look.length(GREATEST_PUBLISHED_DISH_NM)
    if 4 * dish > look.makeup.height_nm:
        yield refuse("dish_nm", f"A dish of {look.length(dish)} is more than a quarter of the wheel's height.")
    elif dish > GREATEST_PUBLISHED_DISH_NM:
        yield warn(
            "dish_nm",
            f"A dish of {look.length(dish)} is over the {most} that is the most in print (Cyclopaedia of Useful Arts).",
        )


def _published(look: Look) -> Iterator[Problem]:
    height = look.makeup.height_nm
    if not SMALLEST_PUBLISHED_NM <= height <= LARGEST_PUBLISHED_NM:
        low, high = look.length(SMALLEST_PUBLISHED_NM), look.length(LARGEST_PUBLISHED_NM)
        yield warn(
            "height_nm",
            f"{look.length(height)} is outside the heights in print, {low} (coaches, Burgess, 1881) to "
            f"{high} (army wheels, Nicholson's British Encyclopedia, about 1809).",
        )
