"""Drawings as PDF, full size over as many sheets as they need, with marks to lay these together by."""

import math
from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO

from reportlab.pdfgen.canvas import Canvas

from jobs.measures import Unit
from jobs.patterns.drawing import Bounds, Drawing, Plain, Text, laid_out
from jobs.patterns.ink import draw_shape
from jobs.patterns.paper import begin_page, width_of, wrapped, write
from jobs.patterns.tiles import EDGE, FOOT, OVERLAP, PAPER_NAMES, PAPERS, Paper, Sheets, Tile, sheets_of, touches

LETTERS = 4.0
CHECK: dict[Unit, tuple[float, str]] = {"mm": (100.0, "100 mm"), "in": (101.6, "4 in")}


def write_pdf(drawing: Drawing, *, paper: Paper, unit: Unit, heading: str, described: str) -> bytes:
    """`heading` names the wheel and `described` says what it is. The same drawing gives the same bytes."""
    out = BytesIO()
    shapes = list(laid_out(drawing, letters=LETTERS))
    sheets = sheets_of(shapes, paper, letters=LETTERS)
    pages = _Pages(Canvas(out, invariant=True), sheets, shapes)
    pages.canvas.setTitle(f"{heading}: {drawing.name}")
    pages.first(drawing, heading=heading, described=described, unit=unit, paper=paper)
    for number, tile in enumerate(sheets.tiles, 2):
        pages.sheet(tile, number, f"{heading}: {drawing.name}")
    pages.canvas.save()
    return out.getvalue()


class _Pages:
    """The first page, which says how to lay the others; and these."""

    def __init__(self, canvas: Canvas, sheets: Sheets, shapes: Sequence[Plain]) -> None:
        self.canvas, self.sheets, self.shapes = canvas, sheets, shapes

    def first(self, drawing: Drawing, *, heading: str, described: str, unit: Unit, paper: Paper) -> None:
        """Upright, so that all that is to be said has room over the square."""
        whole, high = PAPERS[paper]
        begin_page(self.canvas, whole, high)
        width, top = whole - 2 * EDGE, high - EDGE
        side, side_said = CHECK[unit]
        count = len(self.sheets.tiles)
        sheets = "1 sheet" if count == 1 else f"{count} sheets"
        said = (
            (6.0, [f"{drawing.name}: {heading}"]),
            (3.5, [described]),
            (
                3.5,
                [
                    f"Full size on {sheets} of {PAPER_NAMES[paper]}, and this one.",
                    f"Print at 100 %, not fitted to the page, and measure the square: its sides are {side_said}.",
                    f"Lay sheets together cross on cross: they overlap by {OVERLAP:.0f} mm.",
                ],
            ),
            (3.5, [f"{each.name}: {each.said}" for each in drawing.dimensions]),
            (3.5, drawing.notes),
        )
        for height, paragraphs in said:
            for line in (line for each in paragraphs for line in wrapped(each, height, width)):
                top -= height * 1.45
                write(self.canvas, EDGE, top, line, height)
            top -= 2.5
        self._square(side, side_said)
        self._plan(Bounds(EDGE + side + 10, EDGE + FOOT, whole - EDGE, EDGE + FOOT + side))
        self._foot("Sheet plan", 1, drawing.name)
        self.canvas.showPage()

    def sheet(self, tile: Tile, number: int, said: str) -> None:
        """One sheet of the drawing, true to size; what is beyond its edges is cut off."""
        begin_page(self.canvas, self.sheets.width, self.sheets.height)
        part = tile.part
        self.canvas.saveState()
        self.canvas.translate(EDGE - part.left, EDGE + FOOT - part.bottom)
        path = self.canvas.beginPath()
        path.rect(part.left, part.bottom, part.width, part.height)
        self.canvas.clipPath(path, stroke=0, fill=0)
        # Words last, so that they stand over the lines that cross them.
        for shape in sorted(self.shapes, key=lambda shape: isinstance(shape, Text)):
            there = _whole_on(part, shape) if isinstance(shape, Text) else shape
            if there and touches(there, part, letters=LETTERS):
                draw_shape(self.canvas, there, letters=LETTERS)
        self.canvas.restoreState()
        self._marks(part)
        self._foot(tile.name, number, said)
        self.canvas.showPage()

    def _square(self, side: float, said: str) -> None:
        """At the left bottom, to see by that the printer has kept the size."""
        self.canvas.rect(EDGE, EDGE + FOOT, side, side)
        write(self.canvas, EDGE + 4, EDGE + FOOT + 4, f"{said} each way", LETTERS)

    def _plan(self, room: Bounds) -> None:
        """All sheets small, each with its name, and the drawing on them."""
        tiles = self.sheets.tiles
        box = Bounds(
            min(tile.part.left for tile in tiles),
            min(tile.part.bottom for tile in tiles),
            max(tile.part.right for tile in tiles),
            max(tile.part.top for tile in tiles),
        )
        scale = min(room.width / box.width, room.height / box.height)
        self.canvas.saveState()
        self.canvas.translate(room.left - box.left * scale, room.bottom - box.bottom * scale)
        self.canvas.scale(scale, scale)
        for tile in tiles:
            part = tile.part
            self.canvas.setLineWidth(0.15 / scale)
            self.canvas.rect(part.left, part.bottom, part.width, part.height)
            write(self.canvas, part.left + 3 / scale, part.bottom + 3 / scale, tile.name, 3.5 / scale)
        for shape in self.shapes:
            if shape.layer not in ("measures", "text"):
                draw_shape(self.canvas, shape, letters=LETTERS, lines=0.6 / scale)
        self.canvas.restoreState()

    def _marks(self, part: Bounds) -> None:
        """A cross in each corner, in the middle of what overlaps: neighbours have the same."""
        in_by = OVERLAP / 2
        for x in (EDGE + in_by, EDGE + part.width - in_by):
            for y in (EDGE + FOOT + in_by, EDGE + FOOT + part.height - in_by):
                self.canvas.line(x - 4, y, x + 4, y)
                self.canvas.line(x, y - 4, x, y + 4)

    def _foot(self, name: str, number: int, said: str) -> None:
        tiles = self.sheets.tiles
        of = f"{name} of {tiles[0].name} to {tiles[-1].name}, page {number} of {len(tiles) + 1}"
        write(self.canvas, EDGE, EDGE, next(wrapped(f"{of}. {said}", 3, min(PAPERS["a4"]) - 2 * EDGE)), 3)


def _whole_on(part: Bounds, text: Text) -> Text | None:
    """The words so far along the line they are written on that a sheet's edge, if it cuts them, leaves them whole.

    None where their middle is beyond that edge: the next sheet has them. Words aslant are cut.
    """
    half = width_of(text.said, LETTERS) / 2 + LETTERS / 4
    angle = math.radians(text.angle)
    along = math.cos(angle), math.sin(angle)
    for low, high, at, way in (
        (part.left, part.right, text.at[0], along[0]),
        (part.bottom, part.top, text.at[1], along[1]),
    ):
        if abs(way) < 0.999:
            continue
        if not low <= at <= high:
            return None
        moved = min(max(at, low + half), high - half) - at
        return replace(text, at=(text.at[0] + moved * along[0] / way, text.at[1] + moved * along[1] / way))
    return text
