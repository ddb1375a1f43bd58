"""What the sizes of a make-up show that is worth a second look, beside what its own measures say."""

from collections.abc import Iterator

from jobs.makeup import MakeUp
from jobs.measures import Unit, format_length
from jobs.sizes import Sizes
from jobs.sizes.hub import Mortises


def concerns(makeup: MakeUp, sizes: Sizes, *, unit: Unit) -> list[str]:
    """Sentences, none of which forbids anything: where the published rules and this wheel don't go together."""
    found = list(_lean(sizes))
    if sizes.mortises:
        found += [*_tenon(makeup, sizes.mortises, unit), *_meeting(sizes.mortises, unit)]
    return found


def _length(nm: float, unit: Unit) -> str:
    return format_length(round(nm), unit=unit)


def _tenon(makeup: MakeUp, mortises: Mortises, unit: Unit) -> Iterator[str]:
    sides = (
        ("wide", mortises.length_nm, mortises.tenon_width_nm, makeup.spoke_width_nm),
        ("thick", mortises.width_nm, mortises.tenon_thickness_nm, makeup.spoke_thickness_nm),
    )
    for side, mortise, tenon, spoke in sides:
        if not mortise:
            left = f"The fit in print leaves nothing of a spoke {_length(spoke, unit)} {side}"
            yield f"{left}: tell the mortise ({mortises.fit.source})."
        elif tenon > spoke:
            yield (
                f"The mortise wants a tenon {_length(tenon, unit)} {side}, and the spoke is only "
                f"{_length(spoke, unit)} ({mortises.fit.source})."
            )


def _meeting(mortises: Mortises, unit: Unit) -> Iterator[str]:
    """Of mortises whose width is told the make-up itself says so."""
    if not mortises.width_by_rule:
        return
    meet = f"Mortises as wide as the whole spoke would meet {_length(mortises.meeting_radius_nm, unit)} from the middle"
    if mortises.wood_at_surface_nm == 0:
        yield f"{meet}, which is outside: tell how wide they are."
    elif mortises.wood_at_foot_nm == 0 and mortises.foot_radius_nm is not None:
        foot = _length(mortises.foot_radius_nm, unit)
        yield f"{meet}, and their tenons end at {foot}: spokes are thinned to their tenons, so tell how wide they are."


def _lean(sizes: Sizes) -> Iterator[str]:
    for row in sizes.spokes:
        if row.dish_nm < 0:
            yield f"The {row.row} row leans back, since the dish is less than half the stagger."
