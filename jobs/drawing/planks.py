"""Timber as it is cut: planks seen from above with their blanks or felloes, and what is left of them dashed."""

from collections.abc import Iterable

from jobs.cutting import Laid, LaidFelloe, Plank
from jobs.drawing.svg import num, svg

MARGIN = 1.0


def draw_blanks(plank: Plank, laid: Iterable[Laid], *, longest_nm: int, width: float, title: str) -> str:
    """A plank with straight blanks, at the scale at which `longest_nm` is `width` pixels long."""
    scale = width / longest_nm
    pieces = [
        f'<path class="w-spoke w-done" d="M{num(one.x_nm * scale)} {num(one.y_nm * scale)}'
        f'h{num(one.length_nm * scale)}v{num(one.width_nm * scale)}h-{num(one.length_nm * scale)}z"/>'
        for one in laid
    ]
    return _plank(plank, pieces, scale, title)


def draw_arcs(plank: Plank, laid: Iterable[LaidFelloe], *, longest_nm: int, width: float, title: str) -> str:
    """A plank with felloes, likewise; their soles lie downwards."""
    scale = width / longest_nm
    return _plank(plank, [_arc(one, scale) for one in laid], scale, title)


def _arc(laid: LaidFelloe, scale: float) -> str:
    left, right, inner_right, inner_left = (f"{num(x * scale)} {num(y * scale)}" for x, y in laid.corners())
    sole, belly = num(laid.felloe.outer_nm * scale), num(laid.felloe.inner_nm * scale)
    return (
        f'<path class="w-felloe w-done" d="M{left}A{sole} {sole} 0 0 0 {right}L{inner_right}'
        f'A{belly} {belly} 0 0 1 {inner_left}Z"/>'
    )


def _plank(plank: Plank, pieces: list[str], scale: float, title: str) -> str:
    long, wide = plank.length_nm * scale, plank.width_nm * scale
    edge = f'<path class="w-felloe w-todo" d="M0 0h{num(long)}v{num(wide)}h-{num(long)}z"/>'
    box = (-MARGIN, -MARGIN, long + 2 * MARGIN, wide + 2 * MARGIN)
    return svg("".join([edge, *pieces]), box=box, title=title, ident=None, kind="w-bar")
