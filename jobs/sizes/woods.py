"""How heavy timber is. A specific gravity says nothing without its basis, so each is kept with it."""

import re
from dataclasses import dataclass
from typing import Literal

# The dry mass set against the volume of the wood as moist as it is, or against its volume when dry as well.
Basis = Literal["volume as moist", "volume ovendry"]
BASIS_IN_WORDS: dict[Basis, str] = {
    "volume as moist": "ovendry mass on the volume at that moisture",
    "volume ovendry": "ovendry mass on the ovendry volume",
}
MOISTURE_PERCENT = 12


@dataclass(frozen=True, slots=True)
class Wood:
    """A timber with its specific gravity in hundredths, and on which basis that was measured."""

    name: str
    gravity_hundredths: int
    basis: Basis = "volume as moist"

    @property
    def density(self) -> float:
        """Kilograms a cubic metre at 12 % moisture."""
        return density(self.gravity_hundredths / 100, moisture_percent=MOISTURE_PERCENT, basis=self.basis)


SOURCE = "USDA Forest Products Laboratory, Wood Handbook, GTR-190, 2010, Table 5-3, as transcribed"

_ASH, _ELM, _OAK = Wood("white ash", 60), Wood("American elm", 50), Wood("white oak", 68)
_SHAGBARK = Wood("shagbark hickory", 72)
# By what a make-up may call it, the longer names first: "rock elm" before "elm".
WOODS: dict[str, Wood] = {
    "mockernut": Wood("mockernut hickory", 72),
    "rock elm": Wood("rock elm", 63),
    "pignut": Wood("pignut hickory", 75),
    "shagbark": _SHAGBARK,
    "hickory": _SHAGBARK,
    "pecan": Wood("pecan", 66),
    "ash": _ASH,
    "elm": _ELM,
    "oak": _OAK,
}


def wood_of(name: str) -> Wood | None:
    """The timber that a name from a make-up is reckoned as: “cleft oak” as white oak. None: none in print here."""
    plain = f" {' '.join(re.findall(r'[a-z]+', name.lower()))} "
    return next((wood for said, wood in WOODS.items() if f" {said} " in plain), None)


def density(specific_gravity: float, *, moisture_percent: float, basis: Basis) -> float:
    """Kilograms a cubic metre at a moisture content.

    On the volume as moist, 1000 G (1 + m / 100): Wood Handbook, chapter 4. On the ovendry volume, the wood has swollen
    meanwhile, 1000 G / (1 + 0.009 G m) (1 + m / 100): engineeringtoolbox.com, wood density.
    """
    moist = 1 + moisture_percent / 100
    if basis == "volume as moist":
        return 1000 * specific_gravity * moist
    return 1000 * specific_gravity / (1 + 0.009 * specific_gravity * moisture_percent) * moist
