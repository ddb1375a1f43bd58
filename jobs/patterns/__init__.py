"""Patterns and papers of a wheel: drawings in true millimetres, and what writes them for screen, cutter and printer.

Writers take a drawing and nothing else, so that they can't disagree: `jobs.patterns.svg`, `.dxf` and `.pdf`. The last
two are imported only where they are used, since their libraries take a while to load.
"""

from collections.abc import Mapping

from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.patterns.drawing import Absent, Dimension, Drawing
from jobs.patterns.hub import joint_in_hub, plate
from jobs.patterns.rim import piece_of_rim
from jobs.patterns.wheel import front, section
from jobs.sizes import Sizes

__all__ = ["Absent", "Dimension", "Drawing", "all_patterns", "patterns_of"]


def patterns_of(
    makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit, circle_nm: float | None = None
) -> tuple[Drawing, ...]:
    """All drawings that this make-up has. An index plate is among them where its pitch circle is told."""
    found = all_patterns(makeup, sizes, words=words, unit=unit, circle_nm=circle_nm)
    return tuple(each for each in found if isinstance(each, Drawing))


def all_patterns(
    makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit, circle_nm: float | None = None
) -> tuple[Drawing | Absent, ...]:
    """The same, and in its place why there is none of what this make-up does not have."""
    return (
        piece_of_rim(makeup, sizes, words=words, unit=unit),
        joint_in_hub(makeup, sizes, words=words, unit=unit),
        plate(makeup, circle_nm=circle_nm, words=words, unit=unit),
        section(makeup, sizes, words=words, unit=unit),
        front(makeup, words=words, unit=unit),
    )
