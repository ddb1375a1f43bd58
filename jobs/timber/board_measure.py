"""Timber as it is bought: board feet by the graders' rounding, cubic metres, Hoppus feet and tons.

Sums are exact fractions; what is rounded says by which rule.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from jobs.measures import NM_PER_FOOT, NM_PER_INCH
from jobs.timber.refusals import checked_size

CUBIC_NM_PER_M3 = 10**27
CUBIC_NM_PER_BOARD_FOOT = 144 * NM_PER_INCH**3
CUBIC_NM_PER_CUBIC_FOOT = NM_PER_FOOT**3
# A Hoppus foot is 4/π cubic feet, a Hoppus ton 50 of them.
HOPPUS_FEET_PER_TON = 50


@dataclass(frozen=True, slots=True)
class Board:
    """A board by its thickness, width and length, in whole nanometres."""

    thickness_nm: int
    width_nm: int
    length_nm: int

    def __post_init__(self) -> None:
        checked_size(self.thickness_nm, "the thickness of a board")
        checked_size(self.width_nm, "the width of a board")
        checked_size(self.length_nm, "the length of a board")

    @property
    def thickness_in(self) -> Fraction:
        return Fraction(self.thickness_nm, NM_PER_INCH)

    @property
    def width_in(self) -> Fraction:
        return Fraction(self.width_nm, NM_PER_INCH)

    @property
    def length_ft(self) -> Fraction:
        return Fraction(self.length_nm, NM_PER_FOOT)


def board_feet(board: Board) -> Fraction:
    """Board feet of 144 cubic inches, exactly: inches wide by feet long by inches thick, over 12.

    Under an inch of thickness counts as an inch (US Navy, Engineering Aid, on board measure).
    """
    return board.width_in * board.length_ft * max(Fraction(1), board.thickness_in) / 12


def surface_measure(board: Board) -> int:
    """Square feet of one face, to the nearest whole foot: inches wide by feet long, over 12.

    The grading rule of the National Hardwood Lumber Association. A half exactly goes up, for which no source
    was read.
    """
    return _nearest_half_up(board.width_in * board.length_ft / 12)


def graded_board_feet(boards: Iterable[Board]) -> Fraction:
    """Board feet as a grader tallies them: each board's surface measure, whole, by its thickness in inches.

    American Hardwood Export Council, on measurement; under an inch counts as an inch.
    """
    return sum((surface_measure(each) * max(Fraction(1), each.thickness_in) for each in boards), start=Fraction(0))


@dataclass(frozen=True, slots=True)
class Tallied:
    """A board as the export tally writes it down, and the board feet of that."""

    width_in: int
    length_ft: int
    board_feet: Fraction


def export_tally(boards: Iterable[Board]) -> list[Tallied]:
    """Boards in the order they are tallied: widths to the nearest inch, lengths down to the whole foot.

    An exact half inch goes up and down by turns, up first; under an inch of thickness counts as an inch
    (American Hardwood Export Council, on measurement; which of the turns is first it does not say).
    """
    tallied, up = [], True
    for board in boards:
        width = board.width_in
        if width.denominator == 2:
            whole = math.ceil(width) if up else math.floor(width)
            up = not up
        else:
            whole = round(width)
        feet = math.floor(board.length_ft)
        tallied.append(Tallied(whole, feet, whole * feet * max(Fraction(1), board.thickness_in) / 12))
    return tallied


def cubic_metres(board: Board) -> Fraction:
    """Exactly what is there, whatever the graders count."""
    return Fraction(board.thickness_nm * board.width_nm * board.length_nm, CUBIC_NM_PER_M3)


def board_feet_to_m3(feet: Fraction | int) -> Fraction:
    return Fraction(feet) * CUBIC_NM_PER_BOARD_FOOT / CUBIC_NM_PER_M3


def hoppus_feet(girth_nm: int, length_nm: int) -> Fraction:
    """A round log in Hoppus feet, exactly: the square of a quarter of its girth at mid length, by its length.

    Hoppus, Practical Measuring, 1736. It leaves the sawyer's waste out: 78.54 % of the log. Raises TimberError.
    """
    checked_size(girth_nm, "the girth of a log")
    checked_size(length_nm, "the length of a log")
    return Fraction(girth_nm**2 * length_nm, 16 * CUBIC_NM_PER_CUBIC_FOOT)


def hoppus_to_m3(feet: Fraction | float) -> float:
    """The whole round log in cubic metres: a Hoppus foot is 4/π cubic feet."""
    return float(feet) * 4 / math.pi * CUBIC_NM_PER_CUBIC_FOOT / CUBIC_NM_PER_M3


def hoppus_tons(feet: Fraction) -> Fraction:
    """Tons of 50 Hoppus feet: a measure of bulk, not of mass."""
    return feet / HOPPUS_FEET_PER_TON


def _nearest_half_up(value: Fraction) -> int:
    return math.floor(value + Fraction(1, 2))
