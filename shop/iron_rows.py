"""The iron of wheels as pages show it: one row for each hoop, or for hoops that are alike, by the bar they want."""

import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from jobs.iron import (
    HeatRefused,
    Hoop,
    HoopRefused,
    IronHoop,
    Taken,
    heat_to_pass,
    in_degrees,
    most_clearance_nm,
    turns_of,
)
from jobs.iron.colours import in_the_books
from jobs.iron.mass import bar_grams, pounds, pounds_per_foot, price_pence
from jobs.iron.of_wheel import Origin
from jobs.iron.old_rules import by_22_sevenths_nm, by_three_diameters_nm, with_three_thicknesses_nm
from jobs.makeup import in_print
from jobs.measures import NM_PER_FOOT, NM_PER_INCH, NM_PER_MM, Unit, format_feet, format_length, format_section
from jobs.models import Lot, Order, Wheel
from jobs.sizes.wheel import cone_of
from shop.forms.iron import Terms
from shop.money import format_pence, round_half_up

# How finely lengths that follow from others are told: what a rule and a traveller can show.
STEPS: Mapping[Unit, int] = {"mm": NM_PER_MM // 10, "in": NM_PER_INCH // 32}
BAR_STEPS: Mapping[Unit, int] = {"mm": NM_PER_MM, "in": NM_PER_INCH // 16}
TRAVELLER_ERRORS: Mapping[Unit, int] = {"mm": NM_PER_MM // 2, "in": NM_PER_INCH // 64}
MOST_NAMED = 4
MOST_DRAW = max(in_print.DRAW, key=lambda said: said.high_nm)


@dataclass(frozen=True, slots=True)
class Wearers:
    """The wheels, of one lot, whose hoops are alike, and how many hoops that makes."""

    order: Order
    lot: Lot
    wheels: tuple[Wheel, ...]
    count: int
    still: str = ""

    @property
    def first(self) -> Wheel:
        return self.wheels[0]

    @property
    def names(self) -> str:
        """By their places while they are few, else by their numbers."""
        if len(self.wheels) <= MOST_NAMED:
            return ", ".join(wheel.label for wheel in self.wheels)
        return f"{len(self.wheels)} wheels, numbers {self.first.number} to {self.wheels[-1].number}"


@dataclass(frozen=True, slots=True)
class Sums:
    """What follows once the draw is known; in words, but for the last three."""

    inside: str
    draw: str
    smaller: str
    cut: str
    cut_parts: str
    mass: str
    price: str
    heat: str
    heat_behind: str
    refused: str
    inside_turns: str
    old_rules: tuple[tuple[str, str], ...]
    books: tuple[tuple[str, str], ...]
    celsius: float
    cut_nm: float
    grams: float


@dataclass(frozen=True, slots=True)
class IronRow:
    """One kind of hoop with the wheels that wear it. `sums` are missing where the draw is, or `wrong` says why."""

    hoop: IronHoop
    wearers: Wearers
    run: str
    run_by: str
    draw_by: str
    turns: str
    turns_error: str
    edge: str
    warning: str
    sums: Sums | None
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class IronBar:
    """The rows that want one bar, and what it comes to; `missing` hoops have no draw yet and are left out of that.

    Of very many rows `more` are counted and not spelled out.
    """

    name: str
    rows: tuple[IronRow, ...]
    more: int
    wanted: int
    missing: int
    length: str
    mass: str
    price: str


def told(nm: float, unit: Unit, *, steps: Mapping[Unit, int] = STEPS) -> str:
    """A length to the nearest step of `unit`."""
    return format_length(to_step(nm, unit, steps=steps), unit=unit)


def to_step(nm: float, unit: Unit, *, steps: Mapping[Unit, int] = STEPS) -> int:
    """What `told` tells, in nanometres."""
    return round(nm / steps[unit]) * steps[unit]


def mass_told(grams: float, unit: Unit) -> str:
    return f"{pounds(grams):.1f} lb" if unit == "in" else f"{grams / 1000:.1f} kg"


def _by_heat(row: IronRow) -> tuple[float, int, int]:
    """The coolest first, as near as is told; what has no heat last."""
    celsius = round(row.sums.celsius) if row.sums and row.sums.heat else float("inf")
    return celsius, row.wearers.lot.pk, row.wearers.first.number


class IronRows:
    """Works out rows for one question; of each bar at most so many are spelled out."""

    def __init__(
        self, terms: Terms, *, words: Mapping[str, str], unit: Unit, currency: str, most: int = sys.maxsize
    ) -> None:
        self.terms, self.words, self.unit, self.currency, self._most = terms, words, unit, currency, most

    def row(self, hoop: IronHoop, wearers: Wearers, *, dish: Taken | None = None) -> IronRow:
        turns, turns_error = self._turns(hoop, hoop.run.nm)
        wrong = ""
        sums = None
        try:
            plain = hoop.hoop()
            sums = self._sums(hoop, plain) if plain else None
        except HoopRefused as refused:
            wrong = str(refused)
        return IronRow(
            hoop=hoop,
            wearers=wearers,
            run=told(hoop.run.nm, self.unit),
            run_by=_run_by(hoop, self.words),
            draw_by=_draw_by(hoop),
            turns=turns,
            turns_error=turns_error,
            edge=self._edge(hoop, wearers, dish),
            warning=self._warning(hoop),
            sums=sums,
            wrong=wrong,
        )

    def bars(self, rows: Iterable[IronRow]) -> list[IronBar]:
        """By section, the smallest first; in each the coolest heat first, and what has none last."""
        by_section: dict[tuple[int, int], list[IronRow]] = defaultdict(list)
        for row in rows:
            by_section[row.hoop.width_nm, row.hoop.thickness_nm].append(row)
        return [self._bar(section, by_section[section]) for section in sorted(by_section)]

    def _bar(self, section: tuple[int, int], rows: Sequence[IronRow]) -> IronBar:
        known = [(row.sums, row.wearers.count) for row in rows if row.sums]
        length = sum(sums.cut_nm * count for sums, count in known)
        grams = sum(sums.grams * count for sums, count in known)
        wanted = sum(row.wearers.count for row in rows)
        return IronBar(
            name=f"Bar {format_section(*section, unit=self.unit)}",
            rows=tuple(sorted(rows, key=_by_heat)[: self._most]),
            more=max(0, len(rows) - self._most),
            wanted=wanted,
            missing=wanted - sum(count for _, count in known),
            length=self._in_all(length) if known else "",
            mass=mass_told(grams, self.unit) if known else "",
            price=self._price(grams) if known else "",
        )

    def _in_all(self, nm: float) -> str:
        if self.unit == "in":
            return format_feet(round(nm / NM_PER_INCH) * NM_PER_INCH)
        return f"{nm / (1000 * NM_PER_MM):.2f} m"

    def _sums(self, of: IronHoop, hoop: Hoop) -> Sums:
        unit, rule = self.unit, self.terms.rule
        cut = hoop.cut_nm(rule)
        # What is weighed and charged is the bar that is cut, as it is told.
        grams = bar_grams(cut, hoop.width_nm, hoop.thickness_nm)
        heat, behind, refused, celsius = self._heat(
            hoop, self.terms.band_clearance_nm if of.is_band else self.terms.clearance_nm
        )
        neutral, weld = (told(nm, unit, steps=BAR_STEPS) for nm in (hoop.neutral_nm, hoop.weld_nm(rule)))
        return Sums(
            inside=told(hoop.inside_run_nm, unit),
            draw=told(hoop.draw_nm, unit),
            smaller=told(hoop.smaller_on_diameter_nm, unit),
            cut=told(cut, unit, steps=BAR_STEPS),
            cut_parts=f"{neutral} round its middle, {weld} for the weld",
            mass=self._mass(hoop, cut, grams),
            price=self._price(grams),
            heat=heat,
            heat_behind=behind,
            refused=refused,
            inside_turns=self._turns(of, hoop.inside_run_nm)[0],
            old_rules=self._old_rules(hoop),
            books=tuple(in_the_books(celsius)) if heat else (),
            celsius=celsius,
            cut_nm=cut,
            grams=grams,
        )

    def _mass(self, hoop: Hoop, cut_nm: float, grams: float) -> str:
        mass = mass_told(grams, self.unit)
        if self.unit == "mm":
            return mass
        by_rule = pounds_per_foot(hoop.width_nm / NM_PER_INCH, hoop.thickness_nm / NM_PER_INCH) * cut_nm / NM_PER_FOOT
        return f"{mass} ({by_rule:.1f} by the inch rule)"

    def _price(self, grams: float) -> str:
        if self.terms.pence_per_kg is None:
            return ""
        return format_pence(round_half_up(price_pence(grams, pence_per_kg=self.terms.pence_per_kg)), self.currency)

    def _heat(self, hoop: Hoop, clearance_nm: int) -> tuple[str, str, str, float]:
        """In a smith's words, the degrees behind them, or why there is no such heat; and the degrees for sorting."""
        terms, unit = self.terms, self.unit
        growth = hoop.growth_to_pass(clearance_nm)
        try:
            heat = heat_to_pass(growth, cold_c=terms.cold_c, coefficient=terms.coefficient, unit=unit)
        except HeatRefused as refused:
            return "", "", f"{refused} {self._most_clearance(hoop)}", float("inf")
        degrees, constant = (in_degrees(celsius, unit=unit) for celsius in (heat.celsius, heat.constant_c))
        return heat.words, f"{degrees}; {constant} by one coefficient", "", heat.celsius

    def _most_clearance(self, hoop: Hoop) -> str:
        most = most_clearance_nm(hoop, cold_c=self.terms.cold_c)
        if most <= 0:
            return "It would stick at any heat."
        step = STEPS[self.unit]
        return f"It can have at most {format_length(int(most / step) * step, unit=self.unit)} to spare."

    def _turns(self, hoop: IronHoop, run_nm: float) -> tuple[str, str]:
        """A tyre's run in turns of the traveller, and what a small error on that comes to; nothing without one."""
        if self.terms.traveller_nm is None or hoop.is_band:
            return "", ""
        turns = turns_of(run_nm, traveller_nm=self.terms.traveller_nm)
        whole = f"{turns.whole} turn{'' if turns.whole == 1 else 's'}"
        error = told(turns.error_nm(TRAVELLER_ERRORS[self.unit]), self.unit)
        return f"{whole} and {told(turns.rest_nm, self.unit)}", error

    def _edge(self, hoop: IronHoop, wearers: Wearers, dish: Taken | None) -> str:
        """What coning does where the sole is square to the spokes; nothing for a straight wheel."""
        if dish is None:
            return ""
        cone = cone_of(wearers.lot.makeup, dish_nm=dish.nm, tread_nm=hoop.width_nm)
        if cone.developed_radius_nm is None:
            return ""
        longer, curve = told(cone.edges_differ_nm, self.unit), self._in_all(cone.developed_radius_nm)
        return f"back edge {longer} longer than the front; bar curved edgeways to {curve}"

    def _warning(self, hoop: IronHoop) -> str:
        if hoop.is_band or hoop.draw is None or hoop.draw.nm <= MOST_DRAW.high_nm:
            return ""
        most = format_length(MOST_DRAW.high_nm, unit=self.unit)
        return f"More draw than the {most} that is the most in print ({MOST_DRAW.source})."

    def _old_rules(self, hoop: Hoop) -> tuple[tuple[str, str], ...]:
        diameter, thickness = hoop.inside_diameter_nm, hoop.thickness_nm
        found = {
            "22/7 of inside and thickness, before the weld": by_22_sevenths_nm(diameter, thickness),
            "three thicknesses to bend, before the weld": with_three_thicknesses_nm(hoop.inside_run_nm, thickness),
            "three diameters, 1/2 in a foot, and the weld": by_three_diameters_nm(diameter, thickness),
        }
        return tuple((name, told(nm, self.unit, steps=BAR_STEPS)) for name, nm in found.items())


def _run_by(hoop: IronHoop, words: Mapping[str, str]) -> str:
    """Where a run was taken from."""
    if hoop.run.origin == "the hub's diameter":
        return f"by the {words['hub']}’s diameter: measure its seat"
    return _BY[hoop.run.origin]


def _draw_by(hoop: IronHoop) -> str:
    """Where a draw was taken from: a hoop that is made has what both runs leave."""
    if hoop.inside:
        return "by both runs"
    return _BY[hoop.draw.origin] if hoop.draw else ""


_BY: Mapping[Origin, str] = {
    "as made": "as made",
    "make-up": "by the make-up",
    "given here": "as given for all bands",
}
