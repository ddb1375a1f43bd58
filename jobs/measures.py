"""Lengths as a wheelwright types and reads them, kept as whole nanometres.

A nanometre is small enough that every usual measure is whole: 1 in is 25.4 mm exactly (the international inch
of 1959; ISO 80000-3, NIST SP 811 appendix B), so 1/64 in is 396 875 nm. Nothing here passes through a float.
"""

import re
import unicodedata
from fractions import Fraction
from typing import Literal

Unit = Literal["mm", "in"]

NM_PER_MM = 1_000_000
NM_PER_INCH = 25_400_000
NM_PER_FOOT = 12 * NM_PER_INCH
LONGEST_NM = 100 * 1000 * NM_PER_MM
LONGEST_TEXT = 40

_ACCEPTED = 'a length like 1168 mm, 116.8 cm, 46 1/2 in, 46" or 3 ft 10 1/2 in'
_NM_PER_UNIT = {
    "mm": NM_PER_MM,
    "cm": 10 * NM_PER_MM,
    "m": 1000 * NM_PER_MM,
    "in": NM_PER_INCH,
    "ft": NM_PER_FOOT,
}
_SPELLINGS = {
    "mm": r"mm\.?|millimet(?:re|er)s?",
    "cm": r"cm\.?|centimet(?:re|er)s?",
    "m": r"m\.?|met(?:re|er)s?",
    "in": r'in\.?|inch(?:es)?|"',
    "ft": r"ft\.?|foot|feet|'",
}
_MARKS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "⁄": "/", "\u00a0": " ", "\u202f": " "}
)
_NUMBER = (
    r"(?:(?P<{0}whole>[0-9]+)(?:\s+|\s*-\s*))?(?P<{0}over>[0-9]+)\s*/\s*(?P<{0}under>[0-9]+)"
    r"|(?P<{0}decimal>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)"
)
_UNIT = "|".join(f"(?P<{name}>{spelling})" for name, spelling in _SPELLINGS.items())
_ONE = re.compile(rf"(?:{_NUMBER.format('')})\s*(?:{_UNIT})?")
_FEET_AND_INCHES = re.compile(
    rf"(?P<feet>[0-9]+)\s*(?:{_SPELLINGS['ft']})\s*,?\s*(?:{_NUMBER.format('')})\s*(?:{_SPELLINGS['in']})?"
)


class MeasureError(ValueError):
    """What was typed is no usable length; the message is one sentence for the person who typed it."""


def parse_length(text: str, *, default_unit: Unit) -> int:
    """The length in nanometres, from what a person typed.

    Takes millimetres, centimetres, metres, inches, feet, and feet with inches; decimals (point or comma) and
    fractions; straight, curly and true prime marks. A bare number is in `default_unit`. What is no whole
    number of nanometres is rounded to the nearest, halves to even: 1/3 in is 8 466 667 nm. Raises
    MeasureError.
    """
    plain = _plain(text)
    if not plain:
        raise MeasureError(f"No length was given: write {_ACCEPTED}.")
    if len(plain) > LONGEST_TEXT:
        raise MeasureError(f"{_quoted(text)} is too long to be a length: write {_ACCEPTED}.")
    if both := _FEET_AND_INCHES.fullmatch(plain):
        inches = _value(both, text)
        if inches >= 12:
            raise MeasureError(f"{_quoted(text)} has 12 inches or more after the feet: write them as feet.")
        exact = int(both["feet"]) * NM_PER_FOOT + inches * NM_PER_INCH
    elif one := _ONE.fullmatch(plain):
        unit = next((name for name in _NM_PER_UNIT if one[name]), default_unit)
        exact = _value(one, text) * _NM_PER_UNIT[unit]
    elif plain.startswith(("-", "−")):
        raise MeasureError(f"{_quoted(text)} is less than nothing: write {_ACCEPTED}.")
    else:
        raise MeasureError(f"{_quoted(text)} cannot be read as a length: write {_ACCEPTED}.")
    if exact > LONGEST_NM:
        raise MeasureError(f"{_quoted(text)} is over 100 m, which no wheel needs: is the unit right?")
    return round(exact)


