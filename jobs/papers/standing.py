"""Finished wheels on a paper: in proportion, in the colours of wood and iron, on one ground line."""

from collections.abc import Sequence

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Flowable

from jobs.drawing.shape import Least, Ring, Shape, shape_of
from jobs.makeup import MakeUp
from jobs.papers import look

# In points; print shows finer than a screen.
LEAST = Least(tyre=1.2, felloe=2.4, spoke=1.1, spoke_at_rim=0.9, band=0.9)
A_ROW = 6
HIGH = 46 * mm
# A lone wheel would else fill its whole row.
ALONE = 0.62
BETWEEN = 5 * mm
INK, LINE = HexColor(0x4A2E16), 0.4
HUB, SPOKE, FELLOE = HexColor(0xA46E3F), HexColor(0xC9985B), HexColor(0xDFBB83)
IRON, RUBBER, PAPER = HexColor(0x6B747B), HexColor(0x3A3A3A), HexColor(0xFFFFFF)


class StandingWheels(Flowable):
    """A row of wheels with words under each; `scale` is points to the millimetre."""

    def __init__(self, wheels: Sequence[tuple[MakeUp, str]], width: float, scale: float) -> None:
        super().__init__()
        self.wheels, self.width, self.scale = wheels, width, scale
        self.each = width / len(wheels)
        self._words = [look.say(words, look.SMALL, middle=True) for _, words in wheels]
        self._under = max(words.wrap(self.each - look.GAP, 0)[1] for words in self._words)
        tallest = max(makeup.tyre_diameter_nm for makeup, _ in wheels) / 1_000_000 * scale
        self.height = tallest + look.GAP + self._under

    def draw(self) -> None:
        ground = self.height - (self.height - self._under - look.GAP)
        for place, ((makeup, _), words) in enumerate(zip(self.wheels, self._words, strict=True)):
            middle = self.each * (place + 0.5)
            shape = shape_of(makeup, scale=self.scale, least=LEAST)
            self.canv.saveState()
            self.canv.translate(middle, ground + shape.over_all)
            draw_finished(self.canv, makeup, shape)
            self.canv.restoreState()
            words.drawOn(self.canv, self.each * place + look.GAP / 2, ground - look.GAP / 2 - words.height)
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(look.RULE)
        self.canv.line(0, ground, self.width, ground)


def standing_rows(wheels: Sequence[tuple[MakeUp, str]], width: float) -> list[StandingWheels]:
    """All of them at one scale, some to a row."""
    rows = [wheels[first : first + A_ROW] for first in range(0, len(wheels), A_ROW)]
    across = width / max(len(row) for row in rows) - BETWEEN
    tallest = max(makeup.tyre_diameter_nm for makeup, _ in wheels) / 1_000_000
    scale = min(across * (ALONE if len(wheels) == 1 else 1), HIGH) / tallest
    return [StandingWheels(row, width, scale) for row in rows]


def draw_finished(canvas: Canvas, makeup: MakeUp, shape: Shape) -> None:
    """The wheel from its face, its middle where the canvas stands."""
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(LINE)
    if makeup.tyre != "none":
        _disc(canvas, shape.over_all, IRON if makeup.tyre == "iron" else RUBBER)
    _disc(canvas, shape.wood, FELLOE)
    for degrees in shape.joints:
        canvas.saveState()
        canvas.rotate(-degrees)
        canvas.line(0, shape.rim_inner, 0, shape.wood)
        canvas.restoreState()
    _disc(canvas, shape.rim_inner, PAPER)
    canvas.setFillColor(SPOKE)
    for degrees in shape.spoke_angles:
        canvas.saveState()
        canvas.rotate(-degrees)
        canvas.drawPath(_blade(canvas, shape), fill=1)
        canvas.restoreState()
    _disc(canvas, shape.hub, HUB)
    for band in shape.bands:
        _ring(canvas, band)
    if makeup.box != "none":
        _disc(canvas, shape.box, IRON)
    _disc(canvas, shape.bore, PAPER)


def _blade(canvas: Canvas, shape: Shape) -> PDFPathObject:
    """A spoke that points up, from within the hub to its shoulder."""
    foot, rim = shape.spoke / 2, shape.spoke_at_rim / 2
    path = canvas.beginPath()
    path.moveTo(-foot, shape.hub * 0.8)
    path.lineTo(-rim, shape.rim_inner)
    path.lineTo(rim, shape.rim_inner)
    path.lineTo(foot, shape.hub * 0.8)
    path.close()
    return path


def _disc(canvas: Canvas, radius: float, colour: Color) -> None:
    canvas.setFillColor(colour)
    canvas.circle(0, 0, radius, fill=1)


def _ring(canvas: Canvas, ring: Ring) -> None:
    """A band: iron over the hub, which shows again inside it."""
    _disc(canvas, ring.outer, IRON)
    _disc(canvas, ring.inner, HUB)
