"""The list itself: how many of each blank some wheels want, with spares."""

from collections.abc import Mapping
from dataclasses import dataclass

from jobs.cutting_list.allowances import Allowances
from jobs.cutting_list.blanks import Blank, Part, blanks_of
from jobs.cutting_list.spares import Spoilt, spares
from jobs.makeup import MakeUp


@dataclass(frozen=True, slots=True)
class Line:
    """So many of one blank; `whose` names the wheels. `kept` are spares that stay with the set, counted in `needed`."""

    blank: Blank
    whose: str
    needed: int
    kept: int
    spares: int

    @property
    def number(self) -> int:
        """All that are to be cut."""
        return self.needed + self.spares


def lines_of(
    makeup: MakeUp,
    wheels: int,
    allow: Allowances,
    *,
    spoilt: Mapping[Part, Spoilt],
    kept: Mapping[Part, int] | None = None,
    whose: str = "",
) -> list[Line]:
    """The lines of so many like wheels. `kept` are spares asked for with the set, by kind of piece.

    Raises ValueError as `blanks_of` does.
    """
    found = []
    left = dict(kept or {})
    # Of two rows of spokes the longer makes the spares: it can be cut down to the other.
    for blank in sorted(blanks_of(makeup, allow), key=lambda each: -(each.length_nm or 0)):
        with_set = left.pop(_counted_as(blank.part), 0)
        needed = wheels * blank.a_wheel + with_set
        if needed:
            more = spares(needed, spoilt.get(_counted_as(blank.part), Spoilt()))
            found.append(Line(blank, whose, needed, with_set, more))
    order = ("hub", "spoke", "felloe", "strip")
    return sorted(found, key=lambda line: order.index(line.blank.part))


def _counted_as(part: Part) -> Part:
    """Bent pieces are counted and spoiled as felloes are."""
    return "felloe" if part == "strip" else part
