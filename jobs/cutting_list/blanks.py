"""The blanks of one wheel: hub, spokes, sawn felloes or bent strips, each with what is allowed over its size."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from jobs.cutting import Felloe
from jobs.cutting_list.allowances import Allowances
from jobs.makeup import MakeUp
from jobs.sizes.rim import strip
from jobs.sizes.spokes import spoke_rows
from jobs.timber import Board, board_feet, cubic_metres

Part = Literal["hub", "spoke", "felloe", "strip"]


@dataclass(frozen=True, slots=True)
class Blank:
    """A piece as it is cut from the tree, in whole nanometres, and how many of it a wheel has.

    `row` tells staggered spokes apart: "front", "back", or else "all". A hub's thickness and width are both its
    diameter. A felloe's length and width are those of the plank that holds one, and `arc` is its shape. `length_nm` is
    None while it can't be told: a spoke's, for want of the box.
    """

    part: Part
    timber: str
    a_wheel: int
    thickness_nm: int
    width_nm: int
    length_nm: int | None
    row: str = "all"
    arc: Felloe | None = None

    @property
    def board(self) -> Board | None:
        """Squared, as it is measured; None without a length."""
        return None if self.length_nm is None else Board(self.thickness_nm, self.width_nm, self.length_nm)

    @property
    def board_feet(self) -> Fraction | None:
        """Exactly, under an inch of thickness counted as an inch."""
        return None if self.board is None else board_feet(self.board)

    @property
    def cubic_metres(self) -> Fraction | None:
        return None if self.board is None else cubic_metres(self.board)


def blanks_of(makeup: MakeUp, allow: Allowances) -> tuple[Blank, ...]:
    """Every blank of one wheel; a two-piece bolted hub is of metal and has none.

    Raises ValueError for a make-up that leaves no spoke between hub and rim.
    """
    if makeup.bare_spoke_nm <= 0:
        raise ValueError("There is no spoke between this hub and this rim.")
    return (*_hub(makeup, allow), *_spokes(makeup, allow), _rim(makeup, allow))


def _hub(makeup: MakeUp, allow: Allowances) -> Iterator[Blank]:
    if makeup.hub == "wood":
        diameter = makeup.hub_diameter_nm + allow.hub_diameter_nm
        length = makeup.hub_length_nm + allow.hub_length_nm
        yield Blank("hub", makeup.hub_timber, 1, diameter, diameter, length)


def _spokes(makeup: MakeUp, allow: Allowances) -> Iterator[Blank]:
    """Along the tree, a spoke's blank is that of the sheet of sizes."""
    thin, wide = sorted((makeup.spoke_thickness_nm, makeup.spoke_width_nm))
    over = allow.spoke_section_nm
    for row in spoke_rows(makeup, blank_over_nm=allow.spoke_length_nm):
        length = None if row.blank_nm is None else math.ceil(row.blank_nm)
        yield Blank("spoke", makeup.spoke_timber, row.count, thin + over, wide + over, length, row.row)


def _rim(makeup: MakeUp, allow: Allowances) -> Blank:
    if makeup.rim == "bent":
        thin, wide = sorted((makeup.felloe_depth_nm, makeup.felloe_width_nm))
        over = allow.strip_section_nm
        length = math.ceil(strip(makeup).neutral_nm) + allow.strip_length_nm
        return Blank("strip", makeup.felloe_timber, makeup.felloes, thin + over, wide + over, length)
    thickness = makeup.felloe_width_nm + allow.felloe_thickness_nm
    outer = math.ceil(makeup.wood_radius_nm) + allow.felloe_depth_nm
    if makeup.felloes < 3:
        # No arc that lies along a plank: one piece takes the square of the wheel, two the half of it.
        width = 2 * outer // makeup.felloes
        return Blank("felloe", makeup.felloe_timber, makeup.felloes, thickness, width, 2 * outer)
    inner = max(1, math.floor(makeup.rim_inner_radius_nm) - allow.felloe_depth_nm)
    # However much is allowed, a blank is never more than half of the round.
    most = math.floor(outer * (math.pi / 2 - math.pi / makeup.felloes))
    arc = Felloe(outer, inner, makeup.felloes, ends_nm=min(allow.felloe_end_nm, most))
    width, length = math.ceil(arc.width_nm), math.ceil(arc.chord_nm)
    return Blank("felloe", makeup.felloe_timber, makeup.felloes, thickness, width, length, arc=arc)
