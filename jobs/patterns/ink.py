"""The lines, curves and words of a drawing on a printer's canvas."""

import math

from reportlab.pdfgen.canvas import Canvas

from jobs.patterns.drawing import Arc, Circle, Layer, Line, Plain, Text
from jobs.patterns.paper import font, width_of

# In millimetres on the paper.
WIDTHS: dict[Layer, float] = {"outline": 0.25, "cut": 0.4, "centre": 0.2, "holes": 0.3, "measures": 0.15, "text": 0.2}
DASHES = (6.0, 1.5, 1.5, 1.5)
# A curve of a turn's twelfth, as paper's curves are drawn, lies within a millionth of its radius of the true arc.
LONGEST_CURVE = 30.0


def draw_shape(canvas: Canvas, shape: Plain, *, letters: float, lines: float = 1.0) -> None:
    """On a canvas in the drawing's millimetres, with letters of that height and lines so many times as wide."""
    canvas.setLineWidth(WIDTHS[shape.layer] * lines)
    canvas.setDash([each * lines for each in DASHES] if shape.layer == "centre" else [])
    if isinstance(shape, Line):
        canvas.line(*shape.start, *shape.end)
    elif isinstance(shape, Circle):
        _curve(canvas, Arc(shape.layer, shape.centre, shape.radius, 0, 360))
    elif isinstance(shape, Arc):
        _curve(canvas, shape)
    else:
        _text(canvas, shape, letters)
    canvas.setDash([])


def _text(canvas: Canvas, shape: Text, letters: float) -> None:
    """On white, so that it is read over the lines that cross it."""
    canvas.saveState()
    canvas.translate(*shape.at)
    canvas.rotate(shape.angle)
    canvas.setFont(font(), letters)
    half = width_of(shape.said, letters) / 2
    canvas.setFillGray(1)
    canvas.rect(-half, -letters * 0.45, 2 * half, letters * 0.9, stroke=0, fill=1)
    canvas.setFillGray(0)
    canvas.drawCentredString(0, -letters * 0.35, shape.said)
    canvas.restoreState()


def _curve(canvas: Canvas, arc: Arc) -> None:
    """In short pieces: the library's own quarter turns leave a wheel's circle by a fifth of a millimetre."""
    steps = math.ceil((arc.end - arc.start) / LONGEST_CURVE)
    step = math.radians(arc.end - arc.start) / steps
    pull = 4 / 3 * math.tan(step / 4) * arc.radius
    path = canvas.beginPath()
    (x, y), angle = arc.centre, math.radians(arc.start)
    path.moveTo(x + arc.radius * math.cos(angle), y + arc.radius * math.sin(angle))
    for _ in range(steps):
        then = angle + step
        start = arc.radius * math.cos(angle), arc.radius * math.sin(angle)
        end = arc.radius * math.cos(then), arc.radius * math.sin(then)
        path.curveTo(
            x + start[0] - pull * math.sin(angle),
            y + start[1] + pull * math.cos(angle),
            x + end[0] + pull * math.sin(then),
            y + end[1] - pull * math.cos(then),
            x + end[0],
            y + end[1],
        )
        angle = then
    canvas.drawPath(path)
