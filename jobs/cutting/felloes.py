"""Felloe blanks out of planks: arcs laid along the grain, one in the hollow of the other.

A felloe is the part of a ring between two radii. Moved straight across the plank, the next one clears the first where
its inner corners do: they are what stands out lowest. So a stack of them takes little more width than one and
their depths. Stacks stand one beside the other along the plank.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.cutting.bars import plan_bars
from jobs.cutting.plan import CuttingError, Piece, Stock
from jobs.cutting.planks import Plank, check_number, check_plank
from jobs.measures import Unit, format_length


@dataclass(frozen=True, slots=True)
class Felloe:
    """A felloe blank, by its radii in nanometres and how many such go round a wheel; its ends lie along the radius.

    `ends_nm` is what is left at each end to be trimmed off, along the sole.
    """

    outer_nm: float
    inner_nm: float
    round_the_wheel: int
    wanted: int = 1
    name: str = ""
    ends_nm: int = 0

    @property
    def half_angle(self) -> float:
        """Half of what it spans at the wheel's middle, in radians."""
        return math.pi / self.round_the_wheel + self.ends_nm / self.outer_nm

    @property
    def chord_nm(self) -> float:
        """From end to end along the plank."""
        return 2 * self.outer_nm * math.sin(self.half_angle)

    @property
    def width_nm(self) -> float:
        """Across the plank, from the inner corners to the crown: R − r cos(π/n)."""
        return self.outer_nm - self.inner_nm * math.cos(self.half_angle)

    @property
    def face_nm2(self) -> float:
        """(R² − r²) π/n; what is left at its ends is counted with it."""
        return (self.outer_nm**2 - self.inner_nm**2) * self.half_angle

    def step_nm(self, kerf_nm: int) -> float:
        """How far the next of a stack lies across the plank, clear of this one by the kerf.

        √((R + k)² − (r sin π/n)²) − r cos π/n: its inner corner stands the kerf off this one's sole.
        """
        across = self.inner_nm * math.sin(self.half_angle)
        return math.sqrt((self.outer_nm + kerf_nm) ** 2 - across**2) - self.inner_nm * math.cos(self.half_angle)

    def stacked(self, width_nm: int, kerf_nm: int) -> int:
        """How many lie one in the hollow of the other in a plank of that width."""
        over = width_nm - self.width_nm
        return 0 if over < 0 else 1 + math.floor(over / self.step_nm(kerf_nm))


@dataclass(frozen=True, slots=True)
class LaidFelloe:
    """A felloe on its plank; its wheel's middle would be at (x, y): along the plank, and across it (mostly off it)."""

    felloe: Felloe
    x_nm: float
    y_nm: float

    def corners(self) -> tuple[tuple[float, float], ...]:
        """Its four corners, outer left, outer right, inner right, inner left, for drawing with two arcs."""
        sine, cosine = math.sin(self.felloe.half_angle), math.cos(self.felloe.half_angle)
        outer, inner = self.felloe.outer_nm, self.felloe.inner_nm
        sides = ((-1, outer), (1, outer), (1, inner), (-1, inner))
        return tuple((self.x_nm + side * radius * sine, self.y_nm + radius * cosine) for side, radius in sides)


@dataclass(frozen=True, slots=True)
class FelloePlan:
    """The felloes of each plank. `least` is the fewest planks for stacks of this kind, not for any way of cutting."""

    plank: Plank
    planks: tuple[tuple[LaidFelloe, ...], ...]
    least: int

    @property
    def yield_share(self) -> float:
        """The share of the planks' face that ends in felloes."""
        face = len(self.planks) * self.plank.length_nm * self.plank.width_nm
        return sum(each.felloe.face_nm2 for laid in self.planks for each in laid) / face if face else 1.0


def plan_felloes(
    felloes: Sequence[Felloe], plank: Plank, *, kerf_nm: int = 0, seconds: float | None = None, unit: Unit = "mm"
) -> FelloePlan:
    """Every felloe on a plank, with the place of each.

    Raises CuttingError, with its lengths in `unit`, where one is no felloe, or wider or longer than the plank, or
    there are too few planks.
    """
    check_plank(plank)
    if kerf_nm < 0:
        raise CuttingError("The width of the cut can't be less than nothing.")
    pieces = []
    for index, felloe in enumerate(felloes):
        stack = _checked(felloe, plank, kerf_nm, unit)
        # The stacks' names are their felloe's place in the list.
        pieces.append(Piece(math.ceil(felloe.chord_nm), -(-felloe.wanted // stack), str(index)))
    along = plan_bars(pieces, [Stock(plank.length_nm)], kerf_nm=kerf_nm, seconds=seconds, unit=unit)
    check_number(len(along.bars), plank)
    left = Counter({index: felloe.wanted for index, felloe in enumerate(felloes)})
    planks = []
    for bar in along.bars:
        laid: list[LaidFelloe] = []
        x = 0
        for cut in bar.cuts:
            felloe = felloes[int(cut.name)]
            number = min(felloe.stacked(plank.width_nm, kerf_nm), left[int(cut.name)])
            left[int(cut.name)] -= number
            laid += _stack(felloe, number, x, kerf_nm)
            x += cut.length_nm + kerf_nm
        planks.append(tuple(laid))
    return FelloePlan(plank, tuple(planks), along.least_new)


def _stack(felloe: Felloe, number: int, x: int, kerf_nm: int) -> list[LaidFelloe]:
    middle, foot = x + felloe.chord_nm / 2, -felloe.inner_nm * math.cos(felloe.half_angle)
    return [LaidFelloe(felloe, middle, foot + place * felloe.step_nm(kerf_nm)) for place in range(number)]


def _checked(felloe: Felloe, plank: Plank, kerf_nm: int, unit: Unit) -> int:
    """How many are stacked, once the felloe is one and fits the plank."""
    name = f"“{felloe.name}”" if felloe.name else "a felloe"
    if not 0 < felloe.inner_nm < felloe.outer_nm:
        raise CuttingError(f"The inner radius of {name} must be more than nothing and less than the outer.")
    if felloe.round_the_wheel < 3:
        raise CuttingError("A wheel of sawn felloes has at least 3.")
    if not 0 <= felloe.ends_nm / felloe.outer_nm <= math.pi / 2 - math.pi / felloe.round_the_wheel:
        raise CuttingError(f"What is left at the ends of {name} is too much, or less than nothing.")
    if felloe.wanted < 0:
        raise CuttingError(f"The number wanted of {name} can't be less than nothing.")
    stack = felloe.stacked(plank.width_nm, kerf_nm)
    if not stack:
        raise CuttingError(
            f"For {name} it takes a plank {format_length(math.ceil(felloe.width_nm), unit=unit)} wide, "
            f"and this is {format_length(plank.width_nm, unit=unit)}."
        )
    return stack
