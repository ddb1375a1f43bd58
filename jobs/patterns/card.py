"""A card to hang on a wheel: what it is, and a square of dots that a phone's camera reads as its page's address."""

from collections.abc import Sequence
from io import BytesIO

import segno
from reportlab.pdfgen.canvas import Canvas

from jobs.patterns.paper import begin_page, wrapped, write

# A6, ISO 216, upright: four of them come out of a sheet of A4.
WIDTH, HEIGHT = 105.0, 148.0
EDGE = 8.0
# Where a string goes through; its size is common practice, no source.
HOLE, HOLE_DOWN = 3.0, 7.0
SQUARE = 56.0


def write_card(*, heading: str, lines: Sequence[str], url: str) -> bytes:
    """One page with a hole at its top. The same words give the same bytes."""
    out = BytesIO()
    canvas = Canvas(out, invariant=True)
    canvas.setTitle(heading)
    begin_page(canvas, WIDTH, HEIGHT)
    canvas.circle(WIDTH / 2, HEIGHT - HOLE_DOWN, HOLE)
    top = HEIGHT - 2 * HOLE_DOWN - 4
    for height, said in ((6.5, heading), *((3.8, line) for line in lines)):
        for line in wrapped(said, height, WIDTH - 2 * EDGE):
            top -= height * 1.4
            write(canvas, EDGE, top, line, height)
    foot = EDGE + 4
    _dots(canvas, url, left=(WIDTH - SQUARE) / 2, bottom=foot)
    write(canvas, EDGE, EDGE - 2, next(wrapped(url, 2.8, WIDTH - 2 * EDGE)), 2.8)
    canvas.save()
    return out.getvalue()


def _dots(canvas: Canvas, url: str, *, left: float, bottom: float) -> None:
    """ISO/IEC 18004, readable with a quarter of it under dirt, and with its four dots of white all round."""
    code = segno.make(url, error="q", micro=False)
    rows = [list(row) for row in code.matrix_iter(scale=1, border=4)]
    side = SQUARE / len(rows)
    for up, row in enumerate(reversed(rows)):
        for across, is_dark in enumerate(row):
            if is_dark:
                # A hair wider than they are, so that no white shows between neighbours.
                canvas.rect(left + across * side, bottom + up * side, side * 1.01, side * 1.01, stroke=0, fill=1)
