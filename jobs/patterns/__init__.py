"""Patterns and papers of a wheel: drawings in true millimetres, and what writes them for screen, cutter and printer.

Writers take a drawing and nothing else, so that they can't disagree: `jobs.patterns.svg`, `.dxf` and `.pdf`. The last
two are imported only where they are used, since their libraries take a while to load.
"""

from collections.abc import Mapping

from jobs.makeup import MakeUp
from jobs.measures import Unit
from jobs.patterns.drawing import Dimension, Drawing
from jobs.patterns.pieces import felloe, mortise_and_tenon, plate
from jobs.patterns.wheel import front, section
from jobs.sizes import Sizes

__all__ = ["Dimension", "Drawing", "patterns_of"]


def patterns_of(
    makeup: MakeUp, sizes: Sizes, *, words: Mapping[str, str], unit: Unit, circle_nm: float | None = None
) -> tuple[Drawing, ...]:
    """All drawings that this make-up has. An index plate is among them where its pitch circle is told."""
    found = (
        felloe(makeup, sizes, words=words, unit=unit),
        mortise_and_tenon(makeup, sizes, words=words, unit=unit),
        plate(makeup, circle_nm=circle_nm, words=words, unit=unit) if circle_nm else None,
        section(makeup, sizes, words=words, unit=unit),
        front(makeup, words=words, unit=unit),
    )
    return tuple(drawing for drawing in found if drawing)
