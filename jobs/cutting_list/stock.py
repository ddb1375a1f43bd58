"""What blanks are cut from: planks, squared blanks or logs of one size; how many it takes, and their measure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from jobs import cutting
from jobs.cutting import CuttingError, FelloePlan, Piece, Plan, Plank, PlankPlan, plan_bars, plan_felloes, plan_planks
from jobs.cutting_list.blanks import Blank
from jobs.cutting_list.lines import Line
from jobs.measures import NM_PER_MM, Unit, format_length
from jobs.timber import Board, board_feet, cubic_metres, graded_board_feet, hoppus_feet, hoppus_to_m3

Measure = Literal["each", "board_foot", "m3", "metre", "hoppus_foot"]
NM_PER_METRE = 1000 * NM_PER_MM


@dataclass(frozen=True, slots=True)
class Stock:
    """A size of timber in whole nanometres: a log by its girth and length, a plank or squared blank by its three.

    A plank of which nobody has told the thickness is as thick as is wanted.
    """

    length_nm: int
    width_nm: int = 0
    thickness_nm: int | None = None
    girth_nm: int | None = None

    @property
    def through_nm(self) -> float:
        """A log's diameter by its girth, as if it were round."""
        return (self.girth_nm or 0) / math.pi


@dataclass(frozen=True, slots=True)
class Cutting:
    """How many of a stock some blanks take, and where each lies."""

    stock: Stock
    plan: Plan | PlankPlan | FelloePlan

    @property
    def count(self) -> int:
        return len(self.plan.bars) if isinstance(self.plan, Plan) else len(self.plan.planks)

    @property
    def least(self) -> int:
        """A number that no plan of this kind comes under."""
        return self.plan.least_new if isinstance(self.plan, Plan) else self.plan.least

    @property
    def thickness_nm(self) -> int:
        """Of sawn stock; 0 of a log, and where nobody told it."""
        return self.stock.thickness_nm or 0

    def amount(self, measure: Measure) -> Fraction:
        """How much of the stock is bought, whole pieces of it, by a measure, as `measure_of` measures one."""
        return self.count * measure_of(self.stock, measure)


def measure_of(stock: Stock, measure: Measure) -> Fraction:
    """One plank, blank or log by a measure: board feet as a grader tallies it, or exact where the whole feet of its
    face, to which he goes, would make it none; cubic metres exact, a log's those of the whole round. Raises ValueError
    for a measure that this stock does not have."""
    if measure == "each":
        return Fraction(1)
    if stock.girth_nm is not None:
        feet = hoppus_feet(stock.girth_nm, stock.length_nm)
        if measure == "hoppus_foot":
            return feet
        if measure == "m3":
            return Fraction(hoppus_to_m3(feet))
    elif measure == "metre":
        return Fraction(stock.length_nm, NM_PER_METRE)
    elif stock.thickness_nm and measure in ("board_foot", "m3"):
        board = Board(stock.thickness_nm, stock.width_nm, stock.length_nm)
        return (graded_board_feet([board]) or board_feet(board)) if measure == "board_foot" else cubic_metres(board)
    raise ValueError(f"This stock is not measured by {measure}.")


def is_thick_enough(blank: Blank, stock: Stock) -> bool:
    """Whether sawn stock holds the blank's thickness, a hub's diameter; a log may be as thick as it is asked to be."""
    return stock.girth_nm is not None or stock.thickness_nm is None or blank.thickness_nm <= stock.thickness_nm


def fits(blank: Blank, stock: Stock) -> bool:
    """Whether one such blank can be got from the stock at all."""
    try:
        _check(blank, stock, "mm")
    except CuttingError:
        return False
    return stock.girth_nm is not None or _ripped_nm(blank, stock) <= stock.width_nm


def cut_from(
    stock: Stock, lines: Sequence[Line], *, kerf_nm: int, seconds: float | None = None, unit: Unit = "mm"
) -> Cutting:
    """Lay out every blank of these lines, all of one part, on the fewest of a stock. Those without a length are left.

    Raises CuttingError, with lengths in `unit`, where one can't be got from it.
    """
    told = [line for line in lines if line.blank.length_nm is not None]
    for line in told:
        _check(line.blank, stock, unit)
    if stock.girth_nm is not None or any(line.blank.part == "hub" for line in told):
        pieces = [Piece(line.blank.length_nm or 0, line.number, name_of(line)) for line in told]
        bars = plan_bars(pieces, [cutting.Stock(stock.length_nm)], kerf_nm=kerf_nm, seconds=seconds, unit=unit)
        return Cutting(stock, bars)
    plank = Plank(stock.length_nm, stock.width_nm)
    if all(line.blank.arc for line in told) and told:
        arcs = [replace(line.blank.arc, wanted=line.number, name=name_of(line)) for line in told if line.blank.arc]
        return Cutting(stock, plan_felloes(arcs, plank, kerf_nm=kerf_nm, seconds=seconds, unit=unit))
    blanks = [
        cutting.Blank(line.blank.length_nm or 0, _ripped_nm(line.blank, stock), line.number, name_of(line))
        for line in told
    ]
    return Cutting(stock, plan_planks(blanks, plank, kerf_nm=kerf_nm, seconds=seconds, unit=unit))


def name_of(line: Line) -> str:
    """What a blank is called on a plan: "hind pair", "hind pair, front row"."""
    row = "" if line.blank.row == "all" else f"{line.blank.row} row"
    return ", ".join(filter(None, (line.whose, row)))


def _ripped_nm(blank: Blank, stock: Stock) -> int:
    """How wide a strip is ripped for it: the narrower of its sides, where the plank is thick enough for the wider."""
    if blank.arc or stock.thickness_nm is None or blank.width_nm > stock.thickness_nm:
        return blank.width_nm
    return blank.thickness_nm


def _check(blank: Blank, stock: Stock, unit: Unit) -> None:
    """Raises CuttingError where a blank is thicker or longer than the stock, or a hub wider."""
    if blank.length_nm is not None and blank.length_nm > stock.length_nm:
        raise CuttingError(
            f"The blanks are {format_length(blank.length_nm, unit=unit)} long, "
            f"and the timber only {format_length(stock.length_nm, unit=unit)}."
        )
    if stock.girth_nm is not None:
        if blank.width_nm > stock.through_nm:
            raise CuttingError(
                f"The blanks are {format_length(blank.width_nm, unit=unit)} through, "
                f"and the log only {format_length(int(stock.through_nm), unit=unit)}."
            )
    elif stock.thickness_nm is not None and not is_thick_enough(blank, stock):
        raise CuttingError(
            f"The blanks are {format_length(blank.thickness_nm, unit=unit)} thick, "
            f"and the timber only {format_length(stock.thickness_nm, unit=unit)}."
        )
    elif blank.part == "hub" and blank.width_nm > stock.width_nm:
        raise CuttingError(
            f"The blanks are {format_length(blank.width_nm, unit=unit)} through, "
            f"and the timber only {format_length(stock.width_nm, unit=unit)} wide."
        )
