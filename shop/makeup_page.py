"""What the page of a make-up shows: every measure in both units, and what follows from them."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.makeup import MakeUp, Problem, problems
from jobs.measures import NM_PER_FOOT, Unit, format_feet, format_length, format_section


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """A measure in the shop's units and in the others; a plain value stands in `shown` alone."""

    label: str
    shown: str
    other: str = ""


@dataclass(frozen=True, slots=True)
class MeasureGroup:
    heading: str
    rows: tuple[MeasureRow, ...]


class MakeUpPage:
    """A make-up as it is read: in the shop's words, its own units first."""

    def __init__(self, makeup: MakeUp, *, words: Mapping[str, str], unit: Unit, new_work: bool = True) -> None:
        self.makeup, self.words, self.unit = makeup, words, unit
        self._other: Unit = "in" if unit == "mm" else "mm"
        self._new_work = new_work

    @property
    def warnings(self) -> list[Problem]:
        return problems(self.makeup, new_work=self._new_work, words=self.words, unit=self.unit)

    @property
    def groups(self) -> list[MeasureGroup]:
        """The measures as they were entered."""
        made, words = self.makeup, self.words
        over = "the wood" if made.height_over == "wood" else f"the {words['tyre']}"
        rim = "bent half-rims" if made.rim == "bent" else f"sawn {words['felloes']}"
        hub = "wooden, mortised" if made.hub == "wood" else "two-piece, bolted"
        return [
            MeasureGroup("Wheel", (self._length(f"Height over {over}", made.height_nm), self._dish())),
            MeasureGroup(
                "Spokes",
                (
                    MeasureRow("How many", str(made.spokes)),
                    self._section("Width × thickness", made.spoke_width_nm, made.spoke_thickness_nm),
                    MeasureRow("Tongue", made.tongue),
                    MeasureRow("Timber", made.spoke_timber or "not said"),
                ),
            ),
            MeasureGroup(
                words["hub"].capitalize(),
                (
                    MeasureRow("Kind", hub),
                    self._length("Diameter", made.hub_diameter_nm),
                    self._length("Length", made.hub_length_nm),
                    MeasureRow("Timber", made.hub_timber or "not said"),
                    MeasureRow("Box", "fitted" if made.box == "fitted" else "none"),
                    *self._bands(),
                    *self._hub_setting_out(),
                ),
            ),
            MeasureGroup(
                "Rim",
                (
                    MeasureRow("Kind", f"{made.felloes} {rim}"),
                    self._section("Width × depth", made.felloe_width_nm, made.felloe_depth_nm),
                    MeasureRow("Timber", made.felloe_timber or "not said"),
                ),
            ),
            MeasureGroup(words["tyre"].capitalize(), self._tyre()),
            MeasureGroup("Finish", (MeasureRow("Coats", str(made.coats)), MeasureRow("Lined", _yes(made.lined)))),
        ]

    @property
    def derived(self) -> list[MeasureRow]:
        """What follows from the measures."""
        made, words = self.makeup, self.words
        around = math.pi * made.wood_diameter_nm
        rows = [
            self._length("Diameter over the wood", made.wood_diameter_nm),
            self._length("Height over all", made.tyre_diameter_nm),
            self._length("Round the sole, over the wood", round(around, -4)),
            self._length("Inside the rim", made.rim_inner_diameter_nm),
            self._length(f"Spoke seen, {words['hub']} to rim", made.bare_spoke_nm),
            self._length("From spoke to spoke, round the sole", round(around / made.spokes, -4)),
        ]
        if made.tyre_bolts:
            rows.append(MeasureRow(f"Bolts in the {words['tyre']}", str(made.tyre_bolts)))
        return rows

    def _length(self, label: str, nm: float) -> MeasureRow:
        whole = round(nm)
        other = (
            format_feet(whole)
            if self._other == "in" and whole >= NM_PER_FOOT
            else format_length(whole, unit=self._other)
        )
        return MeasureRow(label, format_length(whole, unit=self.unit), other)

    def _section(self, label: str, width_nm: int, thickness_nm: int) -> MeasureRow:
        shown = format_section(width_nm, thickness_nm, unit=self.unit)
        return MeasureRow(label, shown, format_section(width_nm, thickness_nm, unit=self._other))

    def _dish(self) -> MeasureRow:
        return self._length("Dish", self.makeup.dish_nm) if self.makeup.dish_nm else MeasureRow("Dish", "none")

    def _bands(self) -> list[MeasureRow]:
        rows = []
        for band in self.makeup.bands:
            row = self._section(band.name.capitalize(), band.width_nm, band.thickness_nm)
            seat = f", seat {format_length(band.seat_nm, unit=self.unit)}" if band.seat_nm else ""
            rows.append(MeasureRow(row.label, row.shown + seat, row.other))
        return rows or [MeasureRow("Bands", "none")]

    def _told(self, *labels_and_measures: tuple[str, int | None]) -> list[MeasureRow]:
        return [self._length(label, nm) for label, nm in labels_and_measures if nm]

    def _hub_setting_out(self) -> list[MeasureRow]:
        """What is told for setting out; what is not told has no row."""
        made = self.makeup
        return self._told(
            ("Stagger of the spokes", made.stagger_nm),
            ("Mortise, length", made.mortise_length_nm),
            ("Mortise, width", made.mortise_width_nm),
            ("Box, outside at its large end", made.box_large_nm),
            ("Box, outside at its small end", made.box_small_nm),
            ("Box, length", made.box_length_nm),
            ("Bore, large end", made.bore_large_nm),
            ("Bore, small end", made.bore_small_nm),
        )

    def _draw(self) -> list[MeasureRow]:
        draw = self.makeup.draw_nm
        if draw is None:
            return []
        return [self._length("Draw, on the circumference", draw)]

    def _tyre(self) -> tuple[MeasureRow, ...]:
        made = self.makeup
        if made.tyre == "none":
            return (MeasureRow("Kind", "none"),)
        kind = "iron" if made.tyre == "iron" else "rubber in a channel"
        return (
            MeasureRow("Kind", kind),
            self._section("Width × thickness", made.tyre_width_nm, made.tyre_thickness_nm),
            MeasureRow("Fastening", "bolted" if made.fastening == "bolted" else "no bolts"),
            *self._draw(),
        )


def _yes(value: bool) -> str:
    return "yes" if value else "no"
