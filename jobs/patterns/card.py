"""A card to hang on a wheel: what it is, boxes to pencil its measures in, and dots that lead a phone to its page."""

from collections.abc import Sequence
from io import BytesIO

import segno
from reportlab.pdfgen.canvas import Canvas

from jobs.patterns.paper import begin_page, width_of, wrapped, write

# A6, ISO 216, upright: four of them come out of a sheet of A4.
WIDTH, HEIGHT = 105.0, 148.0
EDGE = 8.0
# Where a string goes through; its size is common practice, no source.
HOLE, HOLE_DOWN = 3.0, 7.0
SQUARE = 36.0
HEADING, WORDS, LEAST_WORDS, LABEL, LEADING = 6.5, 3.8, 1.8, 2.8, 1.4
# A pencilled figure wants about a centimetre.
BOX_HIGH, BOX_GAP = 10.5, 1.5


def write_card(*, heading: str, lines: Sequence[str], boxes: Sequence[str], url: str) -> bytes:
    """One page with a hole at its top, and in two columns a box to write into for each of `boxes`.

    The same words give the same bytes. Lines that would run into the boxes are written smaller.
    """
    out = BytesIO()
    canvas = Canvas(out, invariant=True)
    canvas.setTitle(heading)
    begin_page(canvas, WIDTH, HEIGHT)
    canvas.circle(WIDTH / 2, HEIGHT - HOLE_DOWN, HOLE)
    foot = EDGE + 3
    boxes_top = foot + SQUARE + -(-len(boxes) // 2) * (BOX_HIGH + BOX_GAP)
    top = _words(canvas, HEIGHT - 2 * HOLE_DOWN, [heading], HEADING)
    top -= BOX_GAP
    _words(canvas, top, lines, _height_for(lines, top - boxes_top - BOX_GAP))
    _boxes(canvas, boxes, boxes_top)
    _dots(canvas, url, left=EDGE, bottom=foot)
    beside = EDGE + SQUARE + 2
    _words(
        canvas, foot + SQUARE / 2 + 6, ["A phone’s camera opens this wheel’s page by these dots."], LABEL, left=beside
    )
    write(canvas, EDGE, EDGE - 2, url, min(LABEL, LABEL * (WIDTH - 2 * EDGE) / width_of(url, LABEL)))
    canvas.save()
    return out.getvalue()


def _words(canvas: Canvas, top: float, lines: Sequence[str], height: float, *, left: float = EDGE) -> float:
    """Write them below `top`; where the last of them ends."""
    for line in _wrapped(lines, height, WIDTH - EDGE - left):
        top -= height * LEADING
        write(canvas, left, top, line, height)
    return top


def _height_for(lines: Sequence[str], room: float) -> float:
    """The largest letters with which the lines fit; the least there are, where none do."""
    height = WORDS
    while height > LEAST_WORDS and len(_wrapped(lines, height, WIDTH - 2 * EDGE)) * height * LEADING > room:
        height -= 0.2
    return height


def _wrapped(lines: Sequence[str], height: float, width: float) -> list[str]:
    return [part for line in lines for part in wrapped(line, height, width)]


def _boxes(canvas: Canvas, labels: Sequence[str], top: float) -> None:
    wide = (WIDTH - 2 * EDGE - BOX_GAP) / 2
    for place, label in enumerate(labels):
        left = EDGE + place % 2 * (wide + BOX_GAP)
        low = top - (place // 2 + 1) * (BOX_HIGH + BOX_GAP) + BOX_GAP
        canvas.rect(left, low, wide, BOX_HIGH)
        write(canvas, left + 1.2, low + BOX_HIGH - LABEL - 0.2, label, LABEL)


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
