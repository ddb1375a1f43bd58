"""Wheels and their loose pieces as SVG, drawn from the make-up in proportion, each piece in its state."""

from jobs.drawing.key import state_swatch
from jobs.drawing.progress import IronState, WheelProgress
from jobs.drawing.rack import draw_rack
from jobs.drawing.sets import draw_set, set_scale
from jobs.drawing.small import draw_small
from jobs.drawing.wheel import draw_wheel
from jobs.drawing.words import counts_in_words

__all__ = [
    "IronState",
    "WheelProgress",
    "counts_in_words",
    "draw_rack",
    "draw_set",
    "draw_small",
    "draw_wheel",
    "set_scale",
    "state_swatch",
]
