"""What the timber page says: a piece in the air of its use, boards and logs by measure, and the species it knows."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from jobs.measures import NM_PER_INCH, NM_PER_MM, Unit
from jobs.timber import (
    SPECIES,
    Board,
    Change,
    Grain,
    Limit,
    Species,
    Verdict,
    board_feet,
    cubic_metres,
    export_tally,
    graded_board_feet,
    hoppus_feet,
    hoppus_to_m3,
    hoppus_tons,
    hub_change,
    judge,
    limit_given,
    limit_of_air,
    run_change_nm,
    section_change,
    species_density_kg_m3,
    species_of,
    surface_measure,
)
from jobs.timber.weight import POUNDS_PER_CUBIC_FOOT
from shop.forms.timber import FELLOE, HUB, RADIAL, BoardForm, LogForm, PieceForm

EQUATIONS = {
    "6 to 14 %": "by the coefficient for 6 to 14 %",
    "wide": "by the shrinkage from green to oven-dry",
    "none": "nothing moves over 30 %",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One measure of the piece, in words: now, then, by how much, and by which equation."""

    name: str
    now: str
    then: str
    change: str
    by: str


@dataclass(frozen=True, slots=True)
class PieceAnswer:
    """A piece now and at rest in the air of its use."""

    species: Species
    rest: str
    verdict: Verdict
    limit: str
    rests_on: str
    rows: Sequence[Row]
    consequences: Sequence[str]
    densities: Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Figure:
    name: str
    figure: str
    note: str = ""


def fine_length(nm: float, unit: Unit) -> str:
    """As fine as shrinkage wants it: hundredths of a millimetre, thousandths of an inch."""
    figure = f"{abs(nm) / NM_PER_INCH:.3f} in" if unit == "in" else f"{abs(nm) / NM_PER_MM:.2f} mm"
    return figure if nm >= 0 else f"−{figure}"


def answer_piece(form: PieceForm, words: Mapping[str, str]) -> PieceAnswer:
    """Raises TimberError, where print has no figure for the timber."""
    told = form.cleaned_data
    species = species_of(told["species"])
    air = limit_of_air(form.temperature_c, told["humidity"])
    limit = air if told["limit"] is None else limit_given(told["limit"])
    degrees = "°F" if form.unit == "in" else "°C"
    air_is = f"{told['temperature']:g} {degrees} and {told['humidity']:g} % humidity"
    verdict = judge(told["moisture"], limit)
    rows, consequences = _changes(form, species, air, words)
    return PieceAnswer(
        species=species,
        rest=percent(air.percent),
        verdict=verdict,
        limit=percent(limit.percent),
        rests_on=f"where wood comes to rest in air of {air_is}" if limit is air else limit.rests_on,
        rows=rows,
        consequences=consequences,
        densities=list(_densities(species, (told["moisture"], air.percent), form.unit)),
    )


def percent(value: float) -> str:
    return f"{value:.1f} %"


def _changes(form: PieceForm, species: Species, air: Limit, words: Mapping[str, str]) -> tuple[list[Row], list[str]]:
    told, unit = form.cleaned_data, form.unit
    now, then = told["moisture"], air.percent
    if told["part"] == HUB:
        hub = hub_change(species, told["width"], moisture=now, to=then)
        names = (("Diameter across the rings", hub.across_rings), ("Diameter along the rings", hub.along_rings))
        said = [f"From one side of the log it goes out of round by {fine_length(hub.out_of_round_nm, unit)}."]
        if hub.check_nm:
            open_by = fine_length(hub.check_nm, unit)
            said.append(f"With the heart of the log in it, checks open by {open_by} in all at its surface.")
        return [_row(*each, unit) for each in names], said
    width_grain: Grain = "radial" if told["grain"] == RADIAL else "tangential"
    section = section_change(species, told["width"], told["thickness"], width_grain=width_grain, moisture=now, to=then)
    rows = [
        _row(f"Width, {_lies(width_grain, across=True)}", section.width, unit),
        _row(
            f"{'Depth' if told['part'] == FELLOE else 'Thickness'}, {_lies(width_grain, across=False)}",
            section.thickness,
            unit,
        ),
    ]
    return rows, list(_slack(section.thickness, unit, words)) if told["part"] == FELLOE else []


