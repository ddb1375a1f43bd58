"""The trade's timbers: how far each shrinks, and how heavy it is.

The figures are those of American trees, because the Wood Handbook (USDA Forest Products Laboratory, Wood
Handbook, general technical report FPL-GTR-190, 2010) prints them tree by tree. English ash, elm, oak and beech
are near their American kin and not the same.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from jobs.timber.refusals import TimberError

Basis = Literal["12 %", "green", "ovendry"]

HANDBOOK_SHRINKAGE = "Wood Handbook, table 4-3"
HANDBOOK_COEFFICIENTS = "Wood Handbook, table 13-5"
HANDBOOK_GRAVITY = "Wood Handbook, table 5-3, at second hand"
HANDBOOK_GRAVITY_UNSEEN = "Wood Handbook, table 5-3, from memory and not seen"
FLOORING_CHART = "National Wood Flooring Association's chart, citing the Wood Handbook (tangential only)"


@dataclass(frozen=True, slots=True)
class Gravity:
    """Specific gravity: ovendry mass over the mass of as much water as fills the volume at `basis`.

    The same figure means a different timber on another basis, so that it never stands without it.
    """

    value: float
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """Per cent of the green size lost from green to oven-dry."""

    radial: float
    tangential: float
    volumetric: float
    source: str = HANDBOOK_SHRINKAGE


@dataclass(frozen=True, slots=True)
class Coefficients:
    """Change of size for one per cent of moisture, between 6 and 14 %, as a share of the size."""

    radial: float | None
    tangential: float
    source: str = HANDBOOK_COEFFICIENTS


@dataclass(frozen=True, slots=True)
class Species:
    """A timber. What print does not tell of it, as far as it was read, is None."""

    key: str
    name: str
    kind: Literal["ash", "elm", "oak", "hickory", "beech"]
    shrinkage: Shrinkage | None
    coefficients: Coefficients | None
    gravity: Gravity | None


def _at_12(value: float, source: str = HANDBOOK_GRAVITY) -> Gravity:
    return Gravity(value, "12 %", source)


_ALL = (
    Species("white-ash", "white ash", "ash", Shrinkage(4.9, 7.8, 13.3), Coefficients(0.00169, 0.00274), _at_12(0.60)),
    Species(
        "american-elm", "American elm", "elm", Shrinkage(4.2, 9.5, 14.6), Coefficients(0.00144, 0.00338), _at_12(0.50)
    ),
    Species("rock-elm", "rock elm", "elm", Shrinkage(4.8, 8.1, 14.9), Coefficients(0.00165, 0.00285), _at_12(0.63)),
    Species(
        "slippery-elm",
        "slippery elm",
        "elm",
        Shrinkage(4.9, 8.9, 13.8),
        Coefficients(0.00169, 0.00315),
        _at_12(0.53, HANDBOOK_GRAVITY_UNSEEN),
    ),
    # Of these two, one line of the table, the shrinkage was not read.
    Species("winged-elm", "winged or cedar elm", "elm", None, Coefficients(0.00183, 0.00419), None),
    # Cut and sold as one timber, white oak is several: its coefficients are those of the blend.
    Species("white-oak", "white oak", "oak", Shrinkage(5.6, 10.5, 16.3), Coefficients(0.00180, 0.00365), _at_12(0.68)),
    # A blend as well; the table of its several trees was not read.
    Species("red-oak", "red oak", "oak", None, Coefficients(0.00158, 0.00369), None),
    Species(
        "mockernut",
        "mockernut hickory",
        "hickory",
        Shrinkage(7.7, 11.0, 17.8),
        Coefficients(None, 0.00411, FLOORING_CHART),
        _at_12(0.72),
    ),
    Species(
        "pignut",
        "pignut hickory",
        "hickory",
        Shrinkage(7.2, 11.5, 17.9),
        Coefficients(None, 0.00411, FLOORING_CHART),
        _at_12(0.75),
    ),
    Species(
        "pecan", "pecan hickory", "hickory", Shrinkage(4.9, 8.9, 13.6), Coefficients(0.00169, 0.00315), _at_12(0.66)
    ),
    Species(
        "beech",
        "American beech",
        "beech",
        Shrinkage(5.5, 11.9, 17.2),
        Coefficients(0.00190, 0.00431),
        _at_12(0.64, HANDBOOK_GRAVITY_UNSEEN),
    ),
)

SPECIES: Mapping[str, Species] = {species.key: species for species in _ALL}


def species_of(key: str) -> Species:
    """The timber of that key. Raises TimberError."""
    if key not in SPECIES:
        raise TimberError(f"“{key}” is no timber of the list: it has {', '.join(SPECIES)}.")
    return SPECIES[key]
