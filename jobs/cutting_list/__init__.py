"""The timber of wheels: blanks with what is allowed over, spares for what is spoiled, and what they are cut from."""

from jobs.cutting_list.allowances import USUAL, Allowances
from jobs.cutting_list.blanks import Blank, Part, blanks_of
from jobs.cutting_list.lines import Line, lines_of
from jobs.cutting_list.spares import Spoilt, spares
from jobs.cutting_list.stock import Cutting, Stock, cut_from, fits, is_thick_enough, measure_of

__all__ = [
    "USUAL",
    "Allowances",
    "Blank",
    "Cutting",
    "Line",
    "Part",
    "Spoilt",
    "Stock",
    "blanks_of",
    "cut_from",
    "fits",
    "is_thick_enough",
    "lines_of",
    "measure_of",
    "spares",
]