def _slack(depth: Change, unit: Unit, words: Mapping[str, str]) -> Iterator[str]:
    run = run_change_nm(depth)
    more, so = ("more", "tighter") if run > 0 else ("less", "slacker")
    yield (
        f"A rim of these runs {fine_length(abs(run), unit)} {more} round the sole, "
        f"and the {words['tyre']} is that much {so}."
    )


def _lies(width_grain: Grain, *, across: bool) -> str:
    return "across the rings" if (width_grain == "radial") == across else "along the rings"


def _row(name: str, change: Change, unit: Unit) -> Row:
    return Row(
        name=name,
        now=fine_length(change.before_nm, unit),
        then=fine_length(change.after_nm, unit),
        change=fine_length(change.change_nm, unit),
        by=EQUATIONS[change.equation],
    )


def _densities(species: Species, moistures: Sequence[float], unit: Unit) -> Iterator[tuple[str, str]]:
    if species.gravity is None:
        return
    for moisture in moistures:
        kg = species_density_kg_m3(species, moisture=moisture)
        pounds = f"{kg * POUNDS_PER_CUBIC_FOOT:.1f} lb/ft³"
        yield percent(moisture), pounds if unit == "in" else f"{kg:.0f} kg/m³"


def answer_boards(form: BoardForm) -> list[Figure]:
    """Boards of one size, counted in each of the ways that they are bought."""
    told = form.cleaned_data
    board = Board(told["thickness"], told["width"], told["length"])
    count = told["boards"]
    tallied = export_tally([board] * count)
    widths = sorted({each.width_in for each in tallied})
    written = " and ".join(f"{width} in" for width in widths)
    return [
        Figure("Board feet as measured", _two(count * board_feet(board))),
        Figure(
            "Board feet by a grader",
            _two(count * graded_board_feet([board])),
            f"each board’s face counted as {surface_measure(board)} whole square feet",
        ),
        Figure(
            "Board feet by the export tally",
            _two(sum((each.board_feet for each in tallied), start=Fraction(0))),
            f"{written} wide, {tallied[0].length_ft} ft long",
        ),
        Figure("Cubic metres as measured", f"{float(count * cubic_metres(board)):.4f}"),
    ]


def answer_log(form: LogForm) -> list[Figure]:
    feet = hoppus_feet(form.cleaned_data["girth"], form.cleaned_data["length"])
    return [
        Figure("Hoppus feet", _two(feet)),
        Figure("Hoppus tons", f"{float(hoppus_tons(feet)):.3f}", "of 50 Hoppus feet"),
        Figure("The whole round log", f"{hoppus_to_m3(feet):.4f} m³", "if it is as round as its girth says"),
    ]


def _two(value: Fraction) -> str:
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Known:
    """A timber of the table, as print has it."""

    name: str
    shrinkage: str
    coefficients: str
    gravity: str
    source: str


def known_timbers() -> list[Known]:
    return [_known(species) for species in SPECIES.values()]


def _known(species: Species) -> Known:
    shrinkage, coefficients, gravity = species.shrinkage, species.coefficients, species.gravity
    sources = dict.fromkeys(each.source for each in (shrinkage, coefficients, gravity) if each is not None)
    return Known(
        name=species.name,
        shrinkage=f"{shrinkage.radial:g} / {shrinkage.tangential:g} / {shrinkage.volumetric:g}" if shrinkage else "",
        coefficients=f"{_share(coefficients.radial)} / {_share(coefficients.tangential)}" if coefficients else "",
        gravity=f"{gravity.value:.2f} at {gravity.basis}" if gravity else "",
        source="; ".join(sources),
    )


def _share(value: float | None) -> str:
    return "–" if value is None else f"{value:.5f}"
