"""Make-ups: what a kind of wheel is made of, and what is wrong with a make-up that cannot be made."""

from jobs.makeup.makeup import (
    BOXES,
    FASTENINGS,
    HEIGHTS_OVER,
    HUBS,
    RIMS,
    TONGUES,
    TYRES,
    Band,
    Box,
    Fastening,
    HeightOver,
    Hub,
    MakeUp,
    Rim,
    Tongue,
    Tyre,
    describe,
    usual_felloes,
)
from jobs.makeup.problem import Problem
from jobs.makeup.problems import problems

__all__ = [
    "BOXES",
    "FASTENINGS",
    "HEIGHTS_OVER",
    "HUBS",
    "RIMS",
    "TONGUES",
    "TYRES",
    "Band",
    "Box",
    "Fastening",
    "HeightOver",
    "Hub",
    "MakeUp",
    "Problem",
    "Rim",
    "Tongue",
    "Tyre",
    "describe",
    "problems",
    "usual_felloes",
]
