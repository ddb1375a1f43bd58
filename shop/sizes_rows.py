"""What a row of the page of sizes is, and how lengths, angles and weights are written in it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.sizes import Sizes
from jobs.sizes.masses import Mass
from jobs.sizes.shown import angle_shown, length_shown, mass_shown

NOT_TOLD = "not told"


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size. `small` is its decimal, or the same in other units; `how` says the formula and its source."""

    label: str
    shown: str
    small: str = ""
    how: str = ""


@dataclass(frozen=True, slots=True)
class SizeGroup:
    heading: str
    rows: tuple[SizeRow, ...]
    note: str = ""

    @property
    def ident(self) -> str:
        """Names the group in the page's address."""
        return re.sub(r"[^a-z]+", "-", self.heading.lower()).strip("-")

    @property
    def hows(self) -> list[SizeRow]:
        return [row for row in self.rows if row.how]


@dataclass(frozen=True, slots=True)
class Sheet:
    """The sizes of one make-up, with the words and the unit to write them in, and what a spoke's blank is longer by."""

    makeup: MakeUp
    sizes: Sizes
    words: Mapping[str, str]
    unit: Unit
    blank_over_nm: int

    def length(self, label: str, nm: float | None, how: str = "", *, wants: str = "") -> SizeRow:
        """A row of one length; `wants` says what is to be told where it can't be reckoned."""
        if nm is None:
            return SizeRow(label, NOT_TOLD, wants, how)
        return SizeRow(label, *length_shown(nm, unit=self.unit), how)

    def two(self, label: str, one_nm: float, other_nm: float, how: str = "", *, between: str = " × ") -> SizeRow:
        """A row of two lengths, as a section is written or a range."""
        (one, one_small), (other, other_small) = (length_shown(nm, unit=self.unit) for nm in (one_nm, other_nm))
        number = one.removesuffix(f" {self.unit}")
        small = ""
        if one_small or other_small:
            small = f"{(one_small or one).removesuffix(f' {self.unit}')}{between}{other_small or other}"
        return SizeRow(label, f"{number}{between}{other}", small, how)

    def angle(self, label: str, radians: float, how: str = "") -> SizeRow:
        return SizeRow(label, *angle_shown(radians), how)

    def weight(self, label: str, kg: float | None, how: str = "", *, why: str = "a part is not known") -> SizeRow:
        if kg is None:
            return SizeRow(label, "not known", why, how)
        return SizeRow(label, *mass_shown(kg, unit=self.unit), how)

    def part(self, label: str, mass: Mass, how: str = "") -> SizeRow:
        """The weight of a part; a wooden one says what its timber is reckoned as."""
        named = f"{label}, as {mass.wood.name}" if mass.wood else label
        return self.weight(named, mass.kg, how, why=mass.why)
