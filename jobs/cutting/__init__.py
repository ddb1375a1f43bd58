"""Cutting: bars into lengths with the fewest bars, planks into blanks. Numbers in, numbers out."""

from jobs.cutting.bars import plan_bars
from jobs.cutting.felloes import Felloe, FelloePlan, LaidFelloe, plan_felloes
from jobs.cutting.plan import Bar, Cut, CuttingError, Piece, Plan, Stock, check_plan
from jobs.cutting.planks import Blank, Laid, Plank, PlankPlan, plan_planks

__all__ = [
    "Bar",
    "Blank",
    "Cut",
    "CuttingError",
    "Felloe",
    "FelloePlan",
    "Laid",
    "LaidFelloe",
    "Piece",
    "Plan",
    "Plank",
    "PlankPlan",
    "Stock",
    "check_plan",
    "plan_bars",
    "plan_felloes",
    "plan_planks",
]
