"""The sums of a hoop, be it a tyre or a band on the hub: run, draw, bar, growth. Lengths are nanometres.

The draw is on the circumference: the wood's run less the hoop's inside run (Richardson, Practical Carriage
Building, volume 1, 1891). On the diameter it is less by π. It has no usual value here: it is given or it is missing.
"""

import math
from dataclasses import dataclass

from jobs.iron.weld import Bend, WeldRule


class HoopRefused(ValueError):
    """No hoop has these measures; the message is one sentence saying what and where."""


@dataclass(frozen=True, slots=True)
class Hoop:
    """A hoop of flat bar, made smaller by its draw than the wood it goes on.

    `run_nm` is round the wood; `width_nm` and `thickness_nm` are the bar's. Raises HoopRefused where no hoop
    has such measures.
    """

    run_nm: float
    draw_nm: float
    width_nm: float
    thickness_nm: float

    def __post_init__(self) -> None:
        if self.run_nm <= 0:
            raise HoopRefused("The run round the wood must be more than nothing.")
        if self.width_nm <= 0 or self.thickness_nm <= 0:
            raise HoopRefused("The bar's width and thickness must be more than nothing.")
        if self.draw_nm < 0:
            raise HoopRefused("The draw can't be less than nothing: a hoop larger than the wood holds nothing.")
        if self.draw_nm >= self.run_nm:
            raise HoopRefused("The draw is as long as the run itself: was the one taken for the other?")

    @property
    def bend(self) -> Bend:
        return Bend(self.run_nm, self.draw_nm, self.thickness_nm)

    @property
    def inside_run_nm(self) -> float:
        """What the traveller should read inside the cold hoop."""
        return self.run_nm - self.draw_nm

    @property
    def inside_diameter_nm(self) -> float:
        return self.inside_run_nm / math.pi

    @property
    def wood_diameter_nm(self) -> float:
        return self.run_nm / math.pi

    @property
    def smaller_on_diameter_nm(self) -> float:
        """How much smaller than the wood on the diameter: the draw less by π."""
        return draw_on_diameter_nm(self.draw_nm)

    @property
    def neutral_nm(self) -> float:
        """Length of bar in the closed hoop, on the middle line: C − draw + π t.

        Googerty, Hand-Forging and Wrought-Iron Ornamental Work, page 69: π times the inside diameter and
        the thickness together.
        """
        return self.bend.neutral_nm

    def weld_nm(self, rule: WeldRule) -> float:
        """What is cut over for the weld; never less than nothing."""
        return max(0.0, rule.over(self.bend))

    def cut_nm(self, rule: WeldRule) -> float:
        """Length of bar to cut."""
        return self.neutral_nm + self.weld_nm(rule)

    def growth_to_pass(self, clearance_nm: float) -> float:
        """Growth, on the cold hoop, that gives it `clearance_nm` on the diameter over the wood."""
        return (self.run_nm + math.pi * clearance_nm) / self.inside_run_nm - 1

    def clearance_at(self, growth: float) -> float:
        """What a hoop grown by so much has to spare on the diameter; less than nothing where it sticks."""
        return (self.inside_run_nm * (1 + growth) - self.run_nm) / math.pi


def draw_on_diameter_nm(draw_nm: float) -> float:
    """The draw on the diameter, from the draw on the circumference."""
    return draw_nm / math.pi


def draw_from_diameter_nm(smaller_nm: float) -> float:
    """The draw on the circumference, from how much smaller on the diameter, as railways say it."""
    return math.pi * smaller_nm


def draw_of_runs_nm(wood_run_nm: float, inside_run_nm: float) -> float:
    """The draw from both runs as measured. Raises HoopRefused where the hoop is the larger."""
    if inside_run_nm > wood_run_nm:
        raise HoopRefused("Inside, the hoop runs longer than the wood: it would lie loose on it.")
    return wood_run_nm - inside_run_nm
