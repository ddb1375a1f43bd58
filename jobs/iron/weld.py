"""What is cut over for the weld: the rules in print, each with the name of who gave it."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from jobs.measures import NM_PER_INCH

# Hasluck, Cassell's Cyclopaedia of Mechanics, Tyring Cart Wheels: a run measured while the weld is hot comes out
# so much less when it is cold.
WELD_SHRINK_NM = NM_PER_INCH / 8


@dataclass(frozen=True, slots=True)
class Bend:
    """What an allowance is worked out from: the wood's run, the draw and the bar's thickness, in nanometres."""

    run_nm: float
    draw_nm: float
    thickness_nm: float

    @property
    def neutral_nm(self) -> float:
        """The middle of the bar, which neither stretches nor shortens in bending: C − draw + π t."""
        return self.run_nm - self.draw_nm + math.pi * self.thickness_nm


@dataclass(frozen=True, slots=True)
class WeldRule:
    """A rule for the weld: `over` gives what to cut beyond the middle line, in nanometres."""

    key: str
    name: str
    source: str
    over: Callable[[Bend], float]


def _over_run(inches: int) -> Callable[[Bend], float]:
    """A rule that is told as so much over the wheel's own run, bend and weld together."""
    return lambda bend: bend.run_nm + inches * NM_PER_INCH - bend.neutral_nm


WELD_RULES: tuple[WeldRule, ...] = (
    WeldRule(
        "thickness",
        "one thickness of the bar",
        "The Blacksmith's Craft, as quoted on iforgeiron.com",
        lambda bend: bend.thickness_nm,
    ),
    WeldRule(
        "hasluck",
        "5/8 in, upset and weld of ordinary bar",
        "Hasluck, Cassell's Cyclopaedia of Mechanics",
        lambda bend: 5 * NM_PER_INCH / 8,
    ),
    WeldRule(
        "googerty",
        "3/8 of the thickness",
        "Googerty, Hand-Forging and Wrought-Iron Ornamental Work",
        lambda bend: 3 * bend.thickness_nm / 8,
    ),
    WeldRule(
        "three-and-a-half",
        "3 1/2 thicknesses, bend and weld together",
        "a carriage maker on TheForge list, 2003",
        lambda bend: (3.5 - math.pi) * bend.thickness_nm,
    ),
    WeldRule(
        "three-and-three-quarters",
        "3 3/4 thicknesses, bend and weld together, with more upsetting",
        "a carriage maker on TheForge list, 2003",
        lambda bend: (3.75 - math.pi) * bend.thickness_nm,
    ),
    WeldRule(
        "run-and-three", "3 in over the wheel's run, where heavy", "Holmstrom, Modern Blacksmithing, 1901", _over_run(3)
    ),
    WeldRule(
        "run-and-two", "2 in over the wheel's run, where thin", "Holmstrom, Modern Blacksmithing, 1901", _over_run(2)
    ),
    WeldRule("none", "nothing: the ends meet and are welded as they are", "common practice, no source", lambda bend: 0),
)
BY_KEY = {rule.key: rule for rule in WELD_RULES}
