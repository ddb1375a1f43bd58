"""Straight blanks, such as spokes are shaved from, out of planks: ripped into strips, the strips crosscut.

A strip has the width of its blanks, and all blanks lie along the grain. Of plans that cut so, the one found takes
the fewest strips of each width and then the fewest planks, each as far as the search for bars proves it.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from jobs.cutting.bars import plan_bars
from jobs.cutting.plan import Bar, CuttingError, Piece, Stock
from jobs.measures import Unit, format_length


@dataclass(frozen=True, slots=True)
class Plank:
    """A plank by its length along the grain and its width, and how many there are: None for as many as it takes."""

    length_nm: int
    width_nm: int
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Blank:
    """A straight blank, its length along the grain."""

    length_nm: int
    width_nm: int
    wanted: int = 1
    name: str = ""


@dataclass(frozen=True, slots=True)
class Laid:
    """A blank on its plank: the corner nearest the plank's own corner, along the grain and across it."""

    name: str
    x_nm: int
    y_nm: int
    length_nm: int
    width_nm: int


@dataclass(frozen=True, slots=True)
class PlankPlan:
    """The blanks of each plank. `least` is the fewest planks for strips of one width, which others may come under."""

    plank: Plank
    planks: tuple[tuple[Laid, ...], ...]
    least: int

    @property
    def yield_share(self) -> float:
        """The share of the planks' face that ends in blanks."""
        face = len(self.planks) * self.plank.length_nm * self.plank.width_nm
        blanks = sum(blank.length_nm * blank.width_nm for laid in self.planks for blank in laid)
        return blanks / face if face else 1.0


def plan_planks(
    blanks: Sequence[Blank], plank: Plank, *, kerf_nm: int = 0, seconds: float | None = None, unit: Unit = "mm"
) -> PlankPlan:
    """Every blank on a plank, with the place of each.

    `seconds` is for each of the searches. Raises CuttingError, with its lengths in `unit`, where a blank is wider
    or longer than the plank or there are too few planks.
    """
    check_plank(plank)
    by_width: dict[int, list[Piece]] = defaultdict(list)
    for blank in blanks:
        if blank.width_nm <= 0:
            raise CuttingError(f"The width of {_named(blank.name)} must be more than nothing.")
        if blank.width_nm > plank.width_nm:
            raise CuttingError(
                f"{_named(blank.name, begins=True)} is {format_length(blank.width_nm, unit=unit)} wide, "
                f"and the planks only {format_length(plank.width_nm, unit=unit)}."
            )
        by_width[blank.width_nm].append(Piece(blank.length_nm, blank.wanted, blank.name))
    along = {
        width: plan_bars(pieces, [Stock(plank.length_nm)], kerf_nm=kerf_nm, seconds=seconds, unit=unit)
        for width, pieces in by_width.items()
    }
    strips = {width: list(plan.bars) for width, plan in along.items()}
    widths = [Piece(width, len(bars)) for width, bars in strips.items()]
    across = plan_bars(widths, [Stock(plank.width_nm)], kerf_nm=kerf_nm, seconds=seconds, unit=unit)
    check_number(len(across.bars), plank)
    laid = tuple(_laid(cut, strips, kerf_nm) for cut in across.bars)
    # Fewer strips never need more planks, so that the one bound holds where every other was reached.
    proven = across.least_new if all(plan.proven for plan in along.values()) else 0
    return PlankPlan(plank, laid, max(proven, _least(blanks, plank, kerf_nm)))


def check_plank(plank: Plank) -> None:
    """Raises CuttingError where a plank has no possible size."""
    if plank.length_nm <= 0 or plank.width_nm <= 0:
        raise CuttingError("The length and width of a plank must be more than nothing.")


def check_number(wanted: int, plank: Plank) -> None:
    """Raises CuttingError where a plan takes more planks than there are."""
    if plank.count is not None and wanted > plank.count:
        raise CuttingError(f"It takes {wanted} planks, and there are only {plank.count}.")


def _laid(across: Bar, strips: dict[int, list[Bar]], kerf_nm: int) -> tuple[Laid, ...]:
    laid, y = [], 0
    for strip in across.cuts:
        x = 0
        for cut in strips[strip.length_nm].pop(0).cuts:
            laid.append(Laid(cut.name, x, y, cut.length_nm, strip.length_nm))
            x += cut.length_nm + kerf_nm
        y += strip.length_nm + kerf_nm
    return tuple(laid)


def _least(blanks: Sequence[Blank], plank: Plank, kerf_nm: int) -> int:
    """Planks by mere face: each blank with a cut along two of its sides, and each plank likewise."""
    face = sum((each.length_nm + kerf_nm) * (each.width_nm + kerf_nm) * each.wanted for each in blanks)
    return -(-face // ((plank.length_nm + kerf_nm) * (plank.width_nm + kerf_nm)))


def _named(name: str, *, begins: bool = False) -> str:
    return f"“{name}”" if name else "A blank" if begins else "a blank"