def format_length(nm: int, *, unit: Unit, denominator: int = 64) -> str:
    """`1168 mm` to two decimals, or `46 1/2 in` to 1/`denominator`; "about" where that is not exact.

    Whatever is shown without "about" reads back as the same length. Raises ValueError below zero.
    """
    number, exact = _number(nm, unit=unit, denominator=denominator)
    return f"{'' if exact else 'about '}{number} {unit}"


def format_feet(nm: int, *, denominator: int = 64) -> str:
    """`3 ft 10 1/2 in`, with "about" where 1/`denominator` in is not fine enough."""
    steps, exact = _nearest(nm, Fraction(NM_PER_INCH, denominator))
    feet, rest = divmod(steps, 12 * denominator)
    inches = f"{_mixed(Fraction(rest, denominator))} in" if rest or not feet else ""
    words = " ".join(part for part in (f"{feet} ft" if feet else "", inches) if part)
    return words if exact else f"about {words}"


def format_section(width_nm: int, thickness_nm: int, *, unit: Unit, denominator: int = 64) -> str:
    """A bar or a felloe by its section: `38 × 10 mm`, `2 1/2 × 5/8 in`."""
    width, width_exact = _number(width_nm, unit=unit, denominator=denominator)
    thickness, thickness_exact = _number(thickness_nm, unit=unit, denominator=denominator)
    return f"{'' if width_exact and thickness_exact else 'about '}{width} × {thickness} {unit}"


def exact_length(nm: int, *, unit: Unit) -> str:
    """The length for a field that will be read again: always exact.

    In `unit` where that is exact, else in the other, else in millimetres to the last nanometre.
    """
    other: Unit = "in" if unit == "mm" else "mm"
    for each in (unit, other):
        number, exact = _number(nm, unit=each, denominator=64)
        if exact:
            return f"{number} {each}"
    return f"{_decimal(nm, places=6)} mm"


def _plain(text: str) -> str:
    """Lower case, straight marks, and a fraction such as ½ written out as 1/2."""
    spread = (
        f" {unicodedata.normalize('NFKC', each)} " if unicodedata.decomposition(each).startswith("<fraction>") else each
        for each in text
    )
    return " ".join("".join(spread).translate(_MARKS).replace("''", '"').lower().split())


def _value(match: re.Match[str], text: str) -> Fraction:
    """The number of the match, exactly."""
    if decimal := match["decimal"]:
        if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", decimal):
            raise MeasureError(
                f"{_quoted(text)} could mean {decimal.replace(',', '')} or {decimal.replace(',', '.')}: "
                "write it without the comma."
            )
        return Fraction(decimal.replace(",", "."))
    over, under = int(match["over"]), int(match["under"])
    if under == 0:
        raise MeasureError(f"{_quoted(text)} divides by nothing: the lower figure of a fraction must be 1 or more.")
    if match["whole"] and over >= under:
        raise MeasureError(f"{_quoted(text)} has a fraction of one or more after its whole number: write it as one.")
    return int(match["whole"] or 0) + Fraction(over, under)


def _quoted(text: str) -> str:
    shown = " ".join(text.split())
    return f"“{shown if len(shown) <= LONGEST_TEXT else shown[:LONGEST_TEXT] + '…'}”"


def _number(nm: int, *, unit: Unit, denominator: int) -> tuple[str, bool]:
    """The figure without its unit, and whether it is exact."""
    if unit == "mm":
        hundredths, exact = _nearest(nm, Fraction(NM_PER_MM, 100))
        return _decimal(hundredths, places=2), exact
    steps, exact = _nearest(nm, Fraction(NM_PER_INCH, denominator))
    return _mixed(Fraction(steps, denominator)), exact


def _nearest(nm: int, step: Fraction) -> tuple[int, bool]:
    if nm < 0:
        raise ValueError(f"A length to be shown cannot be less than nothing, and this is {nm} nm.")
    steps = round(Fraction(nm) / step)
    return steps, steps * step == nm


def _decimal(count: int, *, places: int) -> str:
    whole, rest = divmod(count, 10**places)
    return f"{whole}.{rest:0{places}}".rstrip("0").rstrip(".")


def _mixed(inches: Fraction) -> str:
    whole, rest = divmod(inches.numerator, inches.denominator)
    if not rest:
        return str(whole)
    fraction = f"{rest}/{inches.denominator}"
    return f"{whole} {fraction}" if whole else fraction
