"""What all papers share: the font that they carry, and words in it."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from reportlab.lib.units import mm as POINTS  # noqa: N812  (a number of points, not a class)
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

# Embedded, so that every printer has its signs: × ÷ ° ′ ″ − and letters of most of Europe.
FONTS = Path(__file__).parent / "fonts"
FONT, FONT_FILE = "DejaVu Sans", FONTS / "DejaVuSans.ttf"
BOLD, BOLD_FILE = "DejaVu Sans Bold", FONTS / "DejaVuSans-Bold.ttf"


@cache
def font() -> str:
    """The font's name, once it is known to the library."""
    pdfmetrics.registerFont(TTFont(FONT, FONT_FILE))
    return FONT


@cache
def bold() -> str:
    pdfmetrics.registerFont(TTFont(BOLD, BOLD_FILE))
    return BOLD


def begin_page(canvas: Canvas, width: float, height: float) -> None:
    """A page of that size, drawn on in millimetres from its left bottom corner."""
    canvas.setPageSize((width * POINTS, height * POINTS))
    canvas.scale(POINTS, POINTS)
    canvas.setLineWidth(0.2)


def write(canvas: Canvas, x: float, y: float, said: str, height: float) -> None:
    canvas.setFont(font(), height)
    canvas.drawString(x, y, said)


def width_of(said: str, height: float) -> float:
    return float(pdfmetrics.stringWidth(said, font(), height))


def wrapped(said: str, height: float, width: float) -> Iterator[str]:
    """In lines of that width; a word that is longer has one to itself."""
    line = ""
    for word in said.split():
        longer = f"{line} {word}".strip()
        if line and width_of(longer, height) > width:
            yield line
            line = word
        else:
            line = longer
    yield line
