"""Drawings as SVG: in true millimetres for a cutter, and as a picture for a page."""

from collections.abc import Iterator
from html import escape

from jobs.patterns.drawing import (
    FOR_A_CUTTER,
    LAYERS,
    Arc,
    Bounds,
    Circle,
    Drawing,
    Layer,
    Line,
    Plain,
    Text,
    bounds_of,
    fitted,
    laid_out,
    on_circle,
)

MARGIN = 5.0
# Cutters tell what to do from the colour of a line.
COLOURS: dict[Layer, str] = {"outline": "#808080", "cut": "#ff0000", "centre": "#0000ff", "holes": "#000000"}
# The picture on a page fits a phone with letters that can be read.
WIDTH, HEIGHT, LETTERS = 356.0, 400.0, 16.0


def write_svg(drawing: Drawing) -> str:
    """A file in which one unit is a millimetre: its lines in a group a layer, without measures or words."""
    shapes = list(laid_out(drawing.of(*FOR_A_CUTTER), letters=1))
    box = bounds_of(shapes, letters=1).wider(MARGIN)
    groups = "".join(
        f'<g id="{layer}" fill="none" stroke="{COLOURS[layer]}" stroke-width="0.1">{"".join(lines)}</g>\n'
        for layer, lines in _by_layer(shapes, letters=1)
    )
    told = escape(" ".join(drawing.notes))
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg" width="{num(box.width)}mm" '
        f'height="{num(box.height)}mm" viewBox="{_view(box)}">\n<title>{escape(drawing.name)}</title>\n'
        f"<desc>{told}</desc>\n{groups}</svg>\n"
    )


def draw_on_page(drawing: Drawing, *, title: str) -> str:
    """The same with its measures, as a picture whose letters are 16 px high; its units are millimetres too."""
    letters, box = fitted(drawing, width=WIDTH / LETTERS, height=HEIGHT / LETTERS)
    scale = LETTERS / letters
    groups = "".join(
        f'<g class="p-{layer}">{"".join(lines)}</g>'
        for layer, lines in _by_layer(laid_out(drawing, letters=letters), letters=letters)
    )
    ident = f"pattern-{drawing.key}-t"
    return (
        f'<svg class="pattern" role="img" aria-labelledby="{ident}" width="{num(box.width * scale)}" '
        f'height="{num(box.height * scale)}" viewBox="{_view(box)}"><title id="{ident}">{escape(title)}</title>'
        f"{groups}</svg>"
    )


def _by_layer(shapes: "Iterator[Plain] | list[Plain]", *, letters: float) -> Iterator[tuple[Layer, list[str]]]:
    told = list(shapes)
    for layer in LAYERS:
        # Words last, so that they stand over the lines that cross them.
        there = sorted((shape for shape in told if shape.layer == layer), key=lambda shape: isinstance(shape, Text))
        lines = [_element(shape, letters) for shape in there]
        if lines:
            yield layer, lines


def _element(shape: Plain, letters: float) -> str:
    if isinstance(shape, Line):
        (x, y), (u, v) = shape.start, shape.end
        return f'<line x1="{num(x)}" y1="{num(-y)}" x2="{num(u)}" y2="{num(-v)}"/>'
    if isinstance(shape, Circle):
        return f'<circle cx="{num(shape.centre[0])}" cy="{num(-shape.centre[1])}" r="{num(shape.radius)}"/>'
    if isinstance(shape, Arc):
        (x, y), (u, v) = (on_circle(shape.radius, each, shape.centre) for each in (shape.start, shape.end))
        large = 1 if shape.end - shape.start > 180 else 0
        radius = num(shape.radius)
        return f'<path d="M{num(x)} {num(-y)}A{radius} {radius} 0 {large} 0 {num(u)} {num(-v)}"/>'
    x, y = shape.at
    # The middle of lower-case letters stands a third of their height over the line they stand on.
    turned = f' transform="rotate({num(-shape.angle)} {num(x)} {num(-y)})"' if shape.angle else ""
    return (
        f'<text x="{num(x)}" y="{num(-y)}" dy="{num(letters * 0.35)}" font-size="{num(letters)}" '
        f'text-anchor="middle"{turned}>{escape(shape.said)}</text>'
    )


def _view(box: Bounds) -> str:
    return f"{num(box.left)} {num(-box.top)} {num(box.width)} {num(box.height)}"


def num(value: float) -> str:
    """A co-ordinate to a tenth of a micrometre."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if abs(value) >= 5e-5 else "0"
