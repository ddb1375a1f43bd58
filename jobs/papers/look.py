"""How papers look: margins, sizes of type, rules. Black on white, to be read by a forge's light."""

from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_CENTER, TA_LEFT, TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from jobs.patterns.paper import bold, font
from jobs.words import unbroken

SIDE, TOP, BOTTOM = 15 * mm, 12 * mm, 11 * mm
# Between a page's head or foot and what stands on it.
CLEAR = 6 * mm
BODY, SMALL, LEAD, NAME, HEADING, TITLE = 10.0, 8.5, 11.0, 12.5, 15.0, 20.0
HAIR, RULE, HEAVY = 0.35, 0.7, 2.0
HAIR_GREY = 0.55
ROW, GAP, AFTER = 0.8 * mm, 3.0 * mm, 6.0 * mm
# A pencilled figure wants about a centimetre.
BOX_HIGH = 9.5 * mm
PICTURE_HIGH = 92 * mm


def say(said: str, size: float = BODY, *, strong: bool = False, right: bool = False, middle: bool = False) -> Paragraph:
    """A paragraph of plain words in type of so many points; no line ends between a number and its unit."""
    return Paragraph(escape(unbroken(said)), style(size, strong=strong, right=right, middle=middle))


def beside(strong: str, light: str) -> Paragraph:
    """A name, and smaller what is to be known of it."""
    small = f' <font name="{font()}" size="{SMALL}">{escape(unbroken(light))}</font>' if light else ""
    return Paragraph(f"{escape(unbroken(strong))}{small}", style(NAME, strong=True))


def led(lead: str, said: str, warning: str) -> Paragraph:
    """Words between two that are bold, either of which may be missing."""
    told = ((lead, True), (said, False), (warning, True))
    parts = [(escape(unbroken(words)), strong) for words, strong in told if words]
    return Paragraph(
        " ".join(f'<font name="{bold()}">{words}</font>' if strong else words for words, strong in parts), style()
    )


def style(size: float = BODY, *, strong: bool = False, right: bool = False, middle: bool = False) -> ParagraphStyle:
    """Three tenths of the type's size between lines. A word longer than its column goes on in the next line."""
    return ParagraphStyle(
        f"{size} {strong} {right} {middle}",
        fontName=bold() if strong else font(),
        fontSize=size,
        leading=size * 1.3,
        alignment=TA_RIGHT if right else TA_CENTER if middle else TA_LEFT,
        splitLongWords=1,
    )


def double_rule(canvas: Canvas, left: float, right: float, height: float) -> None:
    """Two lines, as a ledger's pages have at head and foot."""
    for line, up in ((RULE, 0.0), (HAIR, 1.6)):
        canvas.setLineWidth(line)
        canvas.line(left, height + up, right, height + up)
