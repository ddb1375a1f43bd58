"""The iron of wheels that may be ordered: the bar of their tyres and bands, and what it costs on a day."""

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from jobs.cutting import CuttingError, Piece, Stock, plan_bars
from jobs.iron import WELD_RULES, HoopRefused, IronHoop, bands_of, tyre_of
from jobs.iron.mass import bar_grams
from jobs.measures import NM_PER_MM, Unit, format_section
from jobs.models import Lot
from jobs.models.operations import PartKind, Work
from shop.models import Material
from shop.money import format_millipence, round_half_up
from shop.quoting.rows import MaterialRow, name_wanted
from shop.rates import RateBook
from shop.stores.amounts import millionths

# What is told of the weld where nobody asked: the first of the rules, as the page of iron has it.
RULE = WELD_RULES[0]
KERF_NM = 3 * NM_PER_MM


@dataclass(slots=True)
class Section:
    """The pieces of one bar: their lengths in nanometres, and how many of each."""

    width_nm: int
    thickness_nm: int
    pieces: Counter[int] = field(default_factory=Counter)

    @property
    def length_nm(self) -> int:
        return sum(length * count for length, count in self.pieces.items())


class Irons:
    """The shop's bars and their prices on a day. `lie` are the ids of those of which some lies in the rack, where that
    is asked of several alike."""

    def __init__(
        self,
        book: RateBook,
        materials: Iterable[Material],
        *,
        on: date,
        unit: Unit,
        currency: str,
        lie: Container[int] = (),
    ) -> None:
        self.book, self.on, self.unit, self.currency, self._lie = book, on, unit, currency, lie
        self._bars = [one for one in materials if one.is_bar]

    def rows(self, lots: Sequence[tuple[Lot, int]], given: Container[int] = ()) -> list[MaterialRow]:
        """A row for each section of bar, the smallest first; a draw that is not told is taken as none."""
        return [self._row(one, given) for one in sections(lots)]

    def _row(self, of: Section, given: Container[int]) -> MaterialRow:
        name = f"Bar {format_section(of.width_nm, of.thickness_nm, unit=self.unit)}"
        key = f"bar-{of.width_nm}-{of.thickness_nm}"
        grams = bar_grams(of.length_nm, of.width_nm, of.thickness_nm)
        hoops = sum(of.pieces.values())
        amount = f"{of.length_nm / (1000 * NM_PER_MM):.2f} m, {grams / 1000:.1f} kg, {hoops} hoop{'s' * (hoops > 1)}"
        wanted = name_wanted(sorted(of.pieces.items()))
        bar = self.best(of, given)
        price = self.book.material(bar.pk, self.on) if bar else None
        if bar is None or price is None:
            kept = f"“{bar.name}”" if bar else f"{name.lower()}"
            return MaterialRow(
                key,
                name,
                amount,
                missing=f"No price is kept for {kept}: set it in Materials.",
                wanted=wanted,
                material_id=bar.pk if bar else None,
            )
        try:
            bought, told = self.bought(bar, of, grams)
        except CuttingError as refused:
            return MaterialRow(key, name, amount, missing=f"{name}: {refused}", wanted=wanted)
        pence = round_half_up(bought * price / 1000)
        rests_on = f"{told}“{bar.name}” at {format_millipence(price, self.currency)} {bar.per}"
        return MaterialRow(
            key,
            name,
            amount,
            pence=pence,
            rests_on=rests_on,
            wanted=wanted,
            material_id=bar.pk,
            bought_millionths=millionths(bought),
        )

    def best(self, of: Section, given: Container[int] = ()) -> Material | None:
        """A bar of this section: sooner what the order was given, what lies there, and what has a price."""
        alike = [one for one in self._bars if (one.width_nm, one.thickness_nm) == (of.width_nm, of.thickness_nm)]
        return min(alike, key=lambda one: self._rank(one, given), default=None)

    def _rank(self, bar: Material, given: Container[int]) -> tuple[bool, bool, bool, str]:
        no_price = self.book.material(bar.pk, self.on) is None
        return bar.pk not in given, bar.pk not in self._lie, no_price, bar.name

    def bought(self, bar: Material, of: Section, grams: float, *, seconds: float = 0.3) -> tuple[Fraction, str]:
        """How much of it is charged, and that in words where whole bars are bought. Raises CuttingError."""
        if bar.unit == Material.Unit.KILOGRAM:
            return Fraction(round(grams), 1000), ""
        if bar.unit == Material.Unit.METRE:
            return Fraction(of.length_nm, 1000 * NM_PER_MM), ""
        pieces = [Piece(length, count, name="hoop") for length, count in of.pieces.items()]
        plan = plan_bars(pieces, [Stock(bar.length_nm or 0)], kerf_nm=KERF_NM, seconds=seconds, unit=self.unit)
        return Fraction(len(plan.bars)), f"{len(plan.bars)} whole: "


def of_one_section(materials: Iterable[Material]) -> list[int]:
    """The ids of bars of which there are several of one section, so that it is to be asked which of them lies there."""
    alike: dict[tuple[int | None, int | None], list[int]] = defaultdict(list)
    for one in materials:
        if one.is_bar:
            alike[one.width_nm, one.thickness_nm].append(one.pk)
    return [pk for pks in alike.values() if len(pks) > 1 for pk in pks]


def sections(lots: Sequence[tuple[Lot, int]], counts: Mapping[tuple[int, str], int] | None = None) -> list[Section]:
    """The pieces of each bar, the smallest first. Every wheel has its hoops, unless `counts` tells, by lot and kind of
    part, how many wheels want theirs."""
    found: dict[tuple[int, int], Section] = {}
    for lot, wheels in lots:
        for hoop in hoops_of(lot):
            kind = PartKind.BAND if hoop.is_band else PartKind.TYRE
            section = found.setdefault((hoop.width_nm, hoop.thickness_nm), Section(hoop.width_nm, hoop.thickness_nm))
            plain = hoop.hoop()
            if plain is not None:
                wanted = wheels if counts is None else min(wheels, counts.get((lot.pk, kind), 0))
                section.pieces[round(plain.cut_nm(RULE))] += wanted
    return [found[key] for key in sorted(found)]


def hoops_of(lot: Lot) -> list[IronHoop]:
    """New wheels want tyre and bands, an old one that is re-tyred its tyre; other repairs keep their iron."""
    makeup = lot.makeup
    tyre = tyre_of(makeup, {}, draw_nm=makeup.draw_nm or 0) if lot.work in (Work.NEW, Work.RETYRE) else None
    bands = bands_of(makeup, {}, draw_nm=0) if lot.work == Work.NEW else []
    return [*([tyre] if tyre else []), *bands]


def refused_by_iron(lots: Sequence[tuple[Lot, int]]) -> list[str]:
    """Sentences on lots of whose measures no hoop can be made."""
    said = []
    for lot, _ in lots:
        try:
            for hoop in hoops_of(lot):
                hoop.hoop()
        except HoopRefused as refused:
            said.append(f"{lot.name}: {refused}")
    return said
