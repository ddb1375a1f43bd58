"""Draws in print, by kind of wheel: for showing beside the shop's own, never taken in its place.

All are on the circumference.
"""

from dataclasses import dataclass
from fractions import Fraction

from jobs.measures import NM_PER_INCH


@dataclass(frozen=True, slots=True)
class PublishedDraw:
    """From `least_nm` to `most_nm` for a kind of wheel; the two are alike where one figure is printed."""

    kind: str
    least_nm: int
    most_nm: int
    source: str


def _inches(kind: str, least: Fraction | int, most: Fraction | int, source: str) -> PublishedDraw:
    return PublishedDraw(kind, int(least * NM_PER_INCH), int(most * NM_PER_INCH), source)


_HASLUCK = "Hasluck, Cassell's Cyclopaedia of Mechanics"
_HOLMSTROM = "Holmstrom, Modern Blacksmithing, 1901"
_MANUAL = "a smith's manual reprinted on freeblacksmith.com"

PUBLISHED_DRAWS: tuple[PublishedDraw, ...] = (
    _inches("carriage and light wheels", 0, Fraction(1, 8), _MANUAL),
    _inches("poor or dished wagon wheel", 0, Fraction(1, 4), _HOLMSTROM),
    _inches(
        "two-horse wagon", Fraction(1, 4), Fraction(1, 4), "Richardson, Practical Carriage Building, volume 1, 1891"
    ),
    _inches("Warner wheel", Fraction(3, 8), Fraction(3, 8), _HASLUCK),
    _inches("straight wagon wheel", Fraction(1, 2), Fraction(1, 2), _HOLMSTROM),
    _inches("straight wagon wheel, heavy and strong", Fraction(5, 8), Fraction(5, 8), _HOLMSTROM),
    _inches("straight wagon wheel", Fraction(1, 2), Fraction(3, 4), _MANUAL),
    _inches("cart wheel, a working English wheelwright", 1, 1, "robin-wood.co.uk, 2012"),
    _inches("large heavy wheel", Fraction(5, 4), Fraction(5, 4), _HASLUCK),
)
# Hasluck: the most of any book at hand.
MOST_PUBLISHED_NM = max(draw.most_nm for draw in PUBLISHED_DRAWS)
