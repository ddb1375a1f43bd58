"""How much of a material: read from a person, told in words, and how much one piece of it is."""

import re
from decimal import Decimal
from fractions import Fraction
from typing import cast

from jobs.cutting_list import measure_of
from jobs.cutting_list.stock import Measure
from jobs.iron.mass import bar_grams
from jobs.measures import NM_PER_MM
from shop.materials import stock_of
from shop.models import Material
from shop.money import round_half_up

MILLION = 1_000_000
# What is more is a slip of the finger.
MOST = 1_000_000
PLACES = {Material.Unit.CUBIC_METRE: 4, Material.Unit.EACH: 0}
UNITS = {
    "board_foot": ("board foot", "board feet"),
    "m3": ("m³", "m³"),
    "metre": ("m", "m"),
    "hoppus_foot": ("Hoppus foot", "Hoppus feet"),
    "kg": ("kg", "kg"),
    "litre": ("litre", "litres"),
}
PIECES = {
    "plank": ("plank", "planks"),
    "blank": ("blank", "blanks"),
    "log": ("log", "logs"),
    "bar": ("bar", "bars"),
    "goods": ("piece", "pieces"),
}
_NUMBER = re.compile(r"(?P<whole>[0-9]{1,3}(?:[, \u00a0\u2009][0-9]{3})+|[0-9]+)?(?:\.(?P<part>[0-9]{1,6}))?")


class AmountError(ValueError):
    """An amount that can't be read; the message is one sentence for the form."""


def parse_amount(text: str) -> int:
    """Millionths, from "12", "1,200" or "0.864". AmountError with one sentence."""
    bare = text.strip()
    found = _NUMBER.fullmatch(bare)
    if not bare or found is None or not (found["whole"] or found["part"]):
        raise AmountError(f"“{bare}” is not an amount: write a number, as 12 or 0.864.")
    whole = int(re.sub(r"[^0-9]", "", found["whole"] or "0")[:12])
    if whole >= MOST:
        raise AmountError(f"“{bare}” can't be right: write less than {MOST:,}.")
    return whole * MILLION + int((found["part"] or "").ljust(6, "0"))


def plain_amount(millionths: int) -> str:
    """For a form field, as `parse_amount` reads it: "12", "0.864"."""
    return f"{(Decimal(millionths) / MILLION).normalize():f}"


def one_piece(material: Material) -> Fraction:
    """How much one plank, blank, log or bar of the stocked size is, in the unit that it is bought by; of goods one.

    Planks as a grader tallies them, logs by Hoppus, bars by their mass: see `measure_of` and `bar_grams`.
    """
    stock = stock_of(material)
    if material.is_timber:
        return measure_of(stock, cast(Measure, material.unit))
    if material.is_goods or material.unit == Material.Unit.EACH:
        return Fraction(1)
    if material.unit == Material.Unit.METRE:
        return Fraction(stock.length_nm, 1000 * NM_PER_MM)
    return bar_mass(material, stock.length_nm)


def bar_mass(material: Material, length_nm: int) -> Fraction:
    """Kilograms of so much of a bar, to the gram: it is what a bill charges."""
    return Fraction(round(bar_grams(length_nm, material.width_nm or 0, material.thickness_nm or 0)), 1000)


def amount_of_length(material: Material, length_nm: int) -> Fraction | None:
    """How much so long a piece of a bar is, where it is bought by what it weighs or measures."""
    grams = Fraction(bar_grams(length_nm, material.width_nm or 0, material.thickness_nm or 0))
    found = {
        Material.Unit.KILOGRAM: grams / 1000,
        Material.Unit.METRE: Fraction(length_nm, 1000 * NM_PER_MM),
    }
    return found.get(material.unit)  # type: ignore[call-overload, no-any-return]


def millionths(amount: Fraction) -> int:
    """An exact amount to the nearest millionth of its unit."""
    return round_half_up(amount * MILLION)


def piece_millionths(material: Material) -> int:
    """One piece in whole millionths of the unit, rounded once, so that pieces add up; of the smallest one."""
    return max(1, millionths(one_piece(material)))


def of_pieces(material: Material, pieces: int) -> int:
    """So many pieces, in millionths of the unit."""
    return pieces * piece_millionths(material)


def pieces_for(material: Material, amount: int) -> int:
    """The fewest whole pieces that make so many millionths. What is over by a thousandth of one is none: it comes of
    rounding."""
    piece = piece_millionths(material)
    return max(0, -(-(1000 * amount - piece) // (1000 * piece)))


def told(amount: int, unit: str) -> str:
    """An amount in words: "12.5 board feet", "0.0864 m³"; pieces alone as a number."""
    places = PLACES.get(unit, 2)  # type: ignore[call-overload]
    figure = f"{Decimal(abs(amount)) / MILLION:,.{places}f}"
    if unit == Material.Unit.EACH and amount % MILLION:
        figure = f"{Decimal(abs(amount)) / MILLION:,.2f}"
    figure = figure.rstrip("0").rstrip(".") if "." in figure else figure
    if figure == "0" and amount:
        figure = f"{Decimal(abs(amount)) / MILLION:f}".rstrip("0").rstrip(".")
    one, many = UNITS.get(unit, ("", ""))
    name = one if figure == "1" else many
    return f"{'−' if amount < 0 else ''}{figure}{f' {name}' if name else ''}"


def pieces_told(material: Material, pieces: int) -> str:
    """ "1 plank", "12 planks"."""
    one, many = PIECES[material.kind]
    return f"{pieces:,} {one if abs(pieces) == 1 else many}"


def amount_told(material: Material, amount: int) -> str:
    """An amount as a person of the trade says it: what is bought by the piece in pieces, all else with about how many
    pieces of the stocked size that is."""
    if material.unit == Material.Unit.EACH:
        return f"{told(amount, material.unit)} {PIECES[material.kind][amount != MILLION]}"
    return told(amount, material.unit)


def about_pieces(material: Material, amount: int, *, at_least: bool = False) -> str:
    """ "about 12 planks" of the stocked size; nothing where it is bought by the piece, or less than half of one.

    `at_least`: the fewest that make so much, for what has to be bought.
    """
    if material.is_goods or material.unit == Material.Unit.EACH:
        return ""
    near = round_half_up(Fraction(amount, piece_millionths(material)))
    pieces = pieces_for(material, amount) if at_least else near
    return f"about {pieces_told(material, pieces)}" if pieces else ""
